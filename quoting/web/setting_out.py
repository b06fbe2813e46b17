"""The drawing beside the form: outline and features at full size in mm, each with a handle to move it by.

Quicker to make than the dimensioned plan. A handle names the field that holds its point and which of the
field's points it is, so the page's script can write the new place where a maker would type it.
"""

from __future__ import annotations

from dataclasses import dataclass
from html import escape

from quoting.engine.drawing.canvas import num
from quoting.engine.drawing.paths import PlanFrame
from quoting.engine.plane.contour import Contour, contour_of
from quoting.engine.plane.shapes import Point, Rectangle, Round, Shape
from quoting.engine.solid.build import Solid
from quoting.engine.spec.types import Feature, Groove, Inlay, Insert, Opening, Recess, Sleeve, Trough
from quoting.engine.units import UNITS_MM, format_length
from quoting.web.fields import field_id

_FRAME = PlanFrame((0.0, 0.0), 1.0)
_STEPS_MM = {"mm": 10.0, "cm": 10.0, "m": 10.0, "in": 6.35, "ft": 25.4}
_WORDS = {
    Opening: "Opening",
    Inlay: "Inlay",
    Recess: "Recess",
    Groove: "Groove",
    Sleeve: "Sleeve",
    Insert: "Insert",
    Trough: "Trough",
}


@dataclass(frozen=True, slots=True)
class _Handle:
    field: str
    index: int
    at: Point
    words: str
    body: str


def setting_out(solid: Solid, system: str) -> str:
    """One `<svg>`: outline, chalk grid, features on their handles, overall sizes in words."""
    piece = solid.piece
    x0, y0, x1, y1 = solid.outline.box_mm
    span = max(x1 - x0, y1 - y0)
    pad = span * 0.05
    view = f"{num(x0 - pad)} {num(-y1 - pad)} {num(x1 - x0 + 2 * pad)} {num(y1 - y0 + 2 * pad)}"
    handles = [handle for i, one in enumerate(piece.features) for handle in _handles(i, one, span, system)]
    size = f"{format_length(x1 - x0, system)} × {format_length(y1 - y0, system)}"
    opening = (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="setting-out" viewBox="{view}" role="group" '
        f'aria-label="Setting out of {escape(piece.name)}, {escape(size)}" '
        f'data-unit-mm="{num(float(UNITS_MM[piece.unit]))}" data-step-mm="{num(_STEPS_MM[piece.unit])}" '
        f'data-box="{num(x0)} {num(y0)} {num(x1)} {num(y1)}">'
    )
    parts = [
        opening,
        _grid((x0, y0, x1, y1), system),
        f'<path class="outline" d="{_FRAME.path(solid.outline)}"/>',
        *(_path("groove", void.contour) for void in solid.voids if void.kind == "groove"),
        *(_drawn(handle, span) for handle in handles),
        "</svg>",
    ]
    return "".join(parts)


def _grid(box: tuple[float, float, float, float], system: str) -> str:
    x0, y0, x1, y1 = box
    step = 152.4 if system == "us" else 100.0
    lines = [f"M{num(step * i)} {num(-y0)}V{num(-y1)}" for i in range(1, int((x1 - x0) / step) + 1)]
    lines += [f"M{num(x0)} {num(-step * i)}H{num(x1)}" for i in range(1, int((y1 - y0) / step) + 1)]
    return f'<path class="grid" d="{"".join(lines)}"/>'


def _handles(index: int, feature: Feature, span: float, system: str) -> list[_Handle]:
    word = f"{_WORDS[type(feature)]} {index + 1}"
    if isinstance(feature, Groove):
        mark = _path("mark", contour_of(Round(span * 0.02), (0.0, 0.0)))
        return [
            _Handle(f"features[{index}].path", i, point, f"{word}, point {i + 1}", mark)
            for i, point in enumerate(feature.path_mm)
        ]
    centres = (feature.centre_mm,) if isinstance(feature, Trough) else feature.centres_mm
    body = "".join(_path(kind, contour) for kind, contour in _contours(feature, span))
    return [_Handle(f"features[{index}].at", i, point, word, body) for i, point in enumerate(centres)]


def _contours(feature: Feature, span: float) -> list[tuple[str, Contour]]:
    """What stands round a centre, drawn about the origin."""
    match feature:
        case Trough():
            wall = 2 * feature.wall_mm
            radius = feature.corner_radius_mm
            outer = Rectangle(
                feature.length_mm + wall, feature.width_mm + wall, (radius + feature.wall_mm,) * 4
            )
            inner = Rectangle(feature.length_mm, feature.width_mm, (radius,) * 4)
            return [
                ("hidden", _at_origin(outer, feature.turn_deg)),
                ("void", _at_origin(inner, feature.turn_deg)),
            ]
        case Sleeve():
            return [("void", _at_origin(Round(feature.diameter_mm), 0.0))]
        case Insert():
            return [("mark", _at_origin(Round(span * 0.02), 0.0))]
        case Opening():
            return [("void", _at_origin(feature.shape, feature.turn_deg))]
        case Inlay():
            return [("inlay", _at_origin(feature.shape, feature.turn_deg))]
        case Recess():
            kind = "pocket" if feature.face == "top" else "hidden"
            return [(kind, _at_origin(feature.shape, feature.turn_deg))]
        case Groove():
            return []


def _at_origin(shape: Shape, turn_deg: float) -> Contour:
    return contour_of(shape, (0.0, 0.0), turn_deg)


def _path(kind: str, contour: Contour) -> str:
    return f'<path class="{kind}" d="{_FRAME.path(contour)}"/>'


def _drawn(handle: _Handle, span: float) -> str:
    x, y = handle.at
    words = f"{handle.words} at {num(round(x, 1))}, {num(round(y, 1))} mm; arrow keys move it"
    name = field_id(handle.field)
    arm = round(span * 0.01, 1)
    return (
        f'<g class="handle" id="h-{name}-{handle.index}" tabindex="0" role="button" '
        f'aria-label="{escape(words)}" transform="translate({num(x)} {num(-y)})" '
        f'data-field="f-{name}" data-index="{handle.index}" data-x="{num(x)}" data-y="{num(y)}">'
        f'<circle class="reach" r="{num(span * 0.05)}"/>{handle.body}'
        f'<path class="cross" d="M{-arm} 0H{arm}M0 {-arm}V{arm}"/></g>'
    )
