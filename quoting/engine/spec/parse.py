"""Reading a piece document: text to JSON, JSON to a piece, every fault at once."""

from __future__ import annotations

import json
from typing import Any, Final

from pydantic import ValidationError

from quoting.engine.errors import Fault, Refused
from quoting.engine.spec.codes import KnownCodes, unknown_codes
from quoting.engine.spec.faults import in_document_order, shown, structural
from quoting.engine.spec.fields import MOST_FEATURES, MOST_POINTS
from quoting.engine.spec.mended import mended, structured
from quoting.engine.spec.refusals import refusals
from quoting.engine.spec.types import Piece

__all__ = ["KnownCodes", "parse_json", "parse_piece"]

LARGEST_BYTES: Final = 1_000_000
DEEPEST: Final = 20


def parse_json(text: str | bytes) -> object:
    """Decode JSON of at most 1 MB and 20 levels, without repeated keys; raises `Refused`.

    NaN and infinity, which some programs write, are let through: whoever reads the numbers refuses them, and
    knows their path.

    >>> parse_json('{"format": 1}')
    {'format': 1}
    """
    if len(text) > LARGEST_BYTES:
        raise Refused([Fault("", "is larger than 1 MB", "too_large")])
    try:
        plain = text.decode("utf-8-sig") if isinstance(text, bytes) else text.removeprefix("\ufeff")
        decoded: object = json.loads(plain, object_pairs_hook=_no_repeats)
    except UnicodeDecodeError:
        raise Refused([Fault("", "is not a text in UTF-8", "not_json")]) from None
    except json.JSONDecodeError as error:
        where = f"line {error.lineno}, column {error.colno}"
        raise Refused([Fault("", f"is not JSON: {error.msg} at {where}", "not_json")]) from None
    except _Unreadable as error:
        raise Refused([Fault("", str(error), "not_json")]) from None
    except (RecursionError, ValueError):
        # Nested beyond the interpreter's stack, or a whole number of thousands of digits.
        raise Refused(
            [Fault("", "is nested too deeply, or holds a number that is too long", "not_json")]
        ) from None
    if _deeper_than(decoded, DEEPEST):
        raise Refused([Fault("", f"is nested more than {DEEPEST} levels deep", "too_deep")])
    if "\\u" in plain and not _storable(decoded):
        raise Refused([Fault("", "holds NUL or half a character, which no text can keep", "not_json")])
    return decoded


class _Unreadable(Exception):
    """Something JSON decoders let pass and we do not."""


def _no_repeats(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    decoded = dict(pairs)
    if len(decoded) < len(pairs):
        keys = [key for key, _ in pairs]
        repeated = next(key for key in keys if keys.count(key) > 1)
        raise _Unreadable(f"holds the key {shown(repeated)} twice in one object")
    return decoded


def _storable(decoded: object) -> bool:
    """Whether every text can be written as UTF-8 and kept by a database."""
    try:
        written = json.dumps(decoded, ensure_ascii=False)
        return bool(written.encode("utf-8")) and "\\u0000" not in written
    except UnicodeEncodeError:
        return False


def _deeper_than(value: object, levels: int) -> bool:
    layer = [value]
    for _ in range(levels):
        layer = [
            part
            for item in layer
            if isinstance(item, dict | list)
            for part in (item.values() if isinstance(item, dict) else item)
        ]
    return any(isinstance(item, dict | list) for item in layer)


def parse_piece(document: object, *, codes: KnownCodes | None = None, system: str = "metric") -> Piece:
    """Read a decoded document of format 1 into a castable piece, or refuse it with every fault found.

    `codes` are the catalogue's (None: codes are taken as they are), `system` the reader's units for messages,
    `metric` or `us`. Where single features or other parts are not well formed, the sound rest is still
    checked, so that one reading names as many faults as can be known. Raises `Refused`.
    """
    if not isinstance(document, dict):
        raise Refused([Fault("", "must be an object with named keys", "wrong_type", shown(document))])
    if faults := _too_much(document):
        raise Refused(faults)
    try:
        piece = structured(document)
    except ValidationError as error:
        faults = structural(error, document)
        raise Refused(
            in_document_order(faults + _faults_of_the_rest(document, faults, codes, system))
        ) from None
    places = tuple(range(len(piece.features)))
    faults = [] if codes is None else unknown_codes(piece, codes, places)
    faults += refusals(piece, places, system)
    if faults:
        raise Refused(in_document_order(faults))
    return piece


def _faults_of_the_rest(
    document: dict[Any, Any], faults: list[Fault], codes: KnownCodes | None, system: str
) -> list[Fault]:
    """What else is wrong, as far as the well-formed parts of a faulty document can tell."""
    rest = mended(document, faults)
    if rest is None:
        return []
    found = [] if codes is None else unknown_codes(rest.piece, codes, rest.places)
    if rest.measurable:
        found += refusals(rest.piece, rest.places, system)
    return rest.news(found)


def _too_much(document: dict[Any, Any]) -> list[Fault]:
    """Faults of sheer size, before anything is looked at more closely."""
    features = document.get("features")
    if isinstance(features, list) and len(features) > MOST_FEATURES:
        return [
            Fault(
                "features",
                f"must be at most {MOST_FEATURES} features (given: {len(features)})",
                "too_many",
                str(len(features)),
            )
        ]
    points = _points_in(document)
    if points > MOST_POINTS:
        message = f"has {points} points in outlines, paths and centres together; at most {MOST_POINTS}"
        return [Fault("", message, "too_many", str(points))]
    return []


def _points_in(document: dict[Any, Any]) -> int:
    """Points of polygons, grooves and light runs, and centres, without trusting any type."""
    lighting, features = document.get("lighting"), document.get("features")
    holders = [document.get("outline"), lighting, *(features if isinstance(features, list) else [])]
    holders += [holder.get("shape") for holder in holders if isinstance(holder, dict)]
    count = 0
    for holder in holders:
        if isinstance(holder, dict):
            lists = [holder.get(key) for key in ("points", "path", "run", "at", "drains")]
            count += sum(
                len(points) if any(isinstance(point, list | dict) for point in points) else 1
                for points in lists
                if isinstance(points, list)
            )
    return count
