"""Who asks: a token in the Authorization header (RFC 6750), and what it is good for."""

from __future__ import annotations

from drf_spectacular.extensions import OpenApiAuthenticationExtension
from rest_framework.authentication import BaseAuthentication
from rest_framework.exceptions import AuthenticationFailed
from rest_framework.permissions import BasePermission
from rest_framework.request import Request
from rest_framework.views import APIView

from guides.lifecycle import tokens
from guides.models import ApiToken, User


class TokenAuthentication(BaseAuthentication):
    """A token that does not count is refused even where none is needed: whoever sends it should know."""

    def authenticate(self, request: Request) -> tuple[User, ApiToken] | None:
        sent = request.headers.get("Authorization", "")
        if not sent:
            return None
        scheme, _space, text = sent.partition(" ")
        token = tokens.found(text.strip()) if scheme.lower() == "bearer" else None
        if token is None:
            raise AuthenticationFailed(
                "This token does not count: it is mistyped or was revoked. Write it as “Authorization: Bearer …”."
            )
        return token.created_by, token

    def authenticate_header(self, request: Request) -> str:
        return "Bearer"


class HasScope(BasePermission):
    """What needs a scope is open to tokens that have it."""

    message = "This token is not good for that. Ask whoever issued it for one that is."

    def has_permission(self, request: Request, view: APIView) -> bool:
        scope = getattr(view, "scope", "")
        return not scope or (isinstance(request.auth, ApiToken) and scope in request.auth.scopes)


class _Described(OpenApiAuthenticationExtension):
    target_class = TokenAuthentication
    name = "token"

    def get_security_definition(self, auto_schema: object) -> dict[str, str]:
        return {"type": "http", "scheme": "bearer"}
