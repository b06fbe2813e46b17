"""Signing in to the API with a token."""

from __future__ import annotations

from drf_spectacular.extensions import OpenApiAuthenticationExtension
from rest_framework.authentication import BaseAuthentication
from rest_framework.exceptions import AuthenticationFailed, PermissionDenied
from rest_framework.permissions import SAFE_METHODS
from rest_framework.request import Request

from shop.accounts.models import AccessToken, Scope, User


class BearerAuthentication(BaseAuthentication):
    """Takes what `BearerMiddleware` found; a token for reading changes nothing."""

    def authenticate(self, request: Request) -> tuple[User, AccessToken] | None:
        """Return person and token, None where no token was sent; refuse one that is worth nothing."""
        sent = request._request
        if not hasattr(sent, "access_token"):
            return None
        token: AccessToken | None = sent.access_token
        if token is None:
            raise AuthenticationFailed("This token is unknown, expired or revoked.", code="bad_token")
        if token.scope == Scope.READ and request.method not in SAFE_METHODS:
            raise PermissionDenied("This token only reads.", code="token_only_reads")
        return token.user, token

    def authenticate_header(self, request: Request) -> str:
        """Say what to sign in with."""
        return 'Bearer realm="api"'


class BearerScheme(OpenApiAuthenticationExtension):  # type: ignore[no-untyped-call]
    """How the API's description names it."""

    target_class = "shop.api.authentication.BearerAuthentication"
    name = "token"

    def get_security_definition(self, auto_schema: object) -> dict[str, object]:
        """Describe the scheme."""
        said = "A token from /accounts/tokens/ or `manage.py token`. It never does more than its person may."
        return {"type": "http", "scheme": "bearer", "description": said}
