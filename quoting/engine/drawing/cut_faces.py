"""What a plane cuts of a solid: faces in (u, z), u along the cut, z down from the show face, mm.

The faces are drawn, never measured: curves are chords a hundredth of a millimetre true.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

import shapely
from shapely.geometry.base import BaseGeometry

from quoting.engine.drawing.cut_at import CutAt
from quoting.engine.plane.contour import Contour, to_polygon
from quoting.engine.solid.build import Solid, TroughBody, Void
from quoting.engine.solid.layers import inset_mm
from quoting.engine.spec.types import EdgeTreatment

Interval = tuple[float, float]
_FAR = 1e5
_ROUND_STEPS = 12
_LEAN_STEPS = 6


@dataclass(frozen=True, slots=True)
class CutFaces:
    """The cut faces by what they are made of, and the silhouette of what lies beyond the plane."""

    concrete: BaseGeometry
    other_mix: BaseGeometry
    """What hangs below the slab in another mix."""
    inlays: tuple[tuple[Void, BaseGeometry], ...]
    beyond: BaseGeometry
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
    for trough in solid.troughs:
        hollow = _hollow(trough, cut)
        body = body.difference(hollow)
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
        _beyond(solid, cut),
        tuple(voids),
        tuple(troughs),
    )


def intervals(contour: Contour, cut: CutAt) -> tuple[Interval, ...]:
    """Where the cutting plane runs inside a contour, ascending."""
    ends = (
        ((cut.at_mm, -_FAR), (cut.at_mm, _FAR)) if cut.axis == "x" else ((-_FAR, cut.at_mm), (_FAR, cut.at_mm))
    )
    met = to_polygon(contour, 0.01).intersection(shapely.LineString(ends))
    along = 1 if cut.axis == "x" else 0
    pieces = getattr(met, "geoms", [met])
    spans = []
    for piece in pieces:
        if piece.length > 1e-6:
            values = [point[along] for point in piece.coords]
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
    for (z0, upper), (z1, lower) in zip(levels, levels[1:], strict=False):
        pairs = zip(upper, lower, strict=True) if len(upper) == len(lower) else ()
        for (a0, b0), (a1, b1) in pairs:
            faces.append(shapely.Polygon([(a0, z0), (b0, z0), (b1, z1), (a1, z1)]))
    return shapely.union_all(faces)


# --- slab and drop edge ----------------------------------------------------------------------------------
def _outer_body(solid: Solid, cut: CutAt) -> BaseGeometry:
    piece, thickness = solid.piece, solid.thickness_mm
    drop = piece.drop_edge
    lowest = drop.depth_mm if drop is not None else thickness
    top = [edge for edge in piece.edges if edge.at == "top"]
    bottom = [edge for edge in piece.edges if edge.at == "bottom"]
    dropped = None if drop is None else drop.sides

    def is_dropped(side: int) -> bool:
        return drop is not None and (dropped is None or side in dropped)

    def contour_at(z: float) -> Contour:
        def inset(side: int) -> float:
            floor = lowest if is_dropped(side) else thickness
            below = _inset(bottom, side, floor - z) if z <= floor else 0.0
            return max(_inset(top, side, z), below)

        return _drawn_in(solid.outline, inset)

    marks = {0.0, thickness, lowest}
    for edge in top:
        marks.update(_steps(0.0, edge))
    for edge in bottom:
        for floor in (thickness, lowest):
            marks.update(floor - step for step in _steps(0.0, edge))
    depths = sorted(z for z in marks if 0.0 <= z <= lowest)
    body = _stacked(contour_at, depths, cut)
    if solid.drop_band is not None:
        body = body.difference(_boxes(intervals(solid.drop_band[1], cut), thickness, lowest))
    return body


def _steps(face: float, edge: EdgeTreatment) -> list[float]:
    if edge.profile == "chamfer":
        return [face, face + edge.size_mm]
    # closer near the face, where the quarter round turns fastest
    return [face + edge.size_mm * (step / _ROUND_STEPS) ** 2 for step in range(_ROUND_STEPS + 1)]


def _inset(edges: Sequence[EdgeTreatment], side: int, depth: float) -> float:
    """How far the last treatment on `side` draws the face in, `depth` from the flat face."""
    for edge in reversed(edges):
        if side < 0 or edge.sides is None or side in edge.sides:
            return inset_mm(edge, max(depth, 0.0))
    return 0.0


def _drawn_in(contour: Contour, inset: Callable[[int], float]) -> Contour:
    if not contour.sides:
        by = inset(-1)
        return contour.grown(-by) if by else contour
    insets = [inset(corner.side) for corner in contour.ring]
    return contour.drawn_in(insets, insets) if any(insets) else contour


def _void_face(void: Void, thickness: float, cut: CutAt) -> BaseGeometry:
    faces = [_boxes(intervals(void.contour, cut), void.top_mm, void.bottom_mm)]
    for edge in void.edges:
        into = 1.0 if edge.at == "top" else -1.0
        face = 0.0 if edge.at == "top" else thickness

        def rim(z: float, edge: EdgeTreatment = edge, face: float = face) -> Contour:
            by = inset_mm(edge, abs(z - face))
            return void.contour.grown(by, edge.sides) if by else void.contour

        depths = sorted(face + into * step for step in _steps(0.0, edge))
        faces.append(_stacked(rim, depths, cut))
    return shapely.union_all(faces)


# --- troughs ---------------------------------------------------------------------------------------------
def _hollow(body: TroughBody, cut: CutAt) -> BaseGeometry:
    depth = body.trough.depth_mm
    steps = _LEAN_STEPS if body.trough.taper_deg else 1
    inside = _stacked(body.inner_at, [depth * step / steps for step in range(steps + 1)], cut)
    drains = [_boxes(intervals(drain, cut), depth, body.bottom_mm) for drain in body.drains]
    return shapely.union_all([inside, *drains])


# --- beyond the plane ------------------------------------------------------------------------------------
def _beyond(solid: Solid, cut: CutAt) -> BaseGeometry:
    """Silhouette of everything on the far side: towards -x for a cut across x, towards +y across y."""
    half = (
        shapely.box(-_FAR, -_FAR, cut.at_mm, _FAR)
        if cut.axis == "x"
        else shapely.box(-_FAR, cut.at_mm, _FAR, _FAR)
    )
    outline = to_polygon(solid.outline)
    faces = [_shadow(outline.intersection(half), 0.0, solid.thickness_mm, cut)]
    for body in solid.troughs:
        far = to_polygon(body.outer).intersection(half)
        faces.append(_shadow(far, body.top_mm, body.bottom_mm, cut))
    if solid.drop_band is not None and solid.piece.drop_edge is not None:
        band = to_polygon(solid.drop_band[0]).difference(to_polygon(solid.drop_band[1]))
        band = _tidy(band.intersection(half))
        faces.append(_shadow(band, solid.thickness_mm, solid.piece.drop_edge.depth_mm, cut))
    return shapely.union_all(faces)


def _shadow(plan: BaseGeometry, top: float, bottom: float, cut: CutAt) -> BaseGeometry:
    along = 1 if cut.axis == "x" else 0
    boxes = []
    for part in getattr(plan, "geoms", [plan]):
        if part.area > 1e-6:
            bounds = part.bounds
            boxes.append(shapely.box(bounds[along], top, bounds[along + 2], bottom))
    return shapely.union_all(boxes)
