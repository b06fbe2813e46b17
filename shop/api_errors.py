"""What the API says when it cannot do as asked: problem details (RFC 9457) with every fault and its path.

    {"type": "about:blank", "title": "Unprocessable Entity", "status": 422, "code": "refused",
     "detail": "...", "errors": [
        {"path": "features[2].depth", "detail": "...", "code": "too_deep", "value": "80"}]}

400 is for a body that cannot be read or lacks what the address asks for, 422 for one that was understood and
refused, 409 for one that does not suit the state things are in.
"""

import json
import math
from collections import Counter
from collections.abc import Iterator, Mapping
from http import HTTPStatus
from typing import IO, Any

from django.core.exceptions import NON_FIELD_ERRORS
from django.core.exceptions import ValidationError as ModelValidationError
from django.db.models import ProtectedError
from rest_framework.exceptions import ErrorDetail, ParseError, ValidationError
from rest_framework.parsers import JSONParser
from rest_framework.response import Response
from rest_framework.settings import api_settings
from rest_framework.views import exception_handler

from catalog.errors import CatalogRefused, NoSuchRow
from quoting.engine.errors import Refused
from quoting.errors import IllegalMove
from shop.error_pages import PROBLEM_JSON


def problem_details(exc: Exception, context: Mapping[str, Any]) -> Response | None:
    """Answer an exception of a view; None for one that is nobody's input, which becomes a logged 500."""
    if isinstance(exc, (Refused, CatalogRefused)):
        errors = [
            {"path": fault.path, "detail": fault.message, "code": fault.code, "value": fault.value}
            for fault in exc.faults
        ]
        return problem(HTTPStatus.UNPROCESSABLE_ENTITY, "refused", errors=errors)
    if isinstance(exc, ModelValidationError):
        exc = ValidationError(exc.message_dict if hasattr(exc, "error_dict") else exc.messages)
    if isinstance(exc, NoSuchRow):
        return problem(HTTPStatus.NOT_FOUND, "not_found", str(exc))
    if isinstance(exc, IllegalMove):
        return problem(HTTPStatus.CONFLICT, "illegal_move", str(exc))
    if isinstance(exc, ProtectedError):
        return problem(HTTPStatus.CONFLICT, "in_use", "Other records still need this one.")
    answer = exception_handler(exc, dict(context))  # also rolls back, and turns Http404 and PermissionDenied
    if answer is None:
        return None
    status = HTTPStatus(answer.status_code)
    headers = {name: answer[name] for name in ("WWW-Authenticate", "Retry-After") if name in answer}
    if isinstance(exc, ValidationError):
        return problem(status, "invalid", errors=list(_flatten(exc.detail)), headers=headers)
    detail = answer.data["detail"]
    return problem(status, detail.code, str(detail), headers=headers)


def problem(
    status: HTTPStatus,
    code: str,
    detail: str = "",
    *,
    errors: list[dict[str, Any]] | None = None,
    headers: dict[str, str] | None = None,
) -> Response:
    """Return a problem document; without ``detail`` it says what the errors say, one a line."""
    errors = errors or []
    lines = (f"{error['path'] or 'document'}: {error['detail']}" for error in errors)
    body = {
        "type": "about:blank",
        "title": status.phrase,
        "status": status.value,
        "code": code,
        "detail": detail or "\n".join(lines),
        "errors": errors,
    }
    return Response(body, status=status.value, headers=headers, content_type=PROBLEM_JSON)


def _flatten(detail: Any, path: str = "") -> Iterator[dict[str, Any]]:
    """Walk DRF's nested lists and dicts of messages, and yield one error a message with its path."""
    if isinstance(detail, Mapping):
        for key, inner in detail.items():
            own = key in {api_settings.NON_FIELD_ERRORS_KEY, NON_FIELD_ERRORS}
            step = f"[{key}]" if isinstance(key, int) else f".{key}"  # DRF numbers the bad items of a list
            yield from _flatten(inner, path if own else f"{path}{step}".lstrip("."))
    elif isinstance(detail, list):
        for position, inner in enumerate(detail):
            yield from _flatten(inner, path if isinstance(inner, str) else f"{path}[{position}]")
    else:
        code = detail.code if isinstance(detail, ErrorDetail) else "invalid"
        yield {"path": path, "detail": str(detail), "code": code}


class StrictJSONParser(JSONParser):
    """Reads JSON as RFC 8259 has it; refuses what Python would read but a database or a sum cannot take.

    Beyond DRF's own parser: nesting too deep for Python, a key given twice, half of a surrogate pair, NUL.
    """

    def parse(
        self, stream: IO[Any], media_type: str | None = None, parser_context: Mapping[str, Any] | None = None
    ) -> Any:
        """Return the document, or raise ``ParseError`` saying what is wrong with it."""
        try:
            text = stream.read().decode("utf-8")
            document = json.loads(
                text, parse_float=_finite, parse_constant=_refuse_constant, object_pairs_hook=_refuse_twice
            )
            if "\\u" in text:
                written = json.dumps(document, ensure_ascii=False)
                written.encode("utf-8")
                if "\\u0000" in written.replace("\\\\", ""):  # a backslash that was typed begins no escape
                    raise ValueError("a text holds the character NUL")
        except UnicodeError as fault:
            raise ParseError("JSON: not valid Unicode") from fault
        except RecursionError as fault:
            raise ParseError("JSON: nested too deeply") from fault
        except ValueError as fault:
            raise ParseError(f"JSON: {fault}") from fault
        return document


def _finite(digits: str) -> float:
    number = float(digits)
    if not math.isfinite(number):
        raise ValueError(f"{digits[:20]} is too large")
    return number


def _refuse_constant(word: str) -> float:
    raise ValueError(f"{word} is not a number in JSON")


def _refuse_twice(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) < len(pairs):
        # In one pass: a body of a few megabytes holds hundreds of thousands of keys.
        twice = next(key for key, times in Counter(key for key, _ in pairs).items() if times > 1)
        raise ValueError(f"the key {twice[:80]!r} stands twice")
    return found
