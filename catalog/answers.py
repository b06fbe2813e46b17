"""Answers that are no pages: a picture as it is kept, for whoever may see it."""

from __future__ import annotations

from typing import Protocol

from django.http import HttpRequest, HttpResponse
from django.utils.cache import get_conditional_response

from catalog.pictures import ENDINGS


class Shown(Protocol):
    """A picture, or a logo."""

    @property
    def sha256(self) -> str: ...
    @property
    def media_type(self) -> str: ...
    @property
    def content(self) -> bytes | memoryview: ...


def picture_answer(request: HttpRequest, shown: Shown, name: str) -> HttpResponse:
    """The bytes under their own type, to be asked for again each time; 304 to whoever has them.

    The site's `nosniff` and content policy go with it as with every answer.
    """
    tag = f'"{shown.sha256[:32]}"'
    answer = HttpResponse(bytes(shown.content), content_type=shown.media_type)
    answer["Content-Disposition"] = f'inline; filename="{name}.{ENDINGS[shown.media_type]}"'
    answer["ETag"] = tag
    answer["Cache-Control"] = "private, no-cache"
    return get_conditional_response(request, etag=tag, response=answer) or answer
