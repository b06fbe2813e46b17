"""Closed plan contours of lines, arcs and ellipses: measured in closed form, drawn in or out in parallel.

Conventions:

- contours run counter-clockwise; sides are numbered from 0, counter-clockwise, the front (y = 0) side first;
- a parallel contour is mitred: sharp corners stay sharp, a convex arc of radius r becomes r − d inward (sharp
  once d > r) and r + d outward, a reflex arc the other way round;
- when only some sides move, a corner arc moves only between two of them; elsewhere the move ends square at
  the arc's tangent point, and at a sharp corner it runs out to the neighbour's line;
- round, oval and slot have no numbered sides: they move as a whole.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache, singledispatch
from typing import TYPE_CHECKING

from quoting.engine.plane import corners
from quoting.engine.plane.corners import Corner, Ring, check_room
from quoting.engine.plane.segments import Arc, Ellipse, Line, NoRoom, Segment
from quoting.engine.plane.shapes import Ell, Oval, Point, Polygon, Rectangle, Round, Shape, Slot

if TYPE_CHECKING:
    import shapely

__all__ = [
    "Arc",
    "Contour",
    "Corner",
    "Ellipse",
    "Line",
    "NoRoom",
    "Segment",
    "contour_of",
    "ring_of",
    "to_polygon",
]

Box = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class Contour:
    """A closed contour: either a ring of corners or one ellipse (a circle is one of equal half axes).

    `sides` is how many sides are numbered: 0 for round, oval and slot.
    """

    ring: Ring
    curve: Ellipse | None = None
    sides: int = 0

    @property
    def area_mm2(self) -> float:
        """The area inside, to machine precision."""
        return self.moments[0]

    @property
    def centroid_mm(self) -> Point:
        """The centroid of the area inside."""
        area, mx, my = self.moments
        return (mx / area, my / area)

    @property
    def moments(self) -> tuple[float, float, float]:
        """Area in mm² and first moments ∫x dA, ∫y dA in mm³."""
        if self.curve is None:
            return corners.area_and_moments(self.ring)
        area, (x, y) = self.curve.area_mm2, self.curve.centre
        return area, area * x, area * y

    @property
    def perimeter_mm(self) -> float:
        """The length of the whole contour, curves as curves."""
        return self.curve.length_mm if self.curve is not None else corners.length_mm(self.ring)

    def length_on_mm(self, sides: Sequence[int] | None) -> float:
        """Length in mm of the listed sides with the arcs between two of them (None: the whole perimeter)."""
        if sides is None or self.sides == 0:
            return self.perimeter_mm
        listed = frozenset(sides)
        return math.fsum(
            piece.length_mm
            for piece in corners.walk(self.ring)
            if piece.side in listed and (piece.bend is None or piece.bend.corner.side in listed)
        )

    @property
    def segments(self) -> tuple[Segment, ...]:
        """Lines and arcs in order; a circle is one arc, an oval one ellipse, a slot's end one arc."""
        if self.curve is not None:
            if self.curve.round:
                return (Arc(self.curve.centre, self.curve.semi_x_mm, 0.0, 2.0 * math.pi, 0),)
            return (self.curve,)
        return segments_of(self.ring)

    @property
    def box_mm(self) -> Box:
        """Bounding box (x0, y0, x1, y1) of the curve itself."""
        if self.curve is not None:
            x, y = self.curve.centre
            dx, dy = self.curve.reach_mm(0.0), self.curve.reach_mm(0.5 * math.pi)
            return (x - dx, y - dy, x + dx, y + dy)
        xs, ys = [], []
        for piece in corners.walk(self.ring):
            (x0, y0), (x1, y1) = piece.start, piece.end
            xs += [x0, x1]
            ys += [y0, y1]
            if piece.bend is not None and piece.centre is not None:
                (cx, cy), r = piece.centre, piece.bend.corner.radius_mm
                (ax, ay), (bx, by) = piece.bend.before, piece.bend.after
                xs += [cx + math.copysign(r, ax)] if ax * bx < 0.0 else []
                ys += [cy + math.copysign(r, ay)] if ay * by < 0.0 else []
        return (min(xs), min(ys), max(xs), max(ys))

    def points(self, chord_mm: float = 0.05) -> tuple[Point, ...]:
        """Points for drawing and distances: no chord strays further than `chord_mm` from its curve."""
        if self.curve is not None and not self.curve.round:
            return tuple(
                self.curve.facing(angle + self.curve.turn_rad) for angle in self.curve.angles(chord_mm)
            )
        out: list[Point] = []
        for segment in self.segments:
            if isinstance(segment, Line):
                out.append(segment.start)
            elif isinstance(segment, Arc):
                step = 2.0 * math.acos(max(0.5, 1.0 - chord_mm / segment.radius_mm))
                count = max(1, math.ceil(abs(segment.sweep_rad) / step))
                (x, y), r = segment.centre, segment.radius_mm
                start, sweep = segment.start_rad, segment.sweep_rad
                angles = [start + sweep * i / count for i in range(count)]
                out += [(x + r * math.cos(angle), y + r * math.sin(angle)) for angle in angles]
        return tuple(out)

    def grown(self, by_mm: float, sides: Sequence[int] | None = None) -> Contour:
        """The mitred parallel contour `by_mm` outside (negative: inside), of the listed sides if any are.

        Raises `NoRoom` when a side or the whole contour would be swallowed.
        """
        if by_mm == 0.0:
            return self
        if self.curve is not None:
            return Contour((), self.curve.grown(by_mm), self.sides)
        listed = None if sides is None or self.sides == 0 else frozenset(sides)
        moves = [listed is None or corner.side in listed for corner in self.ring]
        return self.drawn_in([-by_mm if move else 0.0 for move in moves], moves)

    def drawn_in(self, insets: Sequence[float], groups: Sequence[object]) -> Contour:
        """Each side moved inward by its own inset (see `corners.drawn_in`); the sides keep their numbers."""
        return Contour(corners.drawn_in(self.ring, insets, groups), None, self.sides)

    def moved(self, dx_mm: float, dy_mm: float) -> Contour:
        """The contour shifted by (dx, dy)."""
        if self.curve is not None:
            c = self.curve
            centre = (c.centre[0] + dx_mm, c.centre[1] + dy_mm)
            return Contour((), Ellipse(centre, c.semi_x_mm, c.semi_y_mm, c.turn_rad, c.offset_mm), self.sides)
        ring = tuple(Corner((c.at[0] + dx_mm, c.at[1] + dy_mm), c.radius_mm, c.side) for c in self.ring)
        return Contour(ring, None, self.sides)

    def turned(self, turn_deg: float, about: Point = (0.0, 0.0)) -> Contour:
        """The contour turned counter-clockwise by `turn_deg` about a point; quarter turns exactly."""
        if turn_deg % 360.0 == 0.0:
            return self
        if self.curve is not None:
            c = self.curve
            turn = 0.0 if c.round else c.turn_rad + math.radians(turn_deg)
            centre = _turned(c.centre, turn_deg, about)
            return Contour((), Ellipse(centre, c.semi_x_mm, c.semi_y_mm, turn, c.offset_mm), self.sides)
        ring = tuple(Corner(_turned(c.at, turn_deg, about), c.radius_mm, c.side) for c in self.ring)
        return Contour(ring, None, self.sides)


@lru_cache(maxsize=corners.REMEMBERED)
def segments_of(ring: Ring) -> tuple[Segment, ...]:
    """The lines and arcs of a ring in order; arcs of one circle that follow each other are one."""
    out: list[Segment] = []
    for piece in corners.walk(ring):
        if piece.bend is None or piece.centre is None:
            out.append(Line(piece.start, piece.end, piece.side))
            continue
        centre, radius = piece.centre, piece.bend.corner.radius_mm
        start = math.atan2(piece.start[1] - centre[1], piece.start[0] - centre[0])
        last = out[-1] if out else None
        if isinstance(last, Arc) and _same_circle(last, centre, radius):
            sweep = last.sweep_rad + piece.bend.sweep_rad
            out[-1] = Arc(last.centre, radius, last.start_rad, sweep, last.side)
        else:
            out.append(Arc(centre, radius, start, piece.bend.sweep_rad, piece.side))
    return tuple(out)


def _same_circle(arc: Arc, centre: Point, radius: float) -> bool:
    return abs(arc.radius_mm - radius) <= 1e-9 * radius and math.dist(arc.centre, centre) <= 1e-9 * radius


def _turned(point: Point, turn_deg: float, about: Point) -> Point:
    quarters, rest = divmod(turn_deg % 360.0, 90.0)
    c, s = math.cos(math.radians(rest)), math.sin(math.radians(rest))
    for _ in range(int(quarters)):
        c, s = -s, c
    x, y = point[0] - about[0], point[1] - about[1]
    return (about[0] + x * c - y * s, about[1] + x * s + y * c)


def ring_of(points: Sequence[Point], radii: Sequence[float] | float = 0.0) -> Contour:
    """A contour of straight sides from its counter-clockwise corners in mm; one radius in mm or one each."""
    each = [radii] * len(points) if isinstance(radii, int | float) else list(radii)
    ring = tuple(Corner(at, radius, side) for side, (at, radius) in enumerate(zip(points, each, strict=True)))
    check_room(ring)
    return Contour(ring, None, len(ring))


def contour_of(shape: Shape, centre: Point | None = None, turn_deg: float = 0.0) -> Contour:
    """The contour of a plan shape, its box's middle at `centre`, then turned about it.

    Without a centre the lower-left corner of the (unturned) box is the origin. A polygon's box is that of its
    points, whatever radius rounds them. Raises `NoRoom` for radii larger than the sides allow.

    >>> contour_of(Rectangle(200.0, 100.0)).area_mm2
    20000.0
    """
    contour, (width, height) = _at_origin(shape)
    if centre is None:
        return contour.turned(turn_deg, (0.5 * width, 0.5 * height))
    return contour.moved(centre[0] - 0.5 * width, centre[1] - 0.5 * height).turned(turn_deg, centre)


@singledispatch
def _at_origin(shape: Shape) -> tuple[Contour, Point]:
    raise TypeError(f"not a shape: {shape!r}")


@_at_origin.register
def _(shape: Rectangle) -> tuple[Contour, Point]:
    length, width = shape.length_mm, shape.width_mm
    points = ((0.0, 0.0), (length, 0.0), (length, width), (0.0, width))
    return ring_of(points, shape.corner_radii_mm), (length, width)


@_at_origin.register
def _(shape: Slot) -> tuple[Contour, Point]:
    length, width = shape.length_mm, shape.width_mm
    points = ((0.0, 0.0), (length, 0.0), (length, width), (0.0, width))
    return Contour(ring_of(points, 0.5 * min(length, width)).ring), (length, width)


@_at_origin.register
def _(shape: Round) -> tuple[Contour, Point]:
    r = 0.5 * shape.diameter_mm
    return Contour((), Ellipse((r, r), r, r)), (2.0 * r, 2.0 * r)


@_at_origin.register
def _(shape: Oval) -> tuple[Contour, Point]:
    a, b = 0.5 * shape.length_mm, 0.5 * shape.width_mm
    return Contour((), Ellipse((a, b), a, b)), (shape.length_mm, shape.width_mm)


@_at_origin.register
def _(shape: Ell) -> tuple[Contour, Point]:
    x, y, dx, dy = shape.length_mm, shape.width_mm, shape.notch_length_mm, shape.notch_width_mm
    points: dict[str, tuple[Point, ...]] = {
        "front-left": ((dx, 0.0), (x, 0.0), (x, y), (0.0, y), (0.0, dy), (dx, dy)),
        "front-right": ((0.0, 0.0), (x - dx, 0.0), (x - dx, dy), (x, dy), (x, y), (0.0, y)),
        "back-right": ((0.0, 0.0), (x, 0.0), (x, y - dy), (x - dx, y - dy), (x - dx, y), (0.0, y)),
        "back-left": ((0.0, 0.0), (x, 0.0), (x, y), (dx, y), (dx, y - dy), (0.0, y - dy)),
    }
    return ring_of(points[shape.notch], shape.corner_radius_mm), (x, y)


@_at_origin.register
def _(shape: Polygon) -> tuple[Contour, Point]:
    xs, ys = [x for x, _ in shape.points_mm], [y for _, y in shape.points_mm]
    left, low = min(xs), min(ys)
    points = tuple((x - left, y - low) for x, y in shape.points_mm)
    return ring_of(points, shape.corner_radii_mm), (max(xs) - left, max(ys) - low)


def to_polygon(contour: Contour, chord_mm: float = 0.05) -> shapely.Polygon:
    """The contour as a shapely polygon of chords that stray at most `chord_mm` from it.

    For plan booleans and distances, never for measures.
    """
    import shapely

    return shapely.polygons(contour.points(chord_mm))
