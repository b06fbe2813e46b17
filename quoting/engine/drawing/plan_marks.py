"""The line work of the plan: outlines, hidden edges, centre lines."""

from __future__ import annotations

from quoting.engine.drawing.canvas import Canvas
from quoting.engine.drawing.labels import LabelField
from quoting.engine.drawing.paths import PlanFrame
from quoting.engine.drawing.places import INSERT_MM
from quoting.engine.drawing.style import Stroke
from quoting.engine.drawing.values import Point
from quoting.engine.plane.contour import Contour
from quoting.engine.plane.segments import NoRoom
from quoting.engine.plane.shapes import Oval, Round, Slot
from quoting.engine.solid.build import Solid
from quoting.engine.spec.types import EdgeTreatment, Insert, Opening, Sleeve

_LEAST_GAP = 0.7  # parallel lines nearer than this on the sheet run together (ISO 128-2)
_PAST = 1.8  # a centre line passes its outline by this much


def draw(canvas: Canvas, field: LabelField, solid: Solid, frame: PlanFrame) -> None:
    """Draw the piece as seen from above, hidden edges first so that visible ones lie over them."""
    hidden, visible = _edges(solid, frame)
    for contour, stroke in (*hidden, *visible):
        points = frame.points(contour)
        canvas.path(frame.path(contour), stroke, box=frame.box(contour))
        field.ink(points)
    _centre_lines(canvas, field, solid, frame)


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


def _centre_lines(canvas: Canvas, field: LabelField, solid: Solid, frame: PlanFrame) -> None:
    """Dash-dot crosses through what is round, short crosses at the middle of everything else."""
    if isinstance(solid.piece.outline, Round | Oval):
        box = frame.box(solid.outline)
        _cross(canvas, field, ((box.x0 + box.x1) / 2, (box.y0 + box.y1) / 2), (box.width / 2, box.height / 2))
    for index, feature in enumerate(solid.piece.features):
        if isinstance(feature, Insert):
            for centre in feature.centres_mm:
                at, reach = frame.at(centre), INSERT_MM / 2 / frame.denominator
                canvas.circle(at, max(reach * 0.6, 0.6), "phantom")
                _cross(canvas, field, at, (reach, reach), past=0.6)
            continue
        is_round = isinstance(feature, Sleeve) or (
            isinstance(feature, Opening) and isinstance(feature.shape, Round | Oval | Slot)
        )
        for void in solid.voids:
            if void.feature != index or void.kind in ("inlay_through", "groove"):
                continue
            box = frame.box(void.contour)
            centre = ((box.x0 + box.x1) / 2, (box.y0 + box.y1) / 2)
            if is_round:
                _cross(canvas, field, centre, (box.width / 2, box.height / 2))
            else:
                reach = min(1.5, box.width / 3, box.height / 3)
                _cross(canvas, field, centre, (reach, reach), past=0.0)
    for body in solid.troughs:
        box = frame.box(body.outer)
        _cross(canvas, field, ((box.x0 + box.x1) / 2, (box.y0 + box.y1) / 2), (1.5, 1.5), past=0.0)
        for drain in body.trough.drains:
            radius = drain.diameter_mm / 2 / frame.denominator
            at = frame.at(drain.at_mm)
            canvas.circle(at, radius, "visible")
            field.ink((at[0] - radius, at[1] + way * radius) for way in (-1.0, 1.0))
            field.ink((at[0] + radius, at[1] + way * radius) for way in (-1.0, 1.0))
            _cross(canvas, field, at, (radius, radius), past=0.8)


def _cross(
    canvas: Canvas, field: LabelField, centre: Point, half: tuple[float, float], *, past: float = _PAST
) -> None:
    """Crossing centre lines; too short for its pattern, a centre line is drawn continuous (ISO 128-2)."""
    x, y = centre
    for reach, line in (
        (half[0] + past, ((x - half[0] - past, y), (x + half[0] + past, y))),
        (half[1] + past, ((x, y - half[1] - past), (x, y + half[1] + past))),
    ):
        canvas.line(*line, stroke="centre" if reach > 6.0 else "thin")
        field.ink(line)
