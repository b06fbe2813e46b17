"""A piece made larger or smaller: stretched in plan and thickness, or scaled as a whole.

Nothing is refused here: the scaled piece is written as a document and read like any other, so that what
cannot be cast is refused, and what is risky cautioned, in the usual words.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, is_dataclass, replace
from typing import Any, Final, TypeVar

from quoting.engine.errors import Fault, Refused
from quoting.engine.spec import types as spec
from quoting.engine.spec.writing import piece_document
from quoting.engine.units import UNITS_MM

T = TypeVar("T")
MOST: Final = 10.0
_KEPT: Final = ("cover_mm", "lap_mm", "tail_mm")
"""Lengths that do not grow with a piece: cover and laps follow the steel, a lead goes to the supply."""
_PLACES: Final = {"mm": 3, "cm": 4, "m": 6, "in": 6, "ft": 7}


@dataclass(frozen=True, slots=True)
class Factors:
    """How many times as long, as wide and as thick.

    Not `whole`: the outline, and the places of what is in it, are stretched; features, radii, edge treatments
    and a drop edge keep their own sizes. `whole`: every length of the concrete is multiplied, by one factor.
    """

    length: float = 1.0
    width: float = 1.0
    thickness: float = 1.0
    whole: bool = False


def scaled_document(piece: spec.Piece, factors: Factors) -> dict[str, Any]:
    """The document of a scaled piece, in the piece's own unit.

    Factors are dimensionless, above 0 and at most 10. Raises Refused when they are not, or when `whole` is
    asked for with unequal ones.

    >>> disc = spec.Piece(name="Disc", unit="cm", thickness_mm=30.0, outline=spec.Round(400.0))
    >>> scaled_document(disc, Factors(1.5, 1.5))["outline"]
    {'shape': 'round', 'diameter': 60.0}
    """
    _refuse(factors)
    larger = _multiplied(piece, factors.length) if factors.whole else _stretched(piece, factors)
    numbers = _multiplied(larger, 1.0 / UNITS_MM[piece.unit], kept=(), places=_PLACES[piece.unit])
    return piece_document(numbers) | {"unit": piece.unit}


def _refuse(factors: Factors) -> None:
    given = {"length_factor": factors.length, "width_factor": factors.width}
    given["thickness_factor"] = factors.thickness
    message = f"a number above 0, at most {MOST:g}"
    faults = [
        Fault(name, message, "out_of_range", f"{factor}")
        for name, factor in given.items()
        if not 0.0 < factor <= MOST
    ]
    if factors.whole and not faults and len(set(given.values())) > 1:
        message = "a piece is scaled as a whole by one factor; give the same for length, width and thickness"
        faults = [Fault("width_factor", message, "factors_differ", f"{factors.width}")]
    if faults:
        raise Refused(faults)


def _multiplied(value: T, factor: float, *, kept: tuple[str, ...] = _KEPT, places: int = 9) -> T:
    """The value with every length in it multiplied, found by the unit in its name, less binary dust."""
    changes: dict[str, Any] = {}
    for field in fields(value):  # type: ignore[arg-type]  # a dataclass of the specification
        old = getattr(value, field.name)
        if field.name.endswith("_mm") and field.name not in kept:
            changes[field.name] = _times(old, factor, places)
        elif is_dataclass(old):
            changes[field.name] = _multiplied(old, factor, kept=kept, places=places)
        elif isinstance(old, tuple) and any(is_dataclass(part) for part in old):
            changes[field.name] = tuple(_multiplied(part, factor, kept=kept, places=places) for part in old)
    return replace(value, **changes)  # type: ignore[type-var]


def _times(value: Any, factor: float, places: int) -> Any:
    if isinstance(value, tuple):
        return tuple(_times(part, factor, places) for part in value)
    return None if value is None else round(value * factor, places)


# --- stretched -------------------------------------------------------------------------------------------
def _stretched(piece: spec.Piece, by: Factors) -> spec.Piece:
    lighting = piece.lighting
    if lighting is not None and lighting.run_mm is not None:
        lighting = replace(lighting, run_mm=_moved_all(lighting.run_mm, by))
    return replace(
        piece,
        thickness_mm=piece.thickness_mm * by.thickness,
        outline=_outline(piece.outline, by),
        features=tuple(_moved(feature, by) for feature in piece.features),
        lighting=lighting,
    )


def _outline(shape: spec.Shape, by: Factors) -> spec.Shape:
    """The stretched outline; a circle stretched one way is an ellipse."""
    match shape:
        case spec.Round(diameter):
            if by.length == by.width:
                return spec.Round(diameter * by.length)
            return spec.Oval(diameter * by.length, diameter * by.width)
        case spec.Polygon():
            return replace(shape, points_mm=_moved_all(shape.points_mm, by))
        case spec.Ell():
            shape = replace(
                shape,
                notch_length_mm=shape.notch_length_mm * by.length,
                notch_width_mm=shape.notch_width_mm * by.width,
            )
    return replace(shape, length_mm=shape.length_mm * by.length, width_mm=shape.width_mm * by.width)


def _moved(feature: spec.Feature, by: Factors) -> spec.Feature:
    if isinstance(feature, spec.Groove):
        return replace(feature, path_mm=_moved_all(feature.path_mm, by))
    if not isinstance(feature, spec.Trough):
        return replace(feature, centres_mm=_moved_all(feature.centres_mm, by))
    (x, y), (new_x, new_y) = feature.centre_mm, _moved_all((feature.centre_mm,), by)[0]
    drains = tuple(
        replace(drain, at_mm=(drain.at_mm[0] + new_x - x, drain.at_mm[1] + new_y - y))
        for drain in feature.drains
    )
    return replace(feature, centre_mm=(new_x, new_y), drains=drains)


def _moved_all(points: tuple[spec.Point, ...], by: Factors) -> tuple[spec.Point, ...]:
    return tuple((x * by.length, y * by.width) for x, y in points)
