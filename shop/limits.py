"""A ceiling on what a request may carry, checked before anything reads it."""

from collections.abc import Callable
from http import HTTPStatus

from django.conf import settings
from django.http import HttpRequest, HttpResponse, QueryDict

from catalog.pictures import PHOTOGRAPH
from shop.error_pages import plain_answer

WITH_A_PHOTOGRAPH = PHOTOGRAPH.most_bytes + 64 * 1024
"""Bytes of a form with a photograph: the picture, its words, what lies between them."""


class BodyLimitMiddleware:
    """Answers 413 to a body longer than ``DATA_UPLOAD_MAX_MEMORY_SIZE`` bytes.

    Django applies that setting to forms alone, not to uploaded files or a stream that an API parser reads.
    An address that takes photographs takes what a phone sends, which is longer.
    A body without a stated length reads as empty, so the stated length is enough to go by.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer 413, or pass the request on."""
        length = request.META.get("CONTENT_LENGTH") or "0"
        photographs = request.path.endswith("/photographs")
        most = WITH_A_PHOTOGRAPH if photographs else settings.DATA_UPLOAD_MAX_MEMORY_SIZE
        if length.isascii() and length.isdigit() and int(length) > most:
            return plain_answer(request, HTTPStatus.REQUEST_ENTITY_TOO_LARGE)
        return self.get_response(request)


class NulMiddleware:
    """Leaves NUL out of what was typed into an address or a form.

    Nobody types it, and PostgreSQL keeps no text that holds it. JSON that holds it is refused by its reader.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Pass the request on."""
        return self.get_response(request)

    def process_view(self, request: HttpRequest, *_: object) -> None:
        """Replace the fields by those without NUL, where there is one; after the check against forgery."""
        request.GET = _without_nul(request.GET)  # type: ignore[assignment]
        if request.method == "POST":
            request.POST = _without_nul(request.POST)  # type: ignore[assignment]


def _without_nul(fields: QueryDict) -> QueryDict:
    if not any("\0" in text for key in fields for text in (key, *fields.getlist(key))):
        return fields
    kept = QueryDict(mutable=True)
    for key in fields:
        kept.setlist(key.replace("\0", ""), [text.replace("\0", "") for text in fields.getlist(key)])
    return kept
