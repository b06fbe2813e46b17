"""The edges of a piece that the isometric view draws where they can be seen.

Treatments too small for the sheet are drawn as sharp arrises. A chamfer shows both its edges and its mitres.
A quarter round has no edge: narrow lines mark where it begins and ends (imaginary intersections of ISO 128),
and the outline of the whole goes round it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

import shapely

from quoting.engine.drawing import isometry
from quoting.engine.drawing.isometry import Edge
from quoting.engine.drawing.style import Stroke
from quoting.engine.drawing.treated import foot_mm, treated_body, treated_rim
from quoting.engine.plane.contour import Contour, to_polygon
from quoting.engine.plane.corners import bends
from quoting.engine.plane.segments import Arc, Ellipse, Segment
from quoting.engine.solid.build import Solid, Void
from quoting.engine.spec.types import EdgeTreatment

_CHORD_MM = 0.02
_CHAMFER: Stroke = "visible"
_ROUND: Stroke = "thin"


def edges_of(solid: Solid, least_mm: float) -> Iterator[Edge]:
    """Every edge of the piece; treatments below `least_mm` are left out."""
    yield from _slab_edges(solid, least_mm)
    if solid.drop_band is not None:
        yield from _band_corners(solid, least_mm)
    for void in solid.voids:
        yield from _hole(void, solid.thickness_mm, least_mm)
    for body in solid.troughs:
        depth = body.trough.depth_mm
        top, floor = body.inner_at(0.0), body.inner_at(depth)
        yield from isometry.contour_edges(top, 0.0, "outline")
        yield from isometry.contour_edges(floor, depth, "visible")
        if body.trough.corner_radius_mm == 0.0:
            for a, b in zip(top.ring, floor.ring, strict=True):
                yield Edge("visible", ((*a.at, 0.0), (*b.at, depth)))
        for drain in body.drains:
            yield from isometry.contour_edges(drain, depth, "visible")
        if body.bottom_mm > body.top_mm:
            yield from isometry.contour_edges(body.outer, body.bottom_mm, "outline")
            yield from isometry.uprights(body.outer, body.top_mm, body.bottom_mm, "outline", outside=True)


def shown_treatments(edges: Iterable[EdgeTreatment], least_mm: float) -> tuple[EdgeTreatment, ...]:
    """The treatments that are large enough for the sheet."""
    return tuple(edge for edge in edges if edge.size_mm >= least_mm)


# --- slab and drop edge ----------------------------------------------------------------------------------
def _slab_edges(solid: Solid, least_mm: float) -> Iterator[Edge]:
    """Show face, foot, shoulders and corners of the slab with its drop edge."""
    contour_at, depths = treated_body(solid, least_mm=least_mm)
    shown = shown_treatments(solid.piece.edges, least_mm)
    top = [edge for edge in shown if edge.at == "top"]
    bottom = [edge for edge in shown if edge.at == "bottom"]
    face = contour_at(0.0)
    yield from _segments(face, face.segments, 0.0, top)
    for level in sorted({solid.thickness_mm, depths[-1]}):
        foot = contour_at(level)
        sides = [segment for segment in foot.segments if foot_mm(solid, segment.side) == level]
        yield from _segments(foot, sides, level, bottom)
    for edge in shown:
        for segment in _treated(solid.outline, edge):
            depth = edge.size_mm if edge.at == "top" else foot_mm(solid, segment.side) - edge.size_mm
            stroke = _CHAMFER if edge.profile == "chamfer" else _ROUND
            yield isometry.segment_edge(segment, solid.outline, depth, stroke)
    yield from _steps_of_the_foot(solid)
    starts = max((edge.size_mm for edge in top), default=0.0)
    undropped = solid.drop_band is None
    ends = solid.thickness_mm - max((e.size_mm for e in bottom), default=0.0) * undropped
    yield from isometry.uprights(solid.outline, starts, ends, "outline", outside=True)
    yield from _creases([(z, contour_at(z)) for z in depths if z <= starts])
    yield from _creases([(z, contour_at(z)) for z in depths if z >= ends and undropped])


def _segments(
    contour: Contour, segments: Iterable[Segment], depth: float, treatments: Sequence[EdgeTreatment]
) -> Iterator[Edge]:
    """Segments of a flat face's border: narrow where a quarter round runs into the face."""
    for segment in segments:
        rounded = any(
            edge.profile == "round" and (edge.sides is None or segment.side in edge.sides)
            for edge in treatments
        )
        yield isometry.segment_edge(segment, contour, depth, _ROUND if rounded else "outline")


def _treated(contour: Contour, edge: EdgeTreatment) -> Iterator[Segment]:
    """The segments of a contour along which a treatment runs: its sides, and the arcs between two of them."""
    segments = contour.segments
    if edge.sides is None or not contour.sides:
        yield from segments
        return
    for segment, after in zip(segments, (*segments[1:], segments[0]), strict=True):
        if segment.side in edge.sides and (not isinstance(segment, Arc) or after.side in edge.sides):
            yield segment


def _steps_of_the_foot(solid: Solid) -> Iterator[Edge]:
    """Upright ends of a drop edge, where the foot steps from one depth to another."""
    segments = solid.outline.segments
    for before, segment in zip((segments[-1], *segments[:-1]), segments, strict=True):
        low, high = sorted((foot_mm(solid, before.side), foot_mm(solid, segment.side)))
        if high > low and not isinstance(segment, Ellipse):
            yield Edge("outline", ((*segment.start, low), (*segment.start, high)))


def _band_corners(solid: Solid, least_mm: float) -> Iterator[Edge]:
    """Outer corners of the drop edge, where the band is."""
    contour_at, depths = treated_body(solid, least_mm=least_mm)
    lowest = depths[-1]
    sizes = [e.size_mm for e in shown_treatments(solid.piece.edges, least_mm) if e.at == "bottom"]
    ends = max(solid.thickness_mm, lowest - max(sizes, default=0.0))
    outer, inner = solid.drop_band or (solid.outline, solid.outline)
    band = to_polygon(outer, _CHORD_MM).difference(to_polygon(inner, _CHORD_MM))
    yield from (
        corner
        for corner in isometry.uprights(solid.outline, solid.thickness_mm, ends, "outline", outside=True)
        if band.intersection(shapely.Point(corner.points[0][:2]).buffer(1.0)).area > 0.05
    )
    if solid.piece.drop_edge is not None and solid.piece.drop_edge.sides is None:
        yield from _creases([(z, contour_at(z)) for z in depths if z >= ends])


def _creases(levels: Sequence[tuple[float, Contour]]) -> Iterator[Edge]:
    """The mitres of treated edges: where each sharp corner goes from level to level.

    Where only some sides are treated and corners are round, the levels do not match and none is drawn.
    """
    if len(levels) < 2 or len({len(contour.ring) for _, contour in levels}) > 1:
        return
    sharp = [
        [bend.corner.radius_mm == 0.0 and abs(bend.turn) > 1e-3 for bend in bends(c.ring)] for _, c in levels
    ]
    for i in range(len(levels[0][1].ring)):
        if all(level[i] for level in sharp):
            yield Edge("visible", tuple((*contour.ring[i].at, z) for z, contour in levels))


# --- voids -----------------------------------------------------------------------------------------------
def _hole(void: Void, thickness_mm: float, least_mm: float) -> Iterator[Edge]:
    contour_at, depths = treated_rim(void, thickness_mm, least_mm=least_mm)
    shown = shown_treatments(void.edges, least_mm)
    stroke: Stroke = "outline" if void.top_mm == 0.0 else "visible"
    yield from isometry.contour_edges(contour_at(void.top_mm), void.top_mm, stroke)
    yield from isometry.contour_edges(contour_at(void.bottom_mm), void.bottom_mm, "visible")
    for edge in shown:
        depth = edge.size_mm if edge.at == "top" else thickness_mm - edge.size_mm
        for segment in _treated(void.contour, edge):
            line = _CHAMFER if edge.profile == "chamfer" else _ROUND
            yield isometry.segment_edge(segment, void.contour, depth, line)
    if shown:
        yield from _creases([(z, contour_at(z)) for z in depths])
    else:
        yield from isometry.uprights(void.contour, void.top_mm, void.bottom_mm, "visible", outside=False)
