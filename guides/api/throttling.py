"""How often somebody may ask: counted in the database, exact over every process of the site."""

from __future__ import annotations

from django.conf import settings
from rest_framework.request import Request
from rest_framework.throttling import BaseThrottle
from rest_framework.views import APIView

from guides.lifecycle import rate_limit
from guides.lifecycle.rate_limit import Rate, TooMany
from guides.models import ApiToken

_ACT = "api"


class Throttle(BaseThrottle):
    """Counts by token, and by address where there is none."""

    _wait_s: float | None = None

    def allow_request(self, request: Request, view: APIView) -> bool:
        token = request.auth if isinstance(request.auth, ApiToken) else None
        rate = Rate.parse(settings.API_RATE_WITH_TOKEN if token else settings.API_RATE)
        sender = f"token {token.pk}" if token else request.META.get("REMOTE_ADDR", "")
        try:
            rate_limit.count(rate, _ACT, sender)
        except TooMany as many:
            self._wait_s = many.retry_after_s
            return False
        return True

    def wait(self) -> float | None:
        return self._wait_s
