"""Detail B of a section: the treated edge of the piece, large enough to be read."""

from __future__ import annotations

from dataclasses import dataclass

import shapely
from shapely import affinity
from shapely.geometry.base import BaseGeometry
from shapely.ops import nearest_points

from quoting.engine.drawing import dimensions
from quoting.engine.drawing.areas import lines_in
from quoting.engine.drawing.canvas import Canvas
from quoting.engine.drawing.hatching import hatch_lines
from quoting.engine.drawing.labels import LabelField, around, at_point
from quoting.engine.drawing.style import scale_for, scale_text
from quoting.engine.drawing.text import length_text
from quoting.engine.drawing.values import Box, Point
from quoting.engine.solid.build import Solid
from quoting.engine.spec.types import EdgeTreatment

_MOST_HIGH = 42.0
_TREATED_MM = 0.2  # a corner is treated when the face keeps farther than this from it


@dataclass(frozen=True, slots=True)
class Detail:
    """The end of a cut face in (u, z) and the treatments that meet there, each with its sharp corner."""

    face: BaseGeometry
    end: float
    outwards: float
    """+1 at the right end of the section, -1 at its left."""
    height: float
    treated: tuple[tuple[EdgeTreatment, Point], ...]


def detail_of(solid: Solid, concrete: BaseGeometry) -> Detail | None:
    """The end of the section with most treated corners, the right one of equals; None with square edges."""
    if concrete.is_empty or not solid.piece.edges:
        return None
    low, _, high, _ = concrete.bounds
    drop = solid.piece.drop_edge
    largest = max(edge.size_mm for edge in solid.piece.edges)
    best: Detail | None = None
    for end, outwards in ((high, 1.0), (low, -1.0)):
        near = concrete.intersection(shapely.box(end - largest, 0.0, end + largest, solid.height_mm))
        height = float(near.bounds[3]) if not near.is_empty else solid.thickness_mm
        if drop is None:
            height = solid.thickness_mm
        treated = []
        for edge in solid.piece.edges:
            corner = (end, 0.0 if edge.at == "top" else height)
            away = concrete.distance(shapely.Point(corner))
            if _TREATED_MM < away < edge.size_mm:
                treated.append((edge, corner))
        width = max(1.1 * height, 3.0 * largest)
        inner = end - outwards * width
        clip = shapely.box(min(end, inner), 0.0, max(end, inner), height)
        if treated and (best is None or len(treated) > len(best.treated)):
            best = Detail(concrete.intersection(clip), end, outwards, height, tuple(treated))
    return best


def mark(canvas: Canvas, field: LabelField, at: Point, radius: float) -> None:
    """The ring round what the detail shows, and its letter."""
    canvas.circle(at, radius)
    target = Box(at[0] - radius, at[1] - radius, at[0] + radius, at[1] + radius)
    field.block(target)
    size = canvas.text_size("B", canvas.style.cap * 1.4)
    for candidate in around(target.grown(-3.5), size, at_point(at)):
        x, y = candidate.centre
        box = Box(x - size[0] / 2, y - size[1] / 2, x + size[0] / 2, y + size[1] / 2)
        if field.is_free(box):
            field.block(canvas.text_in("B", box, cap=canvas.style.cap * 1.4))
            return


def draw(canvas: Canvas, detail: Detail, system: str, pattern: tuple[float, float]) -> None:
    """Draw the detail below everything drawn so far, its treatments and height dimensioned.

    `pattern` is the hatching's spacing in mm and angle in degrees, as in the section itself.
    """
    denominator = scale_for(detail.height, _MOST_HIGH, system)
    origin = (canvas.extent.x0 + 30.0, canvas.extent.y1 + 18.0)
    inner = detail.face.bounds[0 if detail.outwards > 0 else 2]

    def laid(shape: BaseGeometry) -> BaseGeometry:
        moved = affinity.translate(shape, -detail.face.bounds[0], 0.0)
        small = affinity.scale(moved, 1 / denominator, 1 / denominator, origin=(0, 0))
        return affinity.translate(small, *origin)

    field = LabelField()
    face = laid(detail.face)
    _face(canvas, field, face, laid(shapely.LineString([(inner, -1e3), (inner, 1e3)])), pattern)
    left, top, right, _ = face.bounds
    cap = canvas.style.cap * 1.4
    heading = f"B  {scale_text(denominator)}"
    field.block(canvas.text(heading, ((left + right) / 2, top - 8.0), anchor="middle", cap=cap))
    outer = right if detail.outwards > 0 else left
    dimensions.linear(
        canvas,
        (origin[1], origin[1] + detail.height / denominator),
        outer + detail.outwards * 8.0,
        length_text(detail.height, system),
        vertical=True,
        reach=(outer, outer),
        field=field,
    )
    for edge, corner in detail.treated:
        _label(canvas, field, face, edge, laid(shapely.Point(corner)), system)


def _face(
    canvas: Canvas, field: LabelField, face: BaseGeometry, torn: BaseGeometry, pattern: tuple[float, float]
) -> None:
    """The hatched end, its outline wide but where it is torn off."""
    lines = hatch_lines(face, *pattern)
    canvas.lines(lines, "hatch")
    strip = torn.buffer(1e-3)
    outline = lines_in(face.boundary.difference(strip), 0.01)
    for line in outline:
        canvas.line(*line, stroke="outline")
    for line in lines_in(face.boundary.intersection(strip), 0.5):
        canvas.line(line[0], line[-1], stroke="thin")
    for line in lines:
        field.ink(line)
    for line in outline:
        field.keep_clear(line)


def _label(
    canvas: Canvas,
    field: LabelField,
    face: BaseGeometry,
    edge: EdgeTreatment,
    corner: BaseGeometry,
    system: str,
) -> None:
    on_face = nearest_points(face, corner)[0]
    tip = (on_face.x, on_face.y)
    size_text = length_text(edge.size_mm, system)
    text = f"{size_text}\u00a0×\u00a045°" if edge.profile == "chamfer" else f"R{size_text}"
    size = canvas.text_size(text)
    placed = field.place(*size, around(Box(*tip, *tip), size, at_point(tip)), must=True)
    if placed is not None:
        canvas.text_in(text, placed[0], clear=True)
        dimensions.leader(canvas, placed[1].leader, arrow=True)
