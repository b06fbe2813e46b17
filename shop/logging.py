"""The log: one line of JSON a record in production, every request with its id, no secrets.

A line of the access log says who (by number), what (method and the route's pattern, never the address itself:
a client's link is a secret), how it ended and how long it took:

    {"at": "2026-03-02T09:12:44.120Z", "level": "INFO", "logger": "shop.request", "message": "answered",
     "request_id": "0b6c…", "method": "GET", "route": "quotes/<int:pk>/", "status": 200, "ms": 12.4,
     "person": 3}
"""

from __future__ import annotations

import json
import logging
import re
import time
import uuid
from collections.abc import Callable
from contextvars import ContextVar
from datetime import UTC, datetime

from django.http import HttpRequest, HttpResponse

REQUEST_ID_HEADER = "X-Request-ID"
FIELDS = ("method", "route", "status", "ms", "person")
"""What a record may carry beyond its message; anything else attached to a record is not written."""

_WELL_FORMED = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{7,63}")
# Parts of an address as long as a secret one's, in messages that quote addresses; with what a mail program
# or a hand left before and behind it.
_LONG_PART = re.compile(r"(?<=/)[^\s/?'\"]*?[A-Za-z0-9_-]{20,}[^\s/?'\".]*")
_QUERY = re.compile(r"(?<=\?)[^\s'\"]+")
_current: ContextVar[str] = ContextVar("request_id", default="")

access = logging.getLogger("shop.request")


def request_id() -> str:
    """Return the id of the request being answered, empty outside one."""
    return _current.get()


def without_secrets(message: str) -> str:
    """Return a message with long parts and query strings of addresses left out.

    >>> without_secrets("Not Found: /q/Zt3kQ0a8xL5mB1nV7cY2eR9w/pdf?mail=a@shop.example")
    'Not Found: /q/…/pdf?…'
    """
    return _QUERY.sub("…", _LONG_PART.sub("…", message))


class LineFormatter(logging.Formatter):
    """Writes a record as a line for people, during development."""

    def format(self, record: logging.LogRecord) -> str:
        """Return the line."""
        return without_secrets(super().format(record))


class JsonFormatter(logging.Formatter):
    """Writes a record as one line of JSON."""

    def format(self, record: logging.LogRecord) -> str:
        """Return the line."""
        at = datetime.fromtimestamp(record.created, UTC)
        said: dict[str, object] = {
            "at": at.isoformat(timespec="milliseconds").replace("+00:00", "Z"),
            "level": record.levelname,
            "logger": record.name,
            "message": without_secrets(record.getMessage()),
        }
        # Django tells of an answer from 400 up after the request is over; its record knows which it was.
        if about := request_id() or getattr(getattr(record, "request", None), "request_id", ""):
            said["request_id"] = about
        said.update({name: getattr(record, name) for name in FIELDS if hasattr(record, name)})
        if record.exc_info:
            said["exception"] = without_secrets(self.formatException(record.exc_info))
        return json.dumps(said, ensure_ascii=False, default=str)


class RequestLogMiddleware:
    """Gives each request an id, tells it to the asker, and logs how the request ended."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Take a well-formed id from the asker, or make one; pass the request on; log the answer."""
        asked = request.headers.get(REQUEST_ID_HEADER, "")
        own = asked if _WELL_FORMED.fullmatch(asked) else uuid.uuid4().hex
        request.request_id = own  # type: ignore[attr-defined]
        token = _current.set(own)
        begun = time.perf_counter()
        try:
            answer = self.get_response(request)
            answer[REQUEST_ID_HEADER] = request_id()
            access.info("answered", extra=_told(request, answer, time.perf_counter() - begun))
            return answer
        finally:
            _current.reset(token)


def _told(request: HttpRequest, answer: HttpResponse, seconds: float) -> dict[str, object]:
    match = request.resolver_match
    told: dict[str, object] = {
        "method": request.method,
        "route": match.route if match else None,
        "status": answer.status_code,
        "ms": round(seconds * 1000, 1),
    }
    # Who has been looked up already, by session or by token: the log is no reason to read either.
    person = getattr(request.__dict__.get("_cached_user"), "pk", None)
    person = person or getattr(getattr(request, "access_token", None), "user_id", None)
    if person:
        told["person"] = person
    return told
