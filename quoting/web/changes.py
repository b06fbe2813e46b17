"""What the buttons of the piece form do to the document: add, take out, turn to another unit or shape."""

from __future__ import annotations

import math
import re
from copy import deepcopy
from typing import Any

from quoting.engine.spec.codes import KnownCodes
from quoting.engine.units import MM_PER_INCH, UNITS_MM, LengthError, parse_length
from quoting.web.entries import FEATURES, LISTS, PARTS, SHAPED, SHAPES, Entry
from quoting.web.spelling import DISTANCE_UNITS, distance_of, value_of

Document = dict[str, Any]
_STEP = re.compile(r"([a-z_]+)(?:\[([0-9]{1,4})\])?")


def without(document: Document, path: str) -> Document:
    """The document less the part at a path (`features[2]`, `drop_edge`), if there is one."""
    changed = deepcopy(document)
    *steps, last = path.split(".")
    holder = _holder(changed, steps)
    match = _STEP.fullmatch(last)
    if holder is None or match is None:
        return changed
    if match[2] is None:
        holder.pop(match[1], None)
    elif isinstance(parts := holder.get(match[1]), list) and int(match[2]) < len(parts):
        parts.pop(int(match[2]))
    return changed


def with_new(document: Document, path: str, codes: KnownCodes, system: str = "metric") -> Document:
    """The document with a new part at a path: a part of its own (`drop_edge`), or one more of a list.

    A distance starts from a round number of the shop's own unit, by its `system`.
    """
    changed = deepcopy(document)
    *steps, last = path.split(".")
    holder = _holder(changed, steps)
    unit = changed.get("unit", "mm")
    if holder is None:
        return changed
    if last in PARTS:
        holder[last] = _started(PARTS[last], unit, codes) | {
            entry.key: distance_of(entry.start, DISTANCE_UNITS[system])
            for entry in PARTS[last]
            if entry.kind == "distance"
        }
    elif last in LISTS:
        part = _started(LISTS[last], unit, codes)
        if last == "drains":
            part["at"] = holder.get("at") or _middle(changed)
        holder[last] = [*(holder.get(last) or []), part]
    return changed


def with_feature(document: Document, kind: str, codes: KnownCodes) -> Document:
    """The document with one more feature of a kind, in the middle of the piece."""
    changed = deepcopy(document)
    if kind not in FEATURES:
        return changed
    unit = changed.get("unit", "mm")
    feature: Document = {"kind": kind} | _started(FEATURES[kind], unit, codes)
    meant = {"inlay": codes.inlays, "insert": codes.inserts}.get(kind, ())
    if first := next(iter(meant), None):
        feature["material"] = first
    if kind in SHAPED:
        length, width = _begun(300.0, unit), _begun(200.0, unit)
        feature["shape"] = {"shape": "rectangle", "length": length, "width": width}
    x, y = _middle(changed)
    if kind == "groove":
        inset_mm = 63.5 if unit in ("in", "ft") else 60.0
        inset = _tidy(round(inset_mm / float(UNITS_MM[unit]), 4))
        feature["path"] = [[inset, y], [_tidy(round(float(2 * x - inset), 3)), y]]
    else:
        feature["at"] = [x, y] if kind == "trough" else [[x, y]]
    changed["features"] = [*(changed.get("features") or []), feature]
    return changed


def completed(document: Document) -> Document:
    """The document with every shape's missing sizes filled in, after another shape was picked."""
    changed = deepcopy(document)
    unit = changed.get("unit", "mm")
    shapes = [changed.get("outline"), *(part.get("shape") for part in changed.get("features", []))]
    for shape in shapes:
        if isinstance(shape, dict):
            for entry in SHAPES.get(str(shape.get("shape")), ()):
                if entry.start and entry.key not in shape:
                    shape[entry.key] = _start(entry, unit)
    return changed


def in_unit(document: Document, unit: str) -> Document:
    """The document in another unit, to a ten-thousandth of an inch; texts with a unit of their own stay."""
    old = document.get("unit", "mm")
    if unit not in UNITS_MM or old not in UNITS_MM or unit == old:
        return deepcopy(document)
    changed = {key: _turned(key, value, str(old), unit) for key, value in document.items()}
    return changed | {"unit": unit}


_LENGTH_KEYS = frozenset(
    entry.key
    for entries in (*SHAPES.values(), *FEATURES.values(), *LISTS.values(), *PARTS.values())
    for entry in entries
    if entry.kind in ("length", "lengths", "point", "points", "run")
) | {"thickness"}


def _turned(key: str, value: Any, old: str, unit: str) -> Any:
    if isinstance(value, dict):
        return {name: _turned(name, part, old, unit) for name, part in value.items()}
    if isinstance(value, list):
        return [_turned(key, part, old, unit) for part in value]
    if key not in _LENGTH_KEYS or isinstance(value, bool) or value in (None, "", "inlays"):
        return value
    if isinstance(value, str) and re.search(r"[a-z'\"′″]", value):
        return value
    try:
        return _spelt(parse_length(value, old, zero=True, negative=True), unit)
    except LengthError:
        return value


def _spelt(length_mm: float, unit: str) -> float | int | str:
    value = length_mm / UNITS_MM[unit]
    if unit in ("in", "ft"):
        sixteenths = round(value * 16)
        if unit == "in" and math.isclose(value * 16, sixteenths, abs_tol=1e-3) and sixteenths % 16:
            return _fraction(sixteenths)
        value = round(value, 4 if unit == "in" else 6)
    else:
        value = _plain_mm(length_mm) / float(UNITS_MM[unit])
        value = round(value, {"mm": 5, "cm": 6, "m": 8}[unit])
    return _tidy(float(value))


def _plain_mm(length_mm: float) -> float:
    """A length to hundredths where it is one but for what four decimals of an inch lose; else as it is.

    1/8 in is 3.175 mm and 1/8 in again; 38 mm are 1.4961 in and 38 mm again.
    """
    plain = round(length_mm, 2)
    return plain if abs(plain - length_mm) <= 0.5e-4 * MM_PER_INCH + 1e-9 else length_mm


def _tidy(value: float) -> float | int:
    return int(value) if value.is_integer() else value


def _fraction(sixteenths: int) -> str:
    whole, part = divmod(abs(sixteenths), 16)
    shared = math.gcd(part, 16)
    sign = "-" if sixteenths < 0 else ""
    return f"{sign}{f'{whole} ' if whole else ''}{part // shared}/{16 // shared}"


def _holder(document: Document, steps: list[str]) -> Document | None:
    here: Any = document
    for step in steps:
        match = _STEP.fullmatch(step)
        here = here.get(match[1]) if match and isinstance(here, dict) else None
        if match and match[2] is not None:
            number = int(match[2])
            here = here[number] if isinstance(here, list) and number < len(here) else None
    return here if isinstance(here, dict) else None


def _started(entries: tuple[Entry, ...], unit: str, codes: KnownCodes) -> Document:
    part = {}
    for entry in entries:
        value = _start(entry, unit)
        if entry.kind == "code" and not entry.help:
            value = next(iter(getattr(codes, entry.codes)), None)
        elif entry.codes == "meshes":
            value = next(iter(codes.meshes), None)
        if value is not None:
            part[entry.key] = value
    return part


def _start(entry: Entry, unit: str) -> Any:
    value = value_of(entry, entry.start)
    if entry.kind not in ("length", "lengths", "points") or value is None:
        return value
    if isinstance(value, list):
        return [[_begun(number, unit) for number in point] for point in value]
    return _begun(float(value), unit)


def _begun(length_mm: float, unit: str) -> float | int | str:
    """A size that a part begins with, in the document's unit; in inches one that a tape shows.

    >>> _begun(35.0, "mm"), _begun(35.0, "in"), _begun(300.0, "in"), _begun(200.0, "ft")
    (35, '1 3/8', 12, '8 in')
    """
    if unit not in ("in", "ft"):
        return _spelt(length_mm, unit)
    inches = length_mm / MM_PER_INCH
    step = next(step for below, step in _STEPS_IN if inches < below)
    whole = _spelt(round(inches / step) * step * MM_PER_INCH, "in")
    return whole if unit == "in" else f"{whole} in"


_STEPS_IN = ((0.375, 0.0625), (2.0, 0.125), (8.0, 0.5), (24.0, 1.0), (math.inf, 6.0))
"""Below so many inches, a round number is a multiple of so many."""


def _middle(document: Document) -> list[float]:
    """The middle of the outline's box in the document's unit; of nothing readable, a small way in."""
    outline, unit = document.get("outline"), str(document.get("unit", "mm"))
    shape = outline if isinstance(outline, dict) else {}
    sizes = []
    for key in ("length", "width"):
        given = shape.get(key, shape.get("diameter", 600))
        try:
            size_mm = parse_length(given, unit if unit in UNITS_MM else "mm")
        except LengthError:
            size_mm = 600.0
        sizes.append(_tidy(round(float(size_mm / UNITS_MM.get(unit, 1.0)) / 2, 3)))
    return sizes
