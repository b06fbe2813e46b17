"""A piece built by a general mesh kernel (manifold3d) from its specification alone, to check solids against.

Nothing here uses the engine's contours: shapes are drawn as chords, parallel contours come from the kernel's
own polygon offset or from strips along the sides, what changes with depth is a stack of thin prisms with the
mean inset of each, leaning walls are hulls, voids are cut by solid booleans. z runs down, as in the
specification. The bounds of the error are in `mesh_bounds`.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial

import numpy as np
import numpy.typing as npt
from manifold3d import CrossSection, FillRule, JoinType, Manifold, OpType

from quoting.engine.plane.shapes import Ell, Oval, Point, Polygon, Rectangle, Round, Shape, Slot
from quoting.engine.spec.types import EdgeTreatment, Groove, Inlay, Opening, Piece, Recess, Sleeve, Trough

SLICES = 6


@dataclass(frozen=True)
class MeshMeasure:
    volume_mm3: float
    centroid_mm: tuple[float, float, float]


def measured(body: Manifold) -> MeshMeasure:
    """Volume and centroid by signed tetrahedra over the mesh's triangles."""
    corners = triangles(body)
    a, b, c = corners[:, 0], corners[:, 1], corners[:, 2]
    sixths = np.einsum("ij,ij->i", a, np.cross(b, c))
    volume = sixths.sum() / 6.0
    centroid = ((a + b + c) * sixths[:, None]).sum(axis=0) / 24.0 / volume
    return MeshMeasure(float(volume), (float(centroid[0]), float(centroid[1]), float(centroid[2])))


def triangles(body: Manifold) -> npt.NDArray[np.float64]:
    """The mesh's triangles: (n, corner, coordinate)."""
    mesh = body.to_mesh64()
    points: npt.NDArray[np.float64] = np.asarray(mesh.vert_properties)[:, :3]
    corners: npt.NDArray[np.float64] = points[np.asarray(mesh.tri_verts)]
    return corners


def flat_area(body: Manifold, z: float) -> float:
    """Area of the mesh's triangles lying in the plane z."""
    corners = triangles(body)
    flat = corners[np.all(np.abs(corners[:, :, 2] - z) < 1e-6, axis=1)]
    return float(0.5 * np.abs(np.cross(flat[:, 1] - flat[:, 0], flat[:, 2] - flat[:, 0])[:, 2]).sum())


# --- plan shapes as chords -------------------------------------------------------------------------------
def rounded(points: Sequence[Point], radii: Sequence[float], chord: float) -> list[Point]:
    """A polygon's corners cut by arcs of chords, each point on its arc."""
    out: list[Point] = []
    for i, (corner, radius) in enumerate(zip(points, radii, strict=True)):
        here = np.array(corner)
        to_before, to_after = np.array(points[i - 1]) - here, np.array(points[(i + 1) % len(points)]) - here
        to_before, to_after = to_before / np.linalg.norm(to_before), to_after / np.linalg.norm(to_after)
        if radius == 0.0:
            out.append(corner)
            continue
        opening = math.acos(float(np.clip(to_before @ to_after, -1.0, 1.0)))
        reach = radius / math.tan(opening / 2.0)
        start, end = here + reach * to_before, here + reach * to_after
        bisector = to_before + to_after
        centre = here + bisector / np.linalg.norm(bisector) * radius / math.sin(opening / 2.0)
        sweep = math.pi - opening
        count = max(1, math.ceil(sweep / (2.0 * math.acos(1.0 - min(1.0, chord / radius)))))
        for k in range(count + 1):
            share = k / count * sweep
            one, other = math.sin(sweep - share) / math.sin(sweep), math.sin(share) / math.sin(sweep)
            arm = (start - centre) * one + (end - centre) * other
            out.append((float(centre[0] + arm[0]), float(centre[1] + arm[1])))
    # Where two arcs share their end (a slot's), the point is wanted once.
    return [p for i, p in enumerate(out) if math.dist(p, out[i - 1]) > 1e-6]


def ring(a: float, b: float, chord: float) -> list[Point]:
    count = 4 * math.ceil(math.pi / 2.0 / math.sqrt(8.0 * chord / max(a, b)))
    return [(a * math.cos(t), b * math.sin(t)) for t in (2.0 * math.pi * k / count for k in range(count))]


def plan(shape: Shape, chord: float) -> list[Point]:
    """The shape's points with its box's middle at the origin."""
    if isinstance(shape, Round):
        return ring(shape.diameter_mm / 2.0, shape.diameter_mm / 2.0, chord)
    if isinstance(shape, Oval):
        return ring(shape.length_mm / 2.0, shape.width_mm / 2.0, chord)
    if isinstance(shape, Polygon):
        low = [min(p[i] for p in shape.points_mm) for i in (0, 1)]
        high = [max(p[i] for p in shape.points_mm) for i in (0, 1)]
        middle = ((low[0] + high[0]) / 2.0, (low[1] + high[1]) / 2.0)
        points = rounded(shape.points_mm, shape.corner_radii_mm, chord)
        return [(x - middle[0], y - middle[1]) for x, y in points]
    x, y = shape.length_mm / 2.0, shape.width_mm / 2.0
    box = [(-x, -y), (x, -y), (x, y), (-x, y)]
    if isinstance(shape, Rectangle):
        return rounded(box, shape.corner_radii_mm, chord)
    if isinstance(shape, Slot):
        return rounded(box, [min(x, y)] * 4, chord)
    return _ell_points(shape, x, y, chord)


def _ell_points(shape: Ell, x: float, y: float, chord: float) -> list[Point]:
    """Drawn with the notch at the back right, then mirrored to where it is."""
    dx, dy = shape.notch_length_mm, shape.notch_width_mm
    points = [(-x, -y), (x, -y), (x, y - dy), (x - dx, y - dy), (x - dx, y), (-x, y)]
    drawn = rounded(points, [shape.corner_radius_mm] * 6, chord)
    fx, fy = 1.0 if "right" in shape.notch else -1.0, 1.0 if "back" in shape.notch else -1.0
    mirrored = [(px * fx, py * fy) for px, py in drawn]
    return mirrored if fx * fy > 0.0 else mirrored[::-1]


def flat(points: Sequence[Point]) -> CrossSection:
    return CrossSection([list(points)], FillRule.Positive)


def placed(shape: Shape, centre: Point, turn: float, chord: float) -> CrossSection:
    return flat(plan(shape, chord)).rotate(turn).translate(centre)


def outline_of(piece: Piece, chord: float) -> CrossSection:
    shape = piece.outline
    if isinstance(shape, Polygon):
        return flat(rounded(shape.points_mm, shape.corner_radii_mm, chord))
    if isinstance(shape, Round):
        return flat(plan(shape, chord)).translate((shape.diameter_mm / 2.0, shape.diameter_mm / 2.0))
    return flat(plan(shape, chord)).translate((shape.length_mm / 2.0, shape.width_mm / 2.0))


def grown(section: CrossSection, by: float) -> CrossSection:
    return section.offset(by, JoinType.Miter, 50.0)


def strips(shape: Rectangle, by: float, sides: Sequence[int], chord: float) -> CrossSection:
    """Within `by` of some sides of a rectangle: tangent to tangent, round the arcs between two of them."""
    length, width, radii = shape.length_mm, shape.width_mm, shape.corner_radii_mm
    corners = [(0.0, 0.0), (length, 0.0), (length, width), (0.0, width)]
    out = CrossSection()
    for side in sides:
        (ax, ay), (bx, by_) = corners[side], corners[(side + 1) % 4]
        span = math.dist((ax, ay), (bx, by_))
        strip = CrossSection.square((span - radii[side] - radii[(side + 1) % 4], by))
        strip = strip.translate((radii[side], 0.0)).rotate(90.0 * side).translate((ax, ay))
        out = out + strip
        if (side - 1) % 4 in sides and radii[side] > 0.0:
            out = out + _corner_strip(radii[side], by, chord).rotate(90.0 * side).translate((ax, ay))
    return out


def _corner_strip(r: float, by: float, chord: float) -> CrossSection:
    """Within the quarter circle of a corner at the origin: what lies within `by` of the arc."""
    arc = rounded([(0.0, 0.0), (r, 0.0), (r, r), (0.0, r)], [r, 0.0, 0.0, 0.0], chord)
    whole = flat(arc)
    if by >= r:
        return whole
    inner = rounded([(by, by), (r, by), (r, r), (by, r)], [r - by, 0.0, 0.0, 0.0], chord * (r - by) / r)
    return whole - flat(inner)


# --- depth ------------------------------------------------------------------------------------------------
def slab(section: CrossSection, top: float, bottom: float) -> Manifold:
    return Manifold.extrude(section, bottom - top).translate((0.0, 0.0, top))


def mean_insets(treatment: EdgeTreatment) -> list[tuple[float, float, float]]:
    """(from, to, mean inset) of thin prisms away from the flat face; for the round at equal angles."""
    size = treatment.size_mm
    if treatment.profile == "chamfer":
        return [
            (size * k / SLICES, size * (k + 1) / SLICES, size * (1.0 - (k + 0.5) / SLICES))
            for k in range(SLICES)
        ]
    out = []
    for k in range(SLICES):
        # Angles from the flat face's tangent point down to the upright face's.
        a, b = math.pi / 2.0 * k / SLICES, math.pi / 2.0 * (k + 1) / SLICES
        top, bottom = size * (1.0 - math.cos(a)), size * (1.0 - math.cos(b))
        under_circle = size * size / 2.0 * ((b - math.sin(b) * math.cos(b)) - (a - math.sin(a) * math.cos(a)))
        out.append((top, bottom, size - under_circle / (bottom - top)))
    return out


def treated(
    removed: Callable[[float], CrossSection], treatment: EdgeTreatment, face: float, into: int
) -> list[Manifold]:
    """The prisms a treatment takes off, `removed(d)` being the plan of what lies within d of the arris."""
    out = []
    for start, end, inset in mean_insets(treatment):
        low, high = sorted((face + into * start, face + into * end))
        out.append(slab(removed(inset), low, high))
    return out


def outline_cuts(piece: Piece, outline: CrossSection, chord: float) -> tuple[list[Manifold], CrossSection]:
    """What the edge treatments take off slab and drop edge, and the plan of the drop edge's band."""
    every = tuple(range(4))
    drop = piece.drop_edge

    def within(sides: Sequence[int] | None, d: float) -> CrossSection:
        if sides is None or not isinstance(piece.outline, Rectangle):
            return outline - grown(outline, -d)
        return strips(piece.outline, d, sides, chord)

    band = CrossSection() if drop is None else within(drop.sides, drop.thickness_mm)

    def beside_band(sides: Sequence[int], d: float) -> CrossSection:
        return within(sides, d) - band

    out: list[Manifold] = []
    for treatment in piece.edges:
        sides = treatment.sides
        if treatment.at == "top":
            out += treated(partial(within, sides), treatment, 0.0, 1)
        elif drop is None:
            out += treated(partial(within, sides), treatment, piece.thickness_mm, -1)
        elif drop.sides is None:
            out += treated(partial(within, sides), treatment, drop.depth_mm, -1)
        else:
            low = [s for s in sides or every if s in drop.sides]
            high = [s for s in sides or every if s not in drop.sides]
            out += treated(partial(within, low), treatment, drop.depth_mm, -1) if low else []
            out += treated(partial(beside_band, high), treatment, piece.thickness_mm, -1) if high else []
    return out, band


# --- features ---------------------------------------------------------------------------------------------
def feature_cuts(piece: Piece, chord: float) -> list[Manifold]:
    """Every void of the slab but the troughs'."""
    out: list[Manifold] = []
    t = piece.thickness_mm
    for feature in piece.features:
        if isinstance(feature, Groove):
            span = (0.0, feature.depth_mm) if feature.face == "top" else (t - feature.depth_mm, t)
            out.append(slab(_channel(feature), *span))
        for centre in getattr(feature, "centres_mm", ()):
            if isinstance(feature, Sleeve):
                out.append(slab(placed(Round(feature.diameter_mm), centre, 0.0, chord), 0.0, t))
            elif isinstance(feature, Recess):
                span = (0.0, feature.depth_mm) if feature.face == "top" else (t - feature.depth_mm, t)
                out.append(slab(placed(feature.shape, centre, feature.turn_deg, chord), *span))
            elif isinstance(feature, Inlay):
                plan_ = placed(feature.shape, centre, feature.turn_deg, chord)
                out.append(slab(plan_, 0.0, feature.depth_mm))
                out += [slab(grown(plan_, -feature.ledge_mm), 0.0, t)] if feature.backlit else []
            elif isinstance(feature, Opening):
                hole = placed(feature.shape, centre, feature.turn_deg, chord)
                out.append(slab(hole, 0.0, t))
                for edge in feature.edges:
                    face, into = (0.0, 1) if edge.at == "top" else (t, -1)
                    out += treated(partial(grown, hole), edge, face, into)
    return out


def _channel(groove: Groove) -> CrossSection:
    """Each part of the path widened, the parts mitred where they meet by half-planes along the bisectors."""
    out = CrossSection()
    path, half = groove.path_mm, groove.width_mm / 2.0
    closed = path[0] == path[-1]
    for i in range(len(path) - 1):
        a, b = np.array(path[i]), np.array(path[i + 1])
        before = np.array(path[i - 1]) if i > 0 else np.array(path[-2]) if closed else None
        after = np.array(path[i + 2]) if i + 2 < len(path) else np.array(path[1]) if closed else None
        u = (b - a) / np.linalg.norm(b - a)
        n = np.array([-u[1], u[0]])
        ends = []
        for corner, other, away in ((a, before, 1.0), (b, after, -1.0)):
            lean = 0.0
            if other is not None:
                v = (corner - other) * away
                v = v / np.linalg.norm(v)
                turn = math.atan2(v[0] * u[1] - v[1] * u[0], v @ u) * away
                lean = math.tan(turn / 2.0)
            ends.append((corner, lean))
        (p, lp), (q, lq) = ends
        quad = [p - n * half - u * half * lp, q - n * half + u * half * lq]
        quad += [q + n * half - u * half * lq, p + n * half + u * half * lp]
        out = out + flat([(float(x), float(y)) for x, y in quad])
    return out


def trough_parts(piece: Piece, trough: Trough, chord: float) -> tuple[Manifold, list[Manifold], Manifold]:
    """What a trough adds below the slab, what it cuts away, and its plain inside."""
    r, wall = trough.corner_radius_mm, trough.wall_mm
    lean = math.tan(math.radians(trough.taper_deg)) * trough.depth_mm
    outer = Rectangle(trough.length_mm + 2 * wall, trough.width_mm + 2 * wall, (r + wall,) * 4)
    bottom = trough.depth_mm + trough.floor_mm
    added = slab(placed(outer, trough.centre_mm, trough.turn_deg, chord), piece.thickness_mm, bottom)
    mouth = plan(Rectangle(trough.length_mm, trough.width_mm, (r,) * 4), chord)
    floor = plan(Rectangle(trough.length_mm - 2 * lean, trough.width_mm - 2 * lean, (r,) * 4), chord)
    points = [(x, y, 0.0) for x, y in mouth] + [(x, y, trough.depth_mm) for x, y in floor]
    inside = (
        Manifold.hull_points(points).rotate((0.0, 0.0, trough.turn_deg)).translate((*trough.centre_mm, 0.0))
    )
    drains = [
        slab(placed(Round(drain.diameter_mm), drain.at_mm, 0.0, chord), trough.depth_mm - 1.0, bottom)
        for drain in trough.drains
    ]
    return added, [inside, *drains], inside


def mesh_of(piece: Piece, chord: float) -> Manifold:
    """The whole piece by solid booleans."""
    outline = outline_of(piece, chord)
    cuts, band = outline_cuts(piece, outline, chord)
    bodies = [slab(outline, 0.0, piece.thickness_mm)]
    if piece.drop_edge is not None:
        bodies.append(slab(band, piece.thickness_mm, piece.drop_edge.depth_mm))
    cuts += feature_cuts(piece, chord)
    for feature in piece.features:
        if isinstance(feature, Trough):
            added, removed, _ = trough_parts(piece, feature, chord)
            bodies.append(added)
            cuts += removed
    whole = Manifold.batch_boolean(bodies, OpType.Add)
    return whole - Manifold.batch_boolean(cuts, OpType.Add) if cuts else whole
