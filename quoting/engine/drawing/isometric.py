"""The isometric view: the whole piece, hidden lines removed."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from functools import lru_cache
from itertools import pairwise

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from quoting.engine.drawing import isometry
from quoting.engine.drawing.areas import polygons_in
from quoting.engine.drawing.canvas import Canvas, polyline
from quoting.engine.drawing.isometry import Body, Edge, Hiding
from quoting.engine.drawing.style import Stroke, style_for
from quoting.engine.drawing.values import Drawing, Point
from quoting.engine.drawing.wording import described
from quoting.engine.plane.contour import Contour, to_polygon
from quoting.engine.plane.segments import Ellipse, NoRoom
from quoting.engine.solid.build import Solid, Void
from quoting.engine.solid.measure import Geometry

_CHORD_MM = 0.02
_LEAN_STEPS = 6
_LEAST_GAP = 0.7
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
    whole = silhouette(bodies)
    x0, y0, x1, y1 = whole.bounds
    room = style.width - 2 * style.margin
    scale = min(room / (x1 - x0), (room * 0.62) / (y1 - y0))

    def lay(point: Point) -> Point:
        return ((point[0] - x0) * scale, (point[1] - y0) * scale)

    for shape, fill in _tones(solid, whole, inlays):
        _fill(canvas, shape, fill, lay, 0.01 / scale)
    hiding = Hiding(bodies)
    flush = [edge for contour in inlays for edge in isometry.contour_edges(contour, 0.0, "visible")]
    for edge in (*_edges(solid, scale), *flush):
        for part in hiding.stretches(edge, 0.5 / scale):
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
def bodies_of(solid: Solid) -> tuple[Body, ...]:
    """The solid as a stack of prisms; leaning walls in steps, without edge treatments."""
    thickness = solid.thickness_mm
    marks = {0.0, thickness, solid.height_mm}
    for void in solid.voids:
        marks.update((void.top_mm, void.bottom_mm))
    for body in solid.troughs:
        depth = body.trough.depth_mm
        steps = _LEAN_STEPS if body.trough.taper_deg else 1
        marks.update((body.bottom_mm, *(depth * step / steps for step in range(steps + 1))))
    if solid.piece.drop_edge is not None:
        marks.add(solid.piece.drop_edge.depth_mm)
    depths = sorted(marks)
    return tuple(
        Body(top, bottom, plan)
        for top, bottom in pairwise(depths)
        if not (plan := _plan_at(solid, (top + bottom) / 2)).is_empty
    )


def _plan_at(solid: Solid, z: float) -> BaseGeometry:
    """The plan of the material at depth `z`."""
    if z < solid.thickness_mm:
        plan: BaseGeometry = _polygon(solid.outline)
        holes = [_polygon(void.contour) for void in solid.voids if void.top_mm < z < void.bottom_mm]
    else:
        parts: list[BaseGeometry] = [_polygon(body.outer) for body in solid.troughs if z < body.bottom_mm]
        drop = solid.piece.drop_edge
        if solid.drop_band is not None and drop is not None and z < drop.depth_mm:
            parts.append(_polygon(solid.drop_band[0]).difference(_polygon(solid.drop_band[1])))
        plan, holes = shapely.union_all(parts), []
    for body in solid.troughs:
        if z < body.trough.depth_mm:
            holes.append(_polygon(body.inner_at(z)))
        elif z < body.bottom_mm:
            holes += [_polygon(drain) for drain in body.drains]
    return plan.difference(shapely.union_all(holes))


@lru_cache(maxsize=256)
def _polygon(contour: Contour) -> shapely.Polygon:
    return to_polygon(contour, _CHORD_MM)


# --- edges -----------------------------------------------------------------------------------------------
def _edges(solid: Solid, scale: float) -> Iterable[Edge]:
    yield from _outer_edges(solid, scale)
    for void in solid.voids:
        stroke: Stroke = "outline" if void.top_mm == 0.0 else "visible"
        yield from _hole(void.contour, void.top_mm, void.bottom_mm, stroke)
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


def _outer_edges(solid: Solid, scale: float) -> Iterable[Edge]:
    """Show face, foot and corners of slab and drop edge; a chamfer as two lines where it is wide enough."""
    top_edge = solid.outline
    shoulder: list[tuple[Contour, float]] = []
    for edge in solid.piece.edges:
        if edge.at == "top" and edge.profile == "chamfer" and edge.size_mm * scale >= _LEAST_GAP:
            try:
                top_edge = top_edge.grown(-edge.size_mm, edge.sides)
            except NoRoom:
                continue
            shoulder.append((solid.outline, edge.size_mm))
    yield from isometry.contour_edges(top_edge, 0.0, "outline")
    for contour, depth in shoulder:
        yield from isometry.contour_edges(contour, depth, "visible")
    starts = max((depth for _, depth in shoulder), default=0.0)
    drop = solid.piece.drop_edge
    lowest = solid.thickness_mm if drop is None else drop.depth_mm

    def foot(side: int) -> float:
        dropped = drop is not None and (drop.sides is None or side in drop.sides)
        return lowest if dropped else solid.thickness_mm

    segments = solid.outline.segments
    for before, segment in zip((segments[-1], *segments[:-1]), segments, strict=True):
        yield isometry.segment_edge(segment, solid.outline, foot(segment.side), "outline")
        low, high = sorted((foot(before.side), foot(segment.side)))
        if high > low and not isinstance(segment, Ellipse):
            yield Edge("outline", ((*segment.start, low), (*segment.start, high)))
    yield from isometry.uprights(solid.outline, starts, solid.thickness_mm, "outline", outside=True)
    if solid.drop_band is None:
        return
    band = _polygon(solid.drop_band[0]).difference(_polygon(solid.drop_band[1]))
    for corner in isometry.uprights(solid.outline, solid.thickness_mm, lowest, "outline", outside=True):
        x, y, _ = corner.points[0]
        if band.intersection(shapely.Point(x, y).buffer(1.0)).area > 0.05:  # only where the band is
            yield corner


def _hole(contour: Contour, top: float, bottom: float, stroke: Stroke) -> Iterable[Edge]:
    yield from isometry.contour_edges(contour, top, stroke)
    yield from isometry.contour_edges(contour, bottom, "visible")
    yield from isometry.uprights(contour, top, bottom, "visible", outside=False)


# --- tones -----------------------------------------------------------------------------------------------
def silhouette(bodies: Sequence[Body]) -> BaseGeometry:
    """Everything the bodies cover in projection, at full size."""
    return shapely.union_all([_swept(body) for body in bodies])


def _swept(body: Body) -> BaseGeometry:
    shapes = [_projected(body.plan, body.top), _projected(body.plan, body.bottom)]
    for part in polygons_in(body.plan):
        ring = shapely.get_coordinates(part.exterior)
        across, up = (ring[:, 0] + ring[:, 1]) * isometry.COS, (ring[:, 0] - ring[:, 1]) * isometry.SIN
        upper, lower = (np.column_stack((across, up + z)) for z in (body.top, body.bottom))
        corners = np.stack((upper[:-1], upper[1:], lower[1:], lower[:-1], upper[:-1]), axis=1)
        walls = np.asarray(shapely.polygons(corners))
        shapes += list(walls[shapely.area(walls) > 1e-9])
    return shapely.union_all(shapes)


def _projected(plan: BaseGeometry, z: float) -> BaseGeometry:
    def lay(points: isometry.Floats) -> isometry.Floats:
        x, y = points[:, 0], points[:, 1]
        return shapely.get_coordinates(shapely.points((x + y) * isometry.COS, (x - y) * isometry.SIN + z))

    return shapely.transform(plan, lay)


def _tones(
    solid: Solid, whole: BaseGeometry, inlays: Sequence[Contour]
) -> tuple[tuple[BaseGeometry, str], ...]:
    """Walls toned, show face white, hollows darker, floors and what is seen through them light again."""
    mouths = [(v.contour, v.contour, v.bottom_mm) for v in solid.voids if v.top_mm == 0.0]
    mouths += [(b.inner_at(0.0), b.inner_at(b.trough.depth_mm), b.trough.depth_mm) for b in solid.troughs]
    face = _projected(_polygon(solid.outline), 0.0)
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
