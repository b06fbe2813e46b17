"""Who sends a request to the API with a token: settled once, before anything asks for the person."""

from __future__ import annotations

from collections.abc import Callable

from django.contrib.auth.models import AnonymousUser
from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from shop.accounts.keys import find_token
from shop.error_pages import API_PREFIX


class BearerMiddleware:
    """Reads `Authorization: Bearer …` (RFC 6750) under `/api/`; there, a token outranks a session.

    Leaves the token at `request.access_token`: None where it is worth nothing, absent where none was sent.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Name the person, then pass the request on."""
        scheme, _, secret = request.headers.get("Authorization", "").partition(" ")
        if request.path_info.startswith(API_PREFIX) and scheme.lower() == "bearer":
            token = find_token(secret.strip(), timezone.now())
            request.access_token = token  # type: ignore[attr-defined]
            request.user = token.user if token else AnonymousUser()
        return self.get_response(request)
