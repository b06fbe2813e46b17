"""One value of the specification as the text of a form field, and the way back.

What cannot be read is kept as the text that was typed, so that the engine refuses it at its path and the
form shows it again.
"""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Any, Final

from quoting.engine.units import KM_PER_MILE, format_distance
from quoting.web.entries import Entry

COUNTED_IN: Final = "counted_in"
"""The field of a form's part that says in what bare distances are: km or mi."""
DISTANCE_UNITS: Final = {"metric": "km", "us": "mi"}

_WHOLE = re.compile(r"[+-]?[0-9]{1,15}")
_DECIMAL = re.compile(r"[+-]?[0-9]{1,15}[.][0-9]{1,15}")
_DISTANCE = re.compile(r"([+-]?[0-9]{1,15}(?:[.][0-9]{1,15})?) *(km|mi|miles?)?", re.ASCII)
_MILE = Decimal(str(KM_PER_MILE))


def value_of(entry: Entry, text: str) -> Any:
    """The document's value for what was typed into a field; None for an empty one: the key is left out."""
    typed = text.strip()
    if entry.kind == "tick":
        return typed != ""
    if not typed:
        return None
    match entry.kind:
        case "text" | "code" | "choice":
            return typed
        case "length" | "number" | "distance":
            return number_or_text(typed)
        case "point":
            return _point(typed)
        case "points":
            return [_point(part) for part in _parts(typed, ";")]
        case "run":
            return "inlays" if typed == "inlays" else [_point(part) for part in _parts(typed, ";")]
        case "lengths":
            several = [number_or_text(part) for part in _parts(typed, "[;,]")]
            return several[0] if len(several) == 1 else several
        case "sides":
            return "all" if typed == "all" else [number_or_text(part) for part in _parts(typed, "[,;]")]
        case "numbers":
            return [number_or_text(part) for part in _parts(typed, "[,;]")]
        case "words":
            return _parts(typed, "[,;]")


def text_of(entry: Entry, value: Any) -> str:
    """What stands in the field for a value of the document; any JSON value has some text."""
    if value is None or value == []:
        return ""
    if entry.kind == "tick":
        return "on" if value is True else ""
    if entry.kind in ("points", "run") and isinstance(value, list):
        return "; ".join(_pair(point) for point in (value if _nested(value) else [value]))
    if isinstance(value, list):
        return _pair(value)
    return _one(value)


def number_or_text(text: str) -> int | float | str:
    """A plain number as a number, everything else (`1 1/2 in`) as the text it is."""
    if _WHOLE.fullmatch(text):
        return int(text)
    return float(text) if _DECIMAL.fullmatch(text) else text


def distance_of(text: str, counted_in: str) -> Any:
    """A distance typed in `counted_in` (km or mi), or with its own unit, as km; nothing for nothing.

    >>> distance_of("15", "mi"), distance_of("24 km", "mi"), distance_of("far", "mi")
    (24.14016, 24, 'far')
    """
    match = _DISTANCE.fullmatch(text.strip())
    if match is None:
        return text.strip() or None
    if (match[2] or counted_in).startswith("mi"):
        return number_or_text(f"{Decimal(match[1]) * _MILE:.9f}".rstrip("0").rstrip("."))
    return number_or_text(match[1])


def distance_text(value: Any, counted_in: str) -> str:
    """What stands in the field for km of the document; with its unit where it is no tidy number of miles.

    >>> distance_text(24.14016, "mi"), distance_text(24, "mi"), distance_text(24, "km")
    ('15', '24 km', '24')
    """
    if counted_in != "mi" or isinstance(value, bool) or not isinstance(value, int | float):
        return _one(value)
    miles = f"{value / KM_PER_MILE:.3f}".rstrip("0").rstrip(".")
    return miles if distance_of(miles, "mi") == value else f"{_one(value)} km"


def distance_words(value: Any, system: str) -> str:
    """A distance as a sentence names it, in the shop's unit; what is none, as it was typed."""
    plain = isinstance(value, int | float) and not isinstance(value, bool)
    return format_distance(value, system) if plain else str(value)


def _point(text: str) -> list[int | float | str]:
    return [number_or_text(part) for part in _parts(text.strip("()[] "), ",")]


def _parts(text: str, apart: str) -> list[str]:
    return [part.strip() for part in re.split(apart, text) if part.strip()]


def _nested(value: list[Any]) -> bool:
    return any(isinstance(part, list) for part in value)


def _pair(point: Any) -> str:
    return ", ".join(_one(part) for part in point) if isinstance(point, list) else _one(point)


def _one(value: Any) -> str:
    if isinstance(value, float) and value.is_integer() and abs(value) < 1e15:
        return str(int(value))
    if isinstance(value, bool) or value is None:
        return {True: "true", False: "false", None: ""}[value]
    return str(value)
