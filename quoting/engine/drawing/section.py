"""The section A–A: the piece cut by an upright plane, cut faces hatched, thickness and depths dimensioned."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from shapely import affinity
from shapely.geometry.base import BaseGeometry

from quoting.engine.drawing import dimensions, edge_detail, sheet
from quoting.engine.drawing.areas import lines_in, polygons_in
from quoting.engine.drawing.canvas import Canvas, polyline
from quoting.engine.drawing.cut_at import Axis, CutAt, default_cut
from quoting.engine.drawing.cut_faces import CutFaces, Interval, cut_faces
from quoting.engine.drawing.hatching import hatch_lines
from quoting.engine.drawing.labels import LabelField, around, at_point
from quoting.engine.drawing.sheet import Entry
from quoting.engine.drawing.style import Stroke, scale_for, scale_text, style_for
from quoting.engine.drawing.text import length_text, unit_note
from quoting.engine.drawing.values import Box, Drawing, Point, TitleBlock
from quoting.engine.drawing.wording import described, name, piece_notes
from quoting.engine.solid.build import Solid, TroughBody
from quoting.engine.solid.measure import Geometry

_CONCRETE = (1.3, 45.0)
_OTHER_MIX = (2.0, -45.0)
_INLAY = (0.7, -45.0)


@dataclass(frozen=True, slots=True)
class _View:
    """The cut faces and how they lie on the sheet: u to the right, z down, at 1 : `denominator`."""

    solid: Solid
    faces: CutFaces
    denominator: float
    system: str
    span: tuple[float, float]

    def at(self, u: float, z: float) -> Point:
        """Where (u, z) in mm lies on the sheet."""
        return (u / self.denominator, z / self.denominator)

    def laid(self, face: BaseGeometry) -> BaseGeometry:
        """A face in (u, z) as it lies on the sheet."""
        return affinity.scale(face, 1 / self.denominator, 1 / self.denominator, origin=(0, 0))

    def length(self, mm: float) -> str:
        """A length as it is lettered."""
        return length_text(mm, self.system)


def section_view(
    solid: Solid,
    geometry: Geometry,
    *,
    system: str,
    axis: Axis | None = None,
    at_mm: float | None = None,
    compact: bool = False,
    block: TitleBlock | None = None,
    prefix: str = "section",
) -> Drawing:
    """Draw the section through the piece at `at_mm` on `axis`; by default where `default_cut` takes it.

    Concrete hatched at 45°, another mix and inlays otherwise; what lies beyond in narrower lines; running
    dimensions from the edge to every face cut, thickness, depths. With only `axis` given the cut goes through
    the middle. `system`, `compact`, `prefix` as for `plan`.
    """
    cut = _chosen(solid, axis, at_mm)
    faces = cut_faces(solid, cut)
    style = style_for(compact=compact)
    x0, y0, x1, y1 = solid.outline.box_mm
    span = (y0, y1) if cut.axis == "x" else (x0, x1)
    room = style.width - 2 * style.margin - (24.0 if compact else 44.0)
    width = span[1] - span[0]
    denominator = width / room if compact else scale_for(max(width, solid.height_mm), room, system)
    view = _View(solid, faces, denominator, system, span)
    canvas, field = Canvas(style), LabelField()
    _faces(canvas, field, view)
    detail = None if compact else edge_detail.detail_of(solid, faces.concrete)
    ring = min(max(3.0, 0.7 * detail.height / denominator), 7.0) if detail is not None else 0.0
    onto_left = detail is not None and detail.outwards < 0
    lowest = _dimensions(canvas, field, view, (ring, 0.0) if onto_left else (0.0, ring))
    if not compact:
        half = style.width / 2 - style.margin
        middle = (canvas.extent.x0 + canvas.extent.x1) / 2
        field.limit(
            lambda box: box.y1 <= lowest - 0.5 and abs((box.x0 + box.x1) / 2 - middle) + box.width / 2 <= half
        )
        if detail is not None:
            edge_detail.mark(canvas, field, view.at(detail.end, detail.height / 2), ring)
        _labels(canvas, field, view)
    _heading(canvas, view)
    if detail is not None:
        edge_detail.draw(canvas, detail, system, _CONCRETE)
    place = length_text(cut.at_mm, system)
    where = f"{place} from the {'left edge' if cut.axis == 'x' else 'front edge'}"
    return sheet.finish(
        canvas,
        title=f"Section A–A of {solid.piece.name}",
        description=f"Cut {where}, {'across' if cut.axis == 'x' else 'along'} the length. "
        f"{described(solid.piece, geometry, system)}",
        prefix=prefix,
        scale=scale_text(denominator),
        unit=unit_note(system),
        notes=[Entry(f"Cut {where}."), Entry(". ".join(piece_notes(solid.piece, system)) + ".")],
        block=block,
    )


def _chosen(solid: Solid, axis: Axis | None, at_mm: float | None) -> CutAt:
    if axis is None:
        return default_cut(solid)
    x0, y0, x1, y1 = solid.outline.box_mm
    middle = (x0 + x1) / 2 if axis == "x" else (y0 + y1) / 2
    return CutAt(axis, middle if at_mm is None else at_mm)


# --- line work -------------------------------------------------------------------------------------------
def _faces(canvas: Canvas, field: LabelField, view: _View) -> None:
    faces = view.faces
    solid_part = faces.concrete.union(faces.other_mix)
    hiding: BaseGeometry = solid_part.buffer(0.02)
    for silhouette in faces.beyond:
        for line in lines_in(view.laid(silhouette.boundary.difference(hiding)), 0.05):
            canvas.line(*line, stroke="visible")
            field.ink(line)
        hiding = hiding.union(silhouette.buffer(0.02))
    _face(canvas, field, view.laid(faces.concrete), _CONCRETE, "outline")
    _face(canvas, field, view.laid(faces.other_mix), _OTHER_MIX, "outline")
    for _, inlay in faces.inlays:
        _face(canvas, field, view.laid(inlay), _INLAY, "visible")


def _face(
    canvas: Canvas, field: LabelField, face: BaseGeometry, pattern: tuple[float, float], stroke: Stroke
) -> None:
    lines = hatch_lines(face, *pattern)
    canvas.lines(lines, "hatch")
    for line in lines:
        field.ink(line)
    for part in polygons_in(face):
        for ring in (part.exterior, *part.interiors):
            points = tuple(ring.simplify(0.002).coords)
            canvas.reach_points(points)
            canvas.path(polyline(points[:-1], closed=True), stroke)
            field.keep_clear(points)


def _heading(canvas: Canvas, view: _View) -> None:
    """The section's name above everything drawn (ISO 128-3)."""
    middle = sum(_seen(view)) / 2
    canvas.text("A–A", (middle, canvas.extent.y0 - 2.5), anchor="middle", cap=canvas.style.cap * 1.4)


# --- dimensions ------------------------------------------------------------------------------------------
def _dimensions(canvas: Canvas, field: LabelField, view: _View, rings: tuple[float, float]) -> float:
    """All dimensions; returns where the ground below the piece ends that labels may stand on.

    Upright ones stand beside what is seen, clear of the detail's ring, `rings` wide at the left and right.
    """
    solid, faces = view.solid, view.faces
    left = view.at(view.span[0], 0.0)[0]
    first, last = _seen(view)
    bottom = view.at(0.0, solid.height_mm)[1]
    cut_all = view.laid(faces.concrete.union(faces.other_mix))
    low, _, high, deep = cut_all.bounds
    line_y = bottom + 4.0
    total_at = bottom + 7.0
    marks = {} if canvas.style.compact else _faces_met(view)
    if marks:
        ordinates = [
            dimensions.Ordinate(view.at(u, 0.0)[0], view.at(0.0, z)[1], view.length(u - view.span[0]))
            for u, z in sorted(marks.items())
        ]
        depth = dimensions.running(canvas, ordinates, left, bottom, field=field)
        total_at = bottom + depth + 5.5
    dimensions.linear(
        canvas,
        (low, high),
        total_at,
        view.length(view.span[1] - view.span[0])
        if _whole(view, low, high)
        else view.length((high - low) * view.denominator),
        reach=(view.at(0.0, solid.thickness_mm)[1],) * 2,
    )
    thick = (0.0, view.at(0.0, solid.thickness_mm)[1])
    beside = first - max(6.0, rings[0] + 1.0)
    _upright(canvas, field, thick, beside, view.length(solid.thickness_mm), (first, first))
    if deep > thick[1] + 1e-6:
        said = view.length(deep * view.denominator)
        beside = last + max(9.0, rings[1] + canvas.text_size(said)[1] + 1.5)
        _upright(canvas, field, (0.0, deep), beside, said, (last, last))
    for body, inside, _ in faces.troughs:
        if _has_room(canvas, view, body, inside):
            a, b = view.at(inside[0], 0.0)[0], view.at(inside[1], 0.0)[0]
            depth_mm = body.trough.depth_mm
            span = (0.0, view.at(0.0, depth_mm)[1])
            _upright(canvas, field, span, a + 0.62 * (b - a), view.length(depth_mm), (None, None))
    for label in canvas.labels:
        field.block(label.box)
    return line_y


def _seen(view: _View) -> tuple[float, float]:
    """How far what is cut and what lies beyond reach, on the sheet: a notch leaves less than the span."""
    faces = (view.faces.concrete, view.faces.other_mix, *view.faces.beyond)
    boxes = [view.laid(face).bounds for face in faces if not face.is_empty]
    return min(box[0] for box in boxes), max(box[2] for box in boxes)


def _has_room(canvas: Canvas, view: _View, body: TroughBody, inside: Interval) -> bool:
    """Whether the depth of a trough can be dimensioned inside it."""
    width, height = canvas.text_size(view.length(body.trough.depth_mm))
    room = (inside[1] - inside[0]) / view.denominator
    return room >= 3 * height and body.trough.depth_mm / view.denominator >= width + 1.0


def _whole(view: _View, low: float, high: float) -> bool:
    width = (view.span[1] - view.span[0]) / view.denominator
    return abs((high - low) - width) < 1e-3


def _upright(
    canvas: Canvas,
    field: LabelField,
    span: tuple[float, float],
    at: float,
    text: str,
    reach: tuple[float | None, float | None],
) -> None:
    dimensions.linear(canvas, span, at, text, vertical=True, reach=reach, field=field)


def _faces_met(view: _View) -> dict[float, float]:
    """Distinct u of every upright face the plane meets, with the depth its extension line starts at."""
    thickness = view.solid.thickness_mm
    marks: dict[float, float] = {view.span[0]: thickness}

    def add(u: float, z: float) -> None:
        key = round(u, 1)
        marks[key] = max(marks.get(key, 0.0), z)

    for _, (low, high) in view.faces.voids:
        add(low, thickness)
        add(high, thickness)
    for body, inside, outside in view.faces.troughs:
        for u in outside:
            add(u, body.bottom_mm)
        for u in inside:
            add(u, body.bottom_mm)
    if len(marks) == 1 or len(marks) * 3.8 > 1.3 * (view.span[1] - view.span[0]) / view.denominator:
        return {}
    return marks


# --- labels ----------------------------------------------------------------------------------------------
def _labels(canvas: Canvas, field: LabelField, view: _View) -> None:
    for text, (u, z) in _said(canvas, view):
        tip = view.at(u, z)
        size = canvas.text_size(text)
        placed = field.place(*size, around(Box(*tip, *tip), size, at_point(tip)))
        if placed is None:
            continue
        where, candidate = placed
        canvas.text_in(text, where, clear=True)
        dimensions.leader(canvas, candidate.leader, arrow=False)


def _said(canvas: Canvas, view: _View) -> Iterator[tuple[str, Point]]:
    """What is lettered with a leader: text and where the leader starts (u, z)."""
    solid = view.solid
    for body, inside, outside in view.faces.troughs:
        trough = body.trough
        middle = inside[0] + 0.3 * (inside[1] - inside[0])
        yield f"floor {view.length(trough.floor_mm)}", (middle, trough.depth_mm + trough.floor_mm / 2)
        if not _has_room(canvas, view, body, inside):
            deep = inside[0] + 0.7 * (inside[1] - inside[0])
            yield f"{view.length(trough.depth_mm)} deep inside", (deep, trough.depth_mm / 2)
        wall_z = max(trough.depth_mm * 0.7, (body.top_mm + body.bottom_mm) / 2)
        taper = f", inside leans {trough.taper_deg:g}°" if trough.taper_deg else ""
        text = f"wall {view.length(outside[1] - inside[1])}{taper}"
        yield text, ((inside[1] + outside[1]) / 2, wall_z)
    told: set[int] = set()
    for void, (low, high) in view.faces.voids:
        if void.feature in told or void.kind == "inlay_through":
            continue
        told.add(void.feature)
        what = name(solid.piece.features[void.feature]).lower()
        text = what if void.through else f"{what}, {view.length(void.bottom_mm - void.top_mm)} deep"
        yield text, ((low + high) / 2, (void.top_mm + void.bottom_mm) / 2)
