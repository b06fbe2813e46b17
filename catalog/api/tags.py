"""Entity tags and conditional requests (RFC 9110, sections 8.8.3 and 13; RFC 6585 for 428).

The tag of an answer is strong: it is taken over the very document that the address answers to this person,
so it changes whenever a byte of that does. A read with `If-None-Match` answers 304 where nothing changed. A
change or deletion must say with `If-Match` what it rests on (`*`: whatever stands), else 428, and is refused
with 412 where that no longer stands. Below a resource (`…/issue`, `…/prices`), `If-Match` may be left out and
speaks of the resource. No answer carries a date of change, so conditions by date are ignored (section 13.1).
"""

from __future__ import annotations

import hashlib
from contextlib import suppress
from http import HTTPStatus
from typing import Any

from django.db import transaction
from django.http import Http404
from django.http.response import HttpResponseBase
from django.utils.http import parse_etags
from rest_framework.exceptions import APIException
from rest_framework.permissions import SAFE_METHODS
from rest_framework.renderers import JSONRenderer
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from catalog.errors import NoSuchRow

ANY = "*"
CHANGES = ("PUT", "PATCH", "DELETE")


class Stale(APIException):
    """What the request rests on is not what stands."""

    status_code = HTTPStatus.PRECONDITION_FAILED
    default_code = "stale"
    default_detail = "This has changed since you read it. Read it again, then repeat the change."


class TagWanted(APIException):
    """A change that does not say what it rests on."""

    status_code = HTTPStatus.PRECONDITION_REQUIRED
    default_code = "tag_wanted"
    default_detail = "Send If-Match with the ETag you read, or If-Match: * to change whatever stands."


def tag_of(document: object) -> str:
    """Return the strong tag of a document as it is answered: its SHA-256, shortened, in quotes."""
    written = document if isinstance(document, bytes) else JSONRenderer().render(document)
    return f'"{hashlib.sha256(written).hexdigest()[:32]}"'


def strongly_equal(one: str, other: str) -> bool:
    """Return whether two tags are equal and both strong (RFC 9110, section 8.8.3.2).

    >>> strongly_equal('"1"', '"1"'), strongly_equal('W/"1"', 'W/"1"'), strongly_equal('W/"1"', '"1"')
    (True, False, False)
    """
    return one == other and not one.startswith("W/")


def weakly_equal(one: str, other: str) -> bool:
    """Return whether two tags are equal, weak or not (RFC 9110, section 8.8.3.2).

    >>> weakly_equal('W/"1"', '"1"'), weakly_equal('W/"1"', 'W/"2"')
    (True, False)
    """
    return one.removeprefix("W/") == other.removeprefix("W/")


def rests_on(header: str, tag: str | None) -> bool:
    """Return whether `If-Match` holds for the tag that stands; None where nothing does."""
    if header.strip() == ANY:
        return tag is not None
    return tag is not None and any(strongly_equal(one, tag) for one in parse_etags(header))


def is_known(header: str, tag: str | None) -> bool:
    """Return whether `If-None-Match` names the tag that stands; None where nothing does."""
    if header.strip() == ANY:
        return tag is not None
    return tag is not None and any(weakly_equal(one, tag) for one in parse_etags(header))


class Tagged(APIView):
    """A view whose reads carry a tag and whose changes must name it. Put it first among the bases."""

    def dispatch(self, request: Any, *args: Any, **kwargs: Any) -> HttpResponseBase:
        """Judge the condition and make the change in one transaction, so that nobody comes between."""
        if request.method in SAFE_METHODS:
            return super().dispatch(request, *args, **kwargs)
        with transaction.atomic():
            return super().dispatch(request, *args, **kwargs)

    def initial(self, request: Request, *args: Any, **kwargs: Any) -> None:
        """Refuse a change that rests on nothing, or on what no longer stands."""
        super().initial(request, *args, **kwargs)
        wanted, unwanted = request.headers.get("If-Match"), request.headers.get("If-None-Match")
        asked_for = getattr(self, (request.method or "").lower(), None)  # absent: 405 follows
        if request.method in SAFE_METHODS or not asked_for or getattr(self, "detail", True) is not True:
            return
        if request.method in CHANGES and wanted is None and unwanted is None:
            self._standing(request, **kwargs)  # what is not there cannot be rested on: 404 comes first
            raise TagWanted
        if wanted is None and unwanted is None:
            return
        self.lock(**kwargs)
        try:
            tag = self._standing(request, **kwargs)
        except (Http404, NoSuchRow):
            tag = None
        if wanted is not None and not rests_on(wanted, tag):
            raise Stale
        if unwanted is not None and is_known(unwanted, tag):
            raise Stale("There is such a thing already, or it has not changed.")
        if request.method in CHANGES and wanted is None:
            raise TagWanted

    def lock(self, **kwargs: Any) -> None:
        """Hold the row for the rest of the transaction, where the view's model and look-up tell which."""
        model = getattr(getattr(getattr(self, "serializer_class", None), "Meta", None), "model", None)
        field = getattr(self, "lookup_field", None)
        if model is not None and field in kwargs:
            with suppress(ValueError):  # no number: nothing stands there, which is told below
                model._default_manager.select_for_update().filter(**{field: kwargs[field]}).first()

    def _standing(self, request: Request, **kwargs: Any) -> str:
        read = getattr(self, "retrieve", None) or self.get  # type: ignore[attr-defined]
        return tag_of(_document(read(request, **kwargs)))

    def finalize_response(self, request: Request, response: Response, *args: Any, **kwargs: Any) -> Response:
        """Put the tag on an answer, and leave out a document that the asker has."""
        if response.status_code == HTTPStatus.OK and request.method in ("GET", "HEAD", "PUT", "PATCH"):
            tag = tag_of(_document(response))
            if request.method in SAFE_METHODS and is_known(request.headers.get("If-None-Match", ""), tag):
                response = Response(status=HTTPStatus.NOT_MODIFIED)
            response["ETag"] = tag
            response["Cache-Control"] = "private, no-cache"
        return super().finalize_response(request, response, *args, **kwargs)


def _document(response: Any) -> object:
    """Return what an answer says: a document to be written, or a paper as it is."""
    return response.data if isinstance(response, Response) else response.content
