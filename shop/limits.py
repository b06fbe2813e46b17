"""A ceiling on what a request may carry, checked before anything reads it."""

from collections.abc import Callable
from http import HTTPStatus

from django.conf import settings
from django.http import HttpRequest, HttpResponse

from shop.error_pages import plain_answer


class BodyLimitMiddleware:
    """Answers 413 to a body longer than ``DATA_UPLOAD_MAX_MEMORY_SIZE`` bytes.

    Django applies that setting to forms alone, not to uploaded files or a stream that an API parser reads.
    A body without a stated length reads as empty, so the stated length is enough to go by.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer 413, or pass the request on."""
        length = request.META.get("CONTENT_LENGTH") or "0"
        if length.isascii() and length.isdigit() and int(length) > settings.DATA_UPLOAD_MAX_MEMORY_SIZE:
            return plain_answer(request, HTTPStatus.REQUEST_ENTITY_TOO_LARGE)
        return self.get_response(request)
