"""The line work of the plan: outlines, hidden edges, centre lines."""

from __future__ import annotations

import math

from quoting.engine.drawing.canvas import Canvas
from quoting.engine.drawing.cut_at import Axis, CutAt
from quoting.engine.drawing.labels import LabelField
from quoting.engine.drawing.paths import PlanFrame
from quoting.engine.drawing.places import places
from quoting.engine.drawing.style import Stroke
from quoting.engine.drawing.values import Box, Point
from quoting.engine.plane.contour import Contour
from quoting.engine.plane.segments import NoRoom
from quoting.engine.plane.shapes import Oval, Round, Slot
from quoting.engine.solid.build import Solid
from quoting.engine.spec.types import EdgeTreatment, Groove, Inlay, Insert, Opening, Recess, Sleeve, Trough

_LEAST_GAP = 0.7  # parallel lines nearer than this on the sheet run together (ISO 128-2)
_PAST = 1.8  # a centre line passes its outline by this much


def draw(canvas: Canvas, field: LabelField, solid: Solid, frame: PlanFrame, cut: CutAt | None) -> None:
    """Draw the piece as seen from above, hidden edges first so that visible ones lie over them."""
    hidden, visible = _edges(solid, frame)
    for contour, stroke in (*hidden, *visible):
        points = frame.points(contour)
        canvas.path(frame.path(contour), stroke, box=frame.box(contour))
        field.ink(points)
    field.keep_clear(frame.points(solid.outline))  # no label may lie across the piece's own outline
    crosses = _Crosses(canvas, field)
    if cut is not None:
        crosses.cover(frame.at((cut.at_mm, cut.at_mm)), cut.axis)
    _centre_lines(canvas, crosses, solid, frame)


def _edges(
    solid: Solid, frame: PlanFrame
) -> tuple[list[tuple[Contour, Stroke]], list[tuple[Contour, Stroke]]]:
    hidden: list[tuple[Contour, Stroke]] = []
    if solid.drop_band is not None:
        hidden.append((solid.drop_band[1], "hidden"))
    visible: list[tuple[Contour, Stroke]] = []
    for void in solid.voids:
        below = void.top_mm > 0.0
        (hidden if below else visible).append((void.contour, "hidden" if below else "outline"))
        if not below:
            visible += _treated(void.contour, void.edges, frame, outwards=True)
    for body in solid.troughs:
        hidden.append((body.outer, "hidden"))
        top, floor = body.inner_at(0.0), body.inner_at(body.trough.depth_mm)
        visible.append((top, "outline"))
        if _apart(top, floor, frame):
            visible.append((floor, "visible"))
    visible += _treated(solid.outline, solid.piece.edges, frame, outwards=False)
    visible.append((solid.outline, "outline"))
    return hidden, visible


def _treated(
    contour: Contour, edges: tuple[EdgeTreatment, ...], frame: PlanFrame, *, outwards: bool
) -> list[tuple[Contour, Stroke]]:
    """The second line of each treated upper edge, where it can be told from the first on the sheet."""
    result: list[tuple[Contour, Stroke]] = []
    for edge in edges:
        if edge.at != "top" or edge.size_mm / frame.denominator < _LEAST_GAP:
            continue
        try:
            line = contour.grown(edge.size_mm if outwards else -edge.size_mm, edge.sides)
        except NoRoom:
            continue
        result.append((line, "thin" if edge.profile == "round" else "visible"))
    return result


def _apart(outer: Contour, inner: Contour, frame: PlanFrame) -> bool:
    """Whether two nested contours can be told apart on the sheet."""
    return (inner.box_mm[0] - outer.box_mm[0]) / frame.denominator >= _LEAST_GAP


class _Crosses:
    """Draws centre lines, leaving out what would lie on one already drawn."""

    def __init__(self, canvas: Canvas, field: LabelField) -> None:
        self._canvas = canvas
        self._field = field
        self._drawn: list[tuple[bool, float, float, float]] = []

    def cover(self, at: Point, axis: Axis) -> None:
        """Count the cutting plane through `at`, right across the piece, as drawn."""
        self._drawn.append((axis == "x", at[0] if axis == "x" else at[1], -math.inf, math.inf))

    def add(self, centre: Point, half: tuple[float, float], *, past: float = _PAST) -> None:
        """Crossing centre lines; too short for its pattern, one is drawn continuous (ISO 128-2)."""
        x, y = centre
        for upright, at, middle, reach in ((False, y, x, half[0] + past), (True, x, y, half[1] + past)):
            low, high = middle - reach, middle + reach
            if any(
                upright == other and abs(at - where) < 0.2 and first <= low and high <= last
                for other, where, first, last in self._drawn
            ):
                continue
            ends = ((at, low), (at, high)) if upright else ((low, at), (high, at))
            self._canvas.line(*ends, stroke="centre" if reach > 6.0 else "thin")
            self._field.ink(ends)
            self._drawn.append((upright, at, low, high))


def _centre_lines(canvas: Canvas, crosses: _Crosses, solid: Solid, frame: PlanFrame) -> None:
    """Dash-dot crosses through what is round, short crosses at the middle of everything else."""
    if isinstance(solid.piece.outline, Round | Oval):
        box = frame.box(solid.outline)
        crosses.add(_middle(box), (box.width / 2, box.height / 2))
    for place in places(solid):
        feature = solid.piece.features[place.feature]
        is_round = isinstance(feature, Sleeve) or (
            isinstance(feature, Opening | Inlay | Recess) and isinstance(feature.shape, Round | Oval | Slot)
        )
        marked = () if isinstance(feature, Groove) else zip(place.points, place.boxes, strict=True)
        for order, (point, (x0, y0, x1, y1)) in enumerate(marked):
            at, half = frame.at(point), ((x1 - x0) / 2 / frame.denominator, (y1 - y0) / 2 / frame.denominator)
            if isinstance(feature, Insert):
                canvas.circle(at, max(half[0] * 0.6, 0.6), "phantom")
                crosses.add(at, half, past=0.6)
            elif isinstance(feature, Trough) and order > 0:  # its drains
                canvas.circle(at, half[0], "visible")
                crosses.add(at, half, past=0.8)
            elif is_round:
                crosses.add(at, half)
            else:
                reach = min(1.5, half[0] * 0.66, half[1] * 0.66)
                crosses.add(at, (reach, reach), past=0.0)


def _middle(box: Box) -> Point:
    return ((box.x0 + box.x1) / 2, (box.y0 + box.y1) / 2)
