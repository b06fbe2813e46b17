"""Straight sides with rounded corners: areas, first moments and mitred parallels, in closed form.

A contour is a ring of corners, counter-clockwise: where two sides' lines meet, with the radius that rounds
them there. Corners and what is made of them are named tuples: there are thousands in a piece, and they are
what is remembered by.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache
from typing import NamedTuple

from quoting.engine.plane.segments import NoRoom
from quoting.engine.plane.shapes import Point

STEP = -1
"""The side number of a square end between two numbered sides."""
REMEMBERED = 1024
"""Rings kept with what was made of them: a piece has some dozens, each asked many things."""
_SLACK = 1e-9
"""How far, relative to a side, rounding may shorten it below nothing before it counts as swallowed."""


class Corner(NamedTuple):
    """Where two sides' lines meet; `side` is the number of the side that leaves from it."""

    at: Point
    radius_mm: float
    side: int


Ring = tuple[Corner, ...]


class Bend(NamedTuple):
    """A corner with what its neighbours make of it.

    `before` and `after` are the unit directions of the two sides, `turn` the sine of the angle from one to
    the other (positive: convex), `half_tan` the tangent of half that angle's size.
    """

    corner: Corner
    before: Point
    after: Point
    turn: float
    half_tan: float

    @property
    def tangent_mm(self) -> float:
        """From the corner to where its arc begins."""
        return self.corner.radius_mm * self.half_tan

    @property
    def first(self) -> Point:
        """Where the arc begins."""
        return _along(self.corner.at, self.before, -self.tangent_mm)

    @property
    def last(self) -> Point:
        """Where the arc ends."""
        return _along(self.corner.at, self.after, self.tangent_mm)

    @property
    def centre(self) -> Point:
        """The middle of the arc's circle."""
        (x, y), (dx, dy) = self.corner.at, self.before
        back, towards = self.tangent_mm, math.copysign(self.corner.radius_mm, self.turn)
        return (x - back * dx - towards * dy, y - back * dy + towards * dx)

    @property
    def sweep_rad(self) -> float:
        """Through what angle the arc turns; positive: convex."""
        return math.copysign(2.0 * math.atan(self.half_tan), self.turn)


def _left(direction: Point) -> Point:
    return (-direction[1], direction[0])


def _along(point: Point, direction: Point, by: float) -> Point:
    return (point[0] + by * direction[0], point[1] + by * direction[1])


@lru_cache(maxsize=REMEMBERED)
def bends(ring: Ring) -> tuple[Bend, ...]:
    """Each corner with the directions of its two sides; a side of no length is refused (`NoRoom`)."""
    directions = []
    for corner, following in zip(ring, ring[1:] + ring[:1], strict=True):
        dx, dy = following.at[0] - corner.at[0], following.at[1] - corner.at[1]
        length = math.hypot(dx, dy)
        if length == 0.0:
            raise NoRoom("two neighbouring corners are the same point")
        directions.append((dx / length, dy / length))
    out = []
    for i, corner in enumerate(ring):
        (ax, ay), (bx, by) = directions[i - 1], directions[i]
        cross, dot = ax * by - ay * bx, ax * bx + ay * by
        if dot <= -1.0 + 1e-12:
            raise NoRoom("a side doubles back on the one before it")
        out.append(Bend(corner, directions[i - 1], directions[i], cross, abs(cross) / (1.0 + dot)))
    return tuple(out)


@lru_cache(maxsize=REMEMBERED)
def area_and_moments(ring: Ring) -> tuple[float, float, float]:
    """Area in mm² and the first moments ∫x dA, ∫y dA in mm³ of the rounded ring.

    The sharp polygon (shoelace) less, at each convex corner, the sliver between the corner and its arc,
    r²(tan h − h) for half a turn h; at a reflex corner the sliver is added.
    """
    ox, oy = ring[0].at
    area2 = mx = my = 0.0
    for corner, following in zip(ring, ring[1:] + ring[:1], strict=True):
        ax, ay = corner.at[0] - ox, corner.at[1] - oy
        bx, by = following.at[0] - ox, following.at[1] - oy
        cross = ax * by - ay * bx
        area2 += cross
        mx += cross * (ax + bx)
        my += cross * (ay + by)
    area, mx, my = 0.5 * area2, mx / 6.0, my / 6.0
    if any(corner.radius_mm > 0.0 for corner in ring):
        for bend in bends(ring):
            if bend.corner.radius_mm > 0.0 and bend.half_tan > 0.0:
                a, x, y = _sliver(bend)
                area, mx, my = area - a, mx - a * (x - ox), my - a * (y - oy)
    return area, mx + area * ox, my + area * oy


def _sliver(bend: Bend) -> tuple[float, float, float]:
    """Signed area (positive at a convex corner) and centroid of what lies between a corner and its arc."""
    r, tan_h = bend.corner.radius_mm, bend.half_tan
    h = math.atan(tan_h)
    cos_h = math.cos(h)
    kite, sector = r * r * tan_h, r * r * h
    area = kite - sector
    moment = kite * (r * cos_h + r / cos_h) / 3.0 - sector * 2.0 * r * math.sin(h) / (3.0 * h)
    (cx, cy), (vx, vy) = bend.centre, bend.corner.at
    share = moment / area * cos_h / r if area > 0.0 else 1.0
    return math.copysign(area, bend.turn), cx + share * (vx - cx), cy + share * (vy - cy)


def length_mm(ring: Ring) -> float:
    """Length in mm of the ring: straight parts and arcs."""
    return math.fsum(piece.length_mm for piece in walk(ring))


class Stretch(NamedTuple):
    """One straight part or corner arc of a ring, its ends shared to the last bit with its neighbours."""

    start: Point
    end: Point
    side: int
    bend: Bend | None = None
    """The corner it rounds, for an arc."""
    centre: Point | None = None
    """The middle of an arc's circle."""

    @property
    def length_mm(self) -> float:
        """Its length, along the arc if it is one."""
        if self.bend is None:
            return math.dist(self.start, self.end)
        return self.bend.corner.radius_mm * abs(self.bend.sweep_rad)


@lru_cache(maxsize=REMEMBERED)
def walk(ring: Ring) -> tuple[Stretch, ...]:
    """The ring's straight parts and arcs in order, starting with the side that leaves the first corner."""
    all_bends = bends(ring)
    ends = []
    for bend in all_bends:
        corner, tangent = bend.corner, bend.tangent_mm
        rounded = tangent > 0.0
        ends.append((bend.first, bend.last, tangent) if rounded else (corner.at, corner.at, tangent))
    out: list[Stretch] = []
    for i, (_, start, tangent) in enumerate(ends):
        side, j = ring[i].side, (i + 1) % len(ring)
        end, last, following = ends[j]
        if math.dist(start, end) > 1e-12 * (abs(start[0]) + abs(start[1]) + tangent + following):
            out.append(Stretch(start, end, side))
        if following > 0.0:
            out.append(Stretch(end, last, side, all_bends[j], all_bends[j].centre))
    return tuple(out)


def drawn_in(ring: Ring, insets: Sequence[float], groups: Sequence[object]) -> Ring:
    """The ring with each side moved inward (to its left) by its own inset in mm.

    `insets` and `groups` have one entry for each corner, for the side that leaves from it. Corners between
    sides of one group follow: sharp ones mitred, convex arcs r − d (sharp once d > r), reflex arcs r + d.
    Between groups a sharp corner is where the moved lines meet, while an arc stays and what moves ends square
    at its tangent points.
    Raises `NoRoom` when a side would be swallowed.
    """
    before = bends(ring)
    out: list[Corner] = []
    for i, bend in enumerate(before):
        together = groups[i - 1] == groups[i]
        out.extend(_moved_corner(bend, insets[i - 1], insets[i], together, ring[i - 1].side))
    moved = tuple(out)
    directions = {bend.corner.side: bend.after for bend in before if bend.corner.side != STEP}
    for bend in check_room(moved):
        was = directions.get(bend.corner.side, bend.after)
        if bend.after[0] * was[0] + bend.after[1] * was[1] <= 0.0:
            raise NoRoom(f"side {bend.corner.side} is swallowed when drawn in by {max(insets):g} mm")
    return moved


def _moved_corner(bend: Bend, d1: float, d2: float, together: bool, side_before: int) -> list[Corner]:
    corner, u1, u2 = bend.corner, bend.before, bend.after
    n1, n2 = _left(u1), _left(u2)
    if d1 == d2 and (together or bend.tangent_mm == 0.0):
        share = d1 / (1.0 + u1[0] * u2[0] + u1[1] * u2[1])
        at = (corner.at[0] + share * (n1[0] + n2[0]), corner.at[1] + share * (n1[1] + n2[1]))
        radius = corner.radius_mm
        if radius > 0.0:
            radius = max(0.0, radius - (d1 if bend.turn > 0.0 else -d1))
        return [Corner(at, radius, corner.side)]
    if bend.tangent_mm == 0.0 and abs(bend.turn) > 1e-9:
        at = _along(_along(corner.at, u1, -d2 / bend.turn), u2, d1 / bend.turn)
        return [Corner(at, 0.0, corner.side)]
    first, last = bend.first, bend.last
    out = [Corner(_along(first, n1, d1), 0.0, STEP)] if d1 else []
    if bend.tangent_mm > 0.0:
        out += [Corner(first, 0.0, side_before)] if d1 else []
        out += [Corner(corner.at, corner.radius_mm, STEP if d2 else corner.side)]
        out += [Corner(last, 0.0, STEP)] if d2 else []
    elif not (d1 and d2):
        out += [Corner(corner.at, 0.0, STEP if d2 else corner.side)]
    return out + ([Corner(_along(last, n2, d2), 0.0, corner.side)] if d2 else [])


def check_room(ring: Ring) -> tuple[Bend, ...]:
    """The ring's bends; raises `NoRoom` where two neighbouring arcs need more of a side than there is."""
    all_bends = bends(ring)
    tangents = [bend.corner.radius_mm * bend.half_tan for bend in all_bends]
    for i, bend in enumerate(all_bends):
        following = all_bends[(i + 1) % len(all_bends)]
        need = tangents[i] + tangents[(i + 1) % len(all_bends)]
        if need > 0.0:
            length = math.dist(bend.corner.at, following.corner.at)
            if need > length + _SLACK * (need + length):
                raise NoRoom(
                    f"side {bend.corner.side} is {length:g} mm long where its corners take {need:g} mm"
                )
    return all_bends
