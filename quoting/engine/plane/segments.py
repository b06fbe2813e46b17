"""What a contour is drawn with: straight lines, circular arcs, and the ellipse with its parallel curves."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import NamedTuple

from quoting.engine.errors import Fault, Refused
from quoting.engine.plane.shapes import Point


class NoRoom(Refused):
    """A parallel contour that would swallow a side, a radius or the whole shape.

    The rules of `spec` tell such a piece by its path; whatever gets past them is refused all the same.
    """

    def __init__(self, message: str) -> None:
        super().__init__([Fault("", f"cannot be cast: {message}", "no_room")])
        self._message = message

    def __str__(self) -> str:
        return self._message


class Line(NamedTuple):
    """A straight piece; `side` is the number of the side it lies on (-1: a square end between two)."""

    start: Point
    end: Point
    side: int

    @property
    def length_mm(self) -> float:
        """From end to end."""
        return math.dist(self.start, self.end)


class Arc(NamedTuple):
    """A circular piece; `sweep_rad` > 0 is counter-clockwise; a corner's arc carries the side before it."""

    centre: Point
    radius_mm: float
    start_rad: float
    sweep_rad: float
    side: int

    def at(self, angle_rad: float) -> Point:
        """The point of the arc's circle in the direction `angle_rad`."""
        return (
            self.centre[0] + self.radius_mm * math.cos(angle_rad),
            self.centre[1] + self.radius_mm * math.sin(angle_rad),
        )

    @property
    def start(self) -> Point:
        """Where it begins."""
        return self.at(self.start_rad)

    @property
    def end(self) -> Point:
        """Where it ends."""
        return self.at(self.start_rad + self.sweep_rad)

    @property
    def length_mm(self) -> float:
        """Along the arc."""
        return self.radius_mm * abs(self.sweep_rad)


def ellipse_perimeter(semi_x_mm: float, semi_y_mm: float) -> float:
    """Length in mm of an ellipse of the given half axes in mm, to machine precision.

    P = 2π/M(a, b) · (a² − Σ 2ⁿ⁻¹ cₙ²), M the arithmetic-geometric mean, cₙ its half differences (Gauss;
    Abramowitz and Stegun 17.6, from memory).

    >>> round(ellipse_perimeter(1.0, 1.0) / math.pi, 12)
    2.0
    """
    a, b = max(semi_x_mm, semi_y_mm), min(semi_x_mm, semi_y_mm)
    total, power, big = 0.5 * (a * a - b * b), 1.0, a
    while a - b > 1e-15 * a:
        a, b, c = 0.5 * (a + b), math.sqrt(a * b), 0.5 * (a - b)
        total += power * c * c
        power *= 2.0
    return 2.0 * math.pi / a * (big * big - total)


@dataclass(frozen=True, slots=True)
class Ellipse:
    """A whole ellipse, or the curve parallel to it at `offset_mm` outside (negative: inside).

    The parallel curve at distance d encloses A + P·d + π·d² and is P + 2π·d long (Steiner), inward as far as
    the least radius of curvature b²/a.
    """

    centre: Point
    semi_x_mm: float
    semi_y_mm: float
    turn_rad: float = 0.0
    offset_mm: float = 0.0

    @property
    def round(self) -> bool:
        """Whether it is a circle."""
        return self.semi_x_mm == self.semi_y_mm

    @property
    def side(self) -> int:
        """0: it has no numbered sides."""
        return 0

    @property
    def length_mm(self) -> float:
        """The whole perimeter, P + 2π·d."""
        return ellipse_perimeter(self.semi_x_mm, self.semi_y_mm) + 2.0 * math.pi * self.offset_mm

    @property
    def area_mm2(self) -> float:
        """The area inside, π·a·b + P·d + π·d²."""
        d = self.offset_mm
        plain = math.pi * self.semi_x_mm * self.semi_y_mm
        if d == 0.0:
            return plain
        return plain + ellipse_perimeter(self.semi_x_mm, self.semi_y_mm) * d + math.pi * d * d

    def reach_mm(self, angle_rad: float) -> float:
        """How far the curve reaches from its centre in the direction `angle_rad` (its support function)."""
        local = angle_rad - self.turn_rad
        return math.hypot(self.semi_x_mm * math.cos(local), self.semi_y_mm * math.sin(local)) + self.offset_mm

    def facing(self, angle_rad: float) -> Point:
        """The point of the curve whose outward normal has the direction `angle_rad`."""
        local = angle_rad - self.turn_rad
        c, s = math.cos(local), math.sin(local)
        a, b = self.semi_x_mm, self.semi_y_mm
        reach = math.hypot(a * c, b * s)
        x, y = a * a * c / reach + self.offset_mm * c, b * b * s / reach + self.offset_mm * s
        ct, st = math.cos(self.turn_rad), math.sin(self.turn_rad)
        return (self.centre[0] + x * ct - y * st, self.centre[1] + x * st + y * ct)

    def grown(self, by_mm: float) -> Ellipse:
        """The parallel curve `by_mm` further out; raises `NoRoom` beyond the least radius of curvature."""
        if self.round:
            semi = self.semi_x_mm + by_mm
            if semi <= 0.0:
                raise NoRoom(f"a circle of radius {self.semi_x_mm:g} mm cannot be drawn in by {-by_mm:g} mm")
            return Ellipse(self.centre, semi, semi)
        a, b = self.semi_x_mm, self.semi_y_mm
        offset = self.offset_mm + by_mm
        tightest = min(a * a / b, b * b / a)
        if offset <= -tightest:
            raise NoRoom(
                f"an oval with a least radius of {tightest:g} mm cannot be drawn in by {-offset:g} mm"
            )
        return Ellipse(self.centre, a, b, self.turn_rad, offset)

    def angles(self, chord_mm: float) -> list[float]:
        """Normal directions of points, in order: no chord between them strays over `chord_mm` from the curve.

        Even steps t of the circle the ellipse is drawn from (the chord's error is at most that of the circle
        of its longer half axis, however slender it is); the offset adds even steps of direction for its own.
        """
        a, b = self.semi_x_mm, self.semi_y_mm
        share_mm = chord_mm if self.offset_mm == 0.0 else 0.5 * chord_mm
        steps = [2.0 * math.pi * i / n for n in (_circle_steps(max(a, b), share_mm),) for i in range(n)]
        directions = {math.atan2(a * math.sin(t), b * math.cos(t)) % (2.0 * math.pi) for t in steps}
        if self.offset_mm != 0.0:
            count = _circle_steps(abs(self.offset_mm), share_mm)
            directions |= {2.0 * math.pi * i / count for i in range(count)}
        return sorted(directions)


def _circle_steps(radius_mm: float, chord_mm: float) -> int:
    """Into how many chords a circle is cut so that none strays over `chord_mm`; a multiple of four."""
    step = 2.0 * math.acos(max(0.5, 1.0 - chord_mm / radius_mm))
    return max(12, 4 * math.ceil(0.5 * math.pi / step))


Segment = Line | Arc | Ellipse
