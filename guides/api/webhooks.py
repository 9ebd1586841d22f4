"""Webhooks, for programs that may add and end them themselves."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from django.db.models import QuerySet
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from guides.choices import Told
from guides.lifecycle import webhooks
from guides.lifecycle.errors import Refused
from guides.models import ApiToken, User, Webhook
from guides.presenters.shop import entries, shapes
from guides.queries import marks
from guides.queries.marks import About, Basis

from .paging import Listing
from .problems import BadRequest, FieldProblem
from .serializers import serializer_of
from .view import View
from .views import one

_SCOPE = "webhooks"


class NewWebhookSerializer(serializers.Serializer):
    """Where to send, and what of: `guide.published`, `guide.withdrawn`, `lot.recalled`."""

    url = serializers.CharField(max_length=500)
    about = serializers.ListField(child=serializers.ChoiceField(Told.choices), min_length=1, max_length=len(Told))


class WebhooksView(Listing):
    """Addresses that are told of changes.

    Each is sent what stands in the list of changes, signed as Standard Webhooks has it.
    """

    tag, name, shape, scope = "Webhooks", "webhooks", shapes.WebhookShape, _SCOPE

    def basis(self) -> Basis:
        return marks.any_of(About.WEBHOOK)

    def rows(self) -> QuerySet[Webhook]:
        return _active()

    def things(self, rows: Sequence[Webhook]) -> list[shapes.WebhookShape]:
        return [entries.webhook(row) for row in rows]

    def post(self, request: Request) -> Response:
        """Add an address.

        The answer holds the secret to check signatures with. It is shown this once.
        """
        asked = NewWebhookSerializer(data=request.data)
        asked.is_valid(raise_exception=True)
        row = Webhook(url=asked.validated_data["url"], about=asked.validated_data["about"])
        user, token = _who(request)
        try:
            secret = webhooks.add(row, by=user, through=token.name)
        except Refused as refused:
            raise _told(refused) from refused
        made = shapes.WebhookMade(**vars(entries.webhook(row)), secret=secret)
        return Response(serializer_of(shapes.WebhookMade)(made).data, status=201, headers={"Location": made.address})

    def answers(self, method: str) -> Mapping[Any, Any]:
        return {201: serializer_of(shapes.WebhookMade)} if method == "POST" else super().answers(method)

    def refusals(self, method: str, *, names_something: bool) -> Sequence[int]:
        found = super().refusals(method, names_something=names_something)
        return sorted([*found, 415]) if method == "POST" else found

    def operation(self, method: str) -> str:
        return "add_webhook" if method == "POST" else super().operation(method)

    def sent(self, method: str) -> type[serializers.Serializer] | None:
        return NewWebhookSerializer if method == "POST" else None


class WebhookView(View):
    """One address that is told of changes."""

    tag, scope = "Webhooks", _SCOPE

    def basis(self, id: int) -> Basis:
        return marks.of(About.WEBHOOK, id)

    def get(self, request: Request, id: int) -> Response:
        return Response(serializer_of(shapes.WebhookShape)(entries.webhook(one(_active(), pk=id))).data)

    def delete(self, request: Request, id: int) -> Response:
        """End it.

        Nothing is sent there any more.
        """
        user, token = _who(request)
        try:
            webhooks.end(one(_active(), pk=id), by=user, through=token.name)
        except Refused as refused:
            raise _told(refused) from refused
        return Response(status=204)

    def answers(self, method: str) -> Mapping[Any, Any]:
        return {204: None} if method == "DELETE" else {200: serializer_of(shapes.WebhookShape)}

    def operation(self, method: str) -> str:
        return "end_webhook" if method == "DELETE" else "read_webhook"


def _active() -> QuerySet[Webhook]:
    return Webhook.objects.filter(ended_at__isnull=True)


def _who(request: Request) -> tuple[User, ApiToken]:
    assert isinstance(request.user, User)  # noqa: S101 - the scope lets nobody else in
    assert isinstance(request.auth, ApiToken)  # noqa: S101
    return request.user, request.auth


def _told(refused: Refused) -> BadRequest:
    return BadRequest(*(FieldProblem(each.field or "", "refused", str(each)) for each in refused.refusals))
