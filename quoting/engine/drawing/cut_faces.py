"""What a plane cuts of a solid: faces in (u, z), u along the cut, z down from the show face, mm.

The faces are drawn, never measured: curves are chords a hundredth of a millimetre true.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

import shapely
from shapely.geometry.base import BaseGeometry

from quoting.engine.drawing.areas import area_of, lines_in, polygons_in
from quoting.engine.drawing.cut_at import CutAt
from quoting.engine.drawing.treated import treated_body, treated_rim
from quoting.engine.plane.contour import Contour, to_polygon
from quoting.engine.solid.build import Solid, TroughBody, Void

Interval = tuple[float, float]
_FAR = 1e5
_LEAN_STEPS = 6


@dataclass(frozen=True, slots=True)
class CutFaces:
    """The cut faces by what they are made of, and the silhouette of what lies beyond the plane."""

    concrete: BaseGeometry
    other_mix: BaseGeometry
    """What hangs below the slab in another mix."""
    inlays: tuple[tuple[Void, BaseGeometry], ...]
    beyond: tuple[BaseGeometry, ...]
    """Nearest first; each hides what comes after it."""
    voids: tuple[tuple[Void, Interval], ...]
    """Voids that the plane meets, each stretch of them, from u to u."""
    troughs: tuple[tuple[TroughBody, Interval, Interval], ...]
    """Troughs that the plane meets: inside at the show face, outside."""


def cut_faces(solid: Solid, cut: CutAt) -> CutFaces:
    """Cut the solid."""
    thickness = solid.thickness_mm
    body = _outer_body(solid, cut)
    voids = [(void, span) for void in solid.voids for span in intervals(void.contour, cut)]
    for void in solid.voids:
        body = body.difference(_void_face(void, thickness, cut))
    hanging: dict[bool, list[BaseGeometry]] = {False: [], True: []}
    troughs = []
    hollows = []
    for trough in solid.troughs:
        hollow = _hollow(trough, cut)
        body = body.difference(hollow)
        hollows.append(hollow)
        spans = intervals(trough.outer, cut)
        below = _boxes(spans, trough.top_mm, trough.bottom_mm).difference(hollow)
        own = trough.trough.mix is not None and trough.trough.mix != solid.piece.mix
        hanging[own].append(below)
        inner = intervals(trough.inner_at(0.0), cut)
        troughs += [(trough, inside, outside) for inside, outside in zip(inner, spans, strict=False)]
    inlays = tuple(
        (void, shapely.box(span[0], void.top_mm, span[1], void.bottom_mm))
        for void, span in voids
        if void.kind == "inlay"
    )
    return CutFaces(
        _tidy(shapely.union_all([body, *hanging[False]])),
        _tidy(shapely.union_all(hanging[True])),
        inlays,
        tuple(area_of(face) for face in (*hollows, *_beyond(solid, cut)) if polygons_in(face)),
        tuple(voids),
        tuple(troughs),
    )


@lru_cache(maxsize=512)
def intervals(contour: Contour, cut: CutAt) -> tuple[Interval, ...]:
    """Where the cutting plane runs inside a contour, ascending."""
    ends = (
        ((cut.at_mm, -_FAR), (cut.at_mm, _FAR))
        if cut.axis == "x"
        else ((-_FAR, cut.at_mm), (_FAR, cut.at_mm))
    )
    met = to_polygon(contour, 0.01).intersection(shapely.LineString(ends))
    along = 1 if cut.axis == "x" else 0
    spans = []
    for piece in lines_in(met, 1e-6):
        values = [point[along] for point in piece]
        spans.append((min(values), max(values)))
    return tuple(sorted(spans))


def _tidy(shape: BaseGeometry) -> BaseGeometry:
    """Without the slivers that coinciding faces leave."""
    return shape.buffer(-1e-4, join_style="mitre").buffer(1e-4, join_style="mitre")


def _boxes(spans: Iterable[Interval], top: float, bottom: float) -> BaseGeometry:
    return shapely.union_all([shapely.box(low, top, high, bottom) for low, high in spans])


def _stacked(contour_at: Callable[[float], Contour], depths: Sequence[float], cut: CutAt) -> BaseGeometry:
    """The face of a body whose contour changes with depth, between the depths given."""
    levels = [(z, intervals(contour_at(z), cut)) for z in depths]
    faces = []
    for (z0, upper), (z1, lower) in pairwise(levels):
        pairs = zip(upper, lower, strict=True) if len(upper) == len(lower) else ()
        for (a0, b0), (a1, b1) in pairs:
            faces.append(shapely.Polygon([(a0, z0), (b0, z0), (b1, z1), (a1, z1)]))
    return shapely.union_all(faces)


# --- slab and drop edge ----------------------------------------------------------------------------------
def _outer_body(solid: Solid, cut: CutAt) -> BaseGeometry:
    contour_at, depths = treated_body(solid)
    body = _stacked(contour_at, depths, cut)
    if solid.drop_band is not None:
        body = body.difference(_boxes(intervals(solid.drop_band[1], cut), solid.thickness_mm, depths[-1]))
    return body


def _void_face(void: Void, thickness: float, cut: CutAt) -> BaseGeometry:
    contour_at, depths = treated_rim(void, thickness)
    return _stacked(contour_at, depths, cut)


# --- troughs ---------------------------------------------------------------------------------------------
def _hollow(body: TroughBody, cut: CutAt) -> BaseGeometry:
    depth = body.trough.depth_mm
    steps = _LEAN_STEPS if body.trough.taper_deg else 1
    inside = _stacked(body.inner_at, [depth * step / steps for step in range(steps + 1)], cut)
    drains = [_boxes(intervals(drain, cut), depth, body.bottom_mm) for drain in body.drains]
    return shapely.union_all([inside, *drains])


# --- beyond the plane ------------------------------------------------------------------------------------
def _beyond(solid: Solid, cut: CutAt) -> tuple[BaseGeometry, ...]:
    """Silhouettes of slab, troughs and drop edge on the far side, nearest first: towards -x for a cut across
    x, towards +y for one across y."""
    half = (
        shapely.box(-_FAR, -_FAR, cut.at_mm, _FAR)
        if cut.axis == "x"
        else shapely.box(-_FAR, cut.at_mm, _FAR, _FAR)
    )
    contour_at, depths = treated_body(solid)
    slab_depths = [z for z in depths if z <= solid.thickness_mm]
    levels = [(z, to_polygon(contour_at(z)).intersection(half)) for z in slab_depths]
    slab = shapely.union_all([_shadow(a, b, z0, z1, cut) for (z0, a), (z1, b) in pairwise(levels)])
    hanging = []
    for body in solid.troughs:
        far = to_polygon(body.outer).intersection(half)
        hanging.append((_nearest(far, cut), _shadow(far, far, body.top_mm, body.bottom_mm, cut)))
    if solid.drop_band is not None and solid.piece.drop_edge is not None:
        band = to_polygon(solid.drop_band[0]).difference(to_polygon(solid.drop_band[1]))
        far = _tidy(band.intersection(half))
        for part in polygons_in(far):
            face = _shadow(part, part, solid.thickness_mm, solid.piece.drop_edge.depth_mm, cut)
            hanging.append((_nearest(part, cut), face))
    hanging.sort(key=lambda item: item[0])
    return (slab, *(face for _, face in hanging))


def _nearest(plan: BaseGeometry, cut: CutAt) -> float:
    """Distance from the plane to the nearest of what lies beyond it."""
    if plan.is_empty:
        return _FAR
    _, low, right, _ = plan.bounds
    return float(cut.at_mm - right if cut.axis == "x" else low - cut.at_mm)


def _shadow(upper: BaseGeometry, lower: BaseGeometry, top: float, bottom: float, cut: CutAt) -> BaseGeometry:
    """The side view of a layer with these plans at its top and bottom."""
    if upper.is_empty or lower.is_empty:
        return shapely.Polygon()
    along = 1 if cut.axis == "x" else 0
    a, b = upper.bounds, lower.bounds
    return shapely.Polygon([(a[along], top), (a[along + 2], top), (b[along + 2], bottom), (b[along], bottom)])
