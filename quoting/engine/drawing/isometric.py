"""The isometric view: the whole piece, hidden lines removed."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from functools import lru_cache
from itertools import pairwise

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from quoting.engine.drawing import isometry
from quoting.engine.drawing.areas import polygons_in
from quoting.engine.drawing.canvas import Canvas, polyline
from quoting.engine.drawing.hiding import Body, Hiding
from quoting.engine.drawing.isometric_edges import edges_of, shown_treatments
from quoting.engine.drawing.style import style_for
from quoting.engine.drawing.treated import treated_body, treated_rim
from quoting.engine.drawing.values import Drawing, Point
from quoting.engine.drawing.wording import described
from quoting.engine.plane.contour import Contour, to_polygon
from quoting.engine.solid.build import Solid, Void
from quoting.engine.solid.measure import Geometry

_CHORD_MM = 0.02
_LEAN_STEPS = 6
_LEAST_GAP = 0.7
"""mm on the sheet: a treatment smaller than this is drawn as a sharp arris."""
_SMOOTH = 0.08
_STEPS, _SLICES = 6, 24
_SLICE_CHORD_MM = 0.1
_WALLS, _HOLLOWS, _INLAYS = "#e6e6e6", "#cfcfcf", "#f0f0f0"


def isometric(
    solid: Solid,
    geometry: Geometry,
    *,
    system: str,
    compact: bool = False,
    as_cast: bool = False,
    prefix: str = "isometric",
) -> Drawing:
    """Draw the piece in isometric projection from the front right above, without hidden lines.

    Upright faces are lightly toned, so that the show face stands out in greyscale as on a screen. Inlays are
    shown set in place, or as their empty pockets with `as_cast`. Fitted to the sheet: not to scale. `system`
    is for the words of the description.
    """
    style = style_for(compact=compact)
    canvas = Canvas(style)
    inlays = () if as_cast else tuple(void.contour for void in solid.voids if void.kind == "inlay")
    if inlays:
        solid = replace(solid, voids=tuple(void for void in solid.voids if not _set_in(void)))
    bodies = bodies_of(solid)
    x0, y0, x1, y1 = _bounds(bodies)
    room = style.width - 2 * style.margin
    scale = min(room / (x1 - x0), (room * 0.62) / (y1 - y0))
    least_mm = _LEAST_GAP / scale
    treated = _is_treated(solid, least_mm)
    bodies = bodies_of(solid, least_mm) if treated else bodies
    whole = covered(solid, bodies, least_mm) if treated else silhouette(bodies)

    def lay(point: Point) -> Point:
        return ((point[0] - x0) * scale, (point[1] - y0) * scale)

    for shape, fill in _tones(solid, whole, inlays, least_mm):
        _fill(canvas, shape, fill, lay, 0.01 / scale)
    hiding = Hiding(bodies)
    flush = [edge for contour in inlays for edge in isometry.contour_edges(contour, 0.0, "visible")]
    if treated:
        _outline(canvas, whole, lay, _SMOOTH / scale)
    edges = (*edges_of(solid, least_mm), *flush)
    for edge, seen in zip(edges, hiding.stretches(edges, 0.5 / scale), strict=True):
        for part in seen:
            canvas.path(isometry.path_of(edge, part, lay, scale), edge.stroke)
    return canvas.drawing(
        f"{solid.piece.name}, isometric view",
        f"Seen from the front right, from above. {described(solid.piece, geometry, system)}",
        prefix=prefix,
        width=style.width,
    )


def _set_in(void: Void) -> bool:
    return void.kind in ("inlay", "inlay_through")


# --- material --------------------------------------------------------------------------------------------
def bodies_of(solid: Solid, least_mm: float = math.inf) -> tuple[Body, ...]:
    """The solid as a stack of prisms; leaning walls, and edge treatments from `least_mm` on, in steps.

    Each step of a treatment is no larger than the piece within it, so that it hides nothing of the surface.
    """
    marks = {0.0, solid.thickness_mm, solid.height_mm}
    marks.update(treated_body(solid, least_mm=least_mm, steps=_STEPS)[1])
    for void in solid.voids:
        marks.update(treated_rim(void, solid.thickness_mm, least_mm=least_mm, steps=_STEPS)[1])
    for body in solid.troughs:
        depth = body.trough.depth_mm
        lean = _LEAN_STEPS if body.trough.taper_deg else 1
        marks.update((body.bottom_mm, *(depth * step / lean for step in range(lean + 1))))
    return tuple(
        Body(top, bottom, plan)
        for top, bottom in pairwise(sorted(marks))
        if not (plan := _plan_between(solid, top, bottom, least_mm)).is_empty
    )


def _plan_between(solid: Solid, top: float, bottom: float, least_mm: float) -> BaseGeometry:
    """The plan of the material that goes all the way from one depth to another."""
    middle = (top + bottom) / 2
    contour_at, _ = treated_body(solid, least_mm=least_mm)
    outlines = dict.fromkeys((contour_at(top), contour_at(bottom)))
    # Chords run inside an outline, so that coarse ones hide nothing of it.
    chord_mm = _CHORD_MM if outlines.keys() == {solid.outline} else _SLICE_CHORD_MM
    plan = shapely.intersection_all([_polygon(outline, chord_mm) for outline in outlines])
    if middle > solid.thickness_mm:
        parts = [_polygon(body.outer) for body in solid.troughs if middle < body.bottom_mm]
        plan = shapely.union_all([_band_of(solid, plan, middle), *parts])
        holes = []
    else:
        here = [void for void in solid.voids if void.top_mm < middle < void.bottom_mm]
        rims = [treated_rim(void, solid.thickness_mm, least_mm=least_mm)[0] for void in here]
        holes = [
            _polygon(contour) for contour in dict.fromkeys(rim(z) for rim in rims for z in (top, bottom))
        ]
    for body in solid.troughs:
        if middle < body.trough.depth_mm:
            holes.append(_polygon(body.inner_at(middle)))
        elif middle < body.bottom_mm:
            holes += [_polygon(drain) for drain in body.drains]
    return plan.difference(shapely.union_all(holes))


def _band_of(solid: Solid, plan: BaseGeometry, z: float) -> BaseGeometry:
    """Of the outline's plan below the slab, what the drop edge is; nothing where it does not reach."""
    drop = solid.piece.drop_edge
    if solid.drop_band is None or drop is None or z > drop.depth_mm:
        return shapely.Polygon()
    return plan.difference(_polygon(solid.drop_band[1]))


def covered(solid: Solid, bodies: Sequence[Body], least_mm: float) -> BaseGeometry:
    """What the piece covers in projection, edges treated: its stack, and slices of what is treated."""
    contour_at, depths = treated_body(solid, least_mm=least_mm, steps=_SLICES)
    slices = [(z, _polygon(contour_at(z), _SLICE_CHORD_MM)) for z in depths]
    plans = [(z, plan if z <= solid.thickness_mm else _band_of(solid, plan, z)) for z, plan in slices]
    return shapely.union_all([silhouette(bodies), *(_projected(plan, z) for z, plan in plans)])


def _is_treated(solid: Solid, least_mm: float) -> bool:
    edges = (*solid.piece.edges, *(edge for void in solid.voids for edge in void.edges))
    return bool(shown_treatments(edges, least_mm))


@lru_cache(maxsize=256)
def _polygon(contour: Contour, chord_mm: float = _CHORD_MM) -> shapely.Polygon:
    return to_polygon(contour, chord_mm)


# --- tones -----------------------------------------------------------------------------------------------
def silhouette(bodies: Sequence[Body]) -> BaseGeometry:
    """Everything the bodies cover in projection, at full size."""
    return shapely.union_all([_swept(body) for body in bodies])


def _bounds(bodies: Sequence[Body]) -> tuple[float, float, float, float]:
    """How far the bodies reach in projection, at full size."""
    there = [body for body in bodies if not body.plan.is_empty]
    ends = [_projected(body.plan, z).bounds for body in there for z in (body.top, body.bottom)]
    x0, y0, x1, y1 = zip(*ends, strict=True)
    return min(x0), min(y0), max(x1), max(y1)


def _swept(body: Body) -> BaseGeometry:
    shapes = [_projected(body.plan, body.top), _projected(body.plan, body.bottom)]
    for part in polygons_in(body.plan):
        ring = shapely.get_coordinates(part.exterior)
        across, up = (ring[:, 0] + ring[:, 1]) * isometry.COS, (ring[:, 0] - ring[:, 1]) * isometry.SIN
        upper, lower = (np.column_stack((across, up + z)) for z in (body.top, body.bottom))
        shapes += [
            shapely.Polygon(np.concatenate((upper[first : last + 1], lower[first : last + 1][::-1])))
            for first, last in _one_way(across)
        ]
    return shapely.union_all(shapes)


def _one_way(across: isometry.Floats) -> Iterator[tuple[int, int]]:
    """First and last points of the stretches along which a ring runs to one side: each is one wall."""
    ways = np.sign(np.where(np.abs(np.diff(across)) > 1e-9, np.diff(across), 0.0))
    stops = [0, *(np.flatnonzero(ways[1:] != ways[:-1]) + 1).tolist(), len(ways)]
    return ((first, last) for first, last in pairwise(stops) if ways[first] != 0.0)


def _projected(plan: BaseGeometry, z: float) -> BaseGeometry:
    def lay(points: isometry.Floats) -> isometry.Floats:
        x, y = points[:, 0], points[:, 1]
        return np.column_stack(((x + y) * isometry.COS, (x - y) * isometry.SIN + z))

    return shapely.transform(plan, lay)


def _tones(
    solid: Solid, whole: BaseGeometry, inlays: Sequence[Contour], least_mm: float
) -> tuple[tuple[BaseGeometry, str], ...]:
    """Walls toned, show face white, hollows darker, floors and what is seen through them light again."""
    rims = [treated_rim(v, solid.thickness_mm, least_mm=least_mm)[0] for v in solid.voids]
    mouths = [
        (rim(0.0), rim(v.bottom_mm), v.bottom_mm)
        for v, rim in zip(solid.voids, rims, strict=True)
        if not v.top_mm
    ]
    mouths += [(b.inner_at(0.0), b.inner_at(b.trough.depth_mm), b.trough.depth_mm) for b in solid.troughs]
    face = _projected(_polygon(treated_body(solid, least_mm=least_mm)[0](0.0)), 0.0)
    hollows = [_projected(_polygon(mouth), 0.0) for mouth, _, _ in mouths]
    floors = [
        hollow.intersection(_projected(_polygon(floor), depth))
        for hollow, (_, floor, depth) in zip(hollows, mouths, strict=True)
    ]
    hollow = shapely.union_all(hollows)
    return (
        (whole, _WALLS),
        (face.difference(hollow), "#fff"),
        (hollow, _HOLLOWS),
        (shapely.union_all(floors), "#fff"),
        (shapely.union_all([_projected(_polygon(inlay), 0.0) for inlay in inlays]), _INLAYS),
    )


def _outline(canvas: Canvas, whole: BaseGeometry, lay: Callable[[Point], Point], coarse: float) -> None:
    """The border of all that the piece covers: where its rounded edges turn out of sight."""
    for part in polygons_in(whole):
        points = [lay((x, y)) for x, y in part.exterior.simplify(coarse).coords[:-1]]
        canvas.path(polyline(points, closed=True), "outline")


def _fill(
    canvas: Canvas, shape: BaseGeometry, fill: str, lay: Callable[[Point], Point], coarse: float
) -> None:
    data = []
    for part in polygons_in(shape):
        for ring in (part.exterior, *part.interiors):
            points = [lay((x, y)) for x, y in ring.simplify(coarse).coords]
            canvas.reach_points(points)
            data.append(polyline(points[:-1], closed=True))
    if data:
        canvas.path("".join(data), None, fill=fill, holes=True)
