"""Contours of the plan as SVG path data at a scale, curves as true arcs."""

from __future__ import annotations

import math
from dataclasses import dataclass

from quoting.engine.drawing.canvas import num, polyline
from quoting.engine.drawing.values import Box, Point
from quoting.engine.plane.contour import Contour
from quoting.engine.plane.segments import Arc, Ellipse, Line

_CHORD_ON_SHEET = 0.02


@dataclass(frozen=True, slots=True)
class PlanFrame:
    """Lays plan mm (y up) on the sheet (y down) at 1 : `denominator`, the plan's origin at `origin`."""

    origin: Point
    denominator: float

    def at(self, point: Point) -> Point:
        """Where a point of the plan, in mm, lies on the sheet."""
        return (
            self.origin[0] + point[0] / self.denominator,
            self.origin[1] - point[1] / self.denominator,
        )

    def points(self, contour: Contour) -> tuple[Point, ...]:
        """The contour as a closed polyline, true to a fiftieth of a mm on the sheet."""
        ring = tuple(self.at(point) for point in contour.points(_CHORD_ON_SHEET * self.denominator))
        return (*ring, ring[0])

    def box(self, contour: Contour) -> Box:
        """The box around a contour on the sheet."""
        x0, y0, x1, y1 = contour.box_mm
        left, bottom = self.at((x0, y0))
        right, top = self.at((x1, y1))
        return Box(left, top, right, bottom)

    def path(self, contour: Contour) -> str:
        """Path data of the whole contour: lines, circular and elliptical arcs; the parallel curve of an
        ellipse, which is none, as a fine polyline."""
        first, *_ = contour.segments
        if isinstance(first, Ellipse):
            return self._ellipse(first, contour)
        data = [f"M{self._pair(first.start)}"]
        for segment in contour.segments:
            if isinstance(segment, Line):
                data.append(f"L{self._pair(segment.end)}")
            elif isinstance(segment, Arc):
                data.append(self._arc(segment))
        return "".join(data) + "Z"

    def _pair(self, point: Point) -> str:
        x, y = self.at(point)
        return f"{num(x)} {num(y)}"

    def _arc(self, arc: Arc) -> str:
        radius = num(arc.radius_mm / self.denominator)
        if abs(arc.sweep_rad) > 1.9 * math.pi:  # an arc that ends where it starts would be drawn as nothing
            half = Arc(arc.centre, arc.radius_mm, arc.start_rad, arc.sweep_rad / 2, arc.side)
            rest = Arc(
                arc.centre, arc.radius_mm, arc.start_rad + arc.sweep_rad / 2, arc.sweep_rad / 2, arc.side
            )
            return self._arc(half) + self._arc(rest)
        large = 1 if abs(arc.sweep_rad) > math.pi else 0
        sweep = 0 if arc.sweep_rad > 0 else 1  # y is turned over
        return f"A{radius} {radius} 0 {large} {sweep} {self._pair(arc.end)}"

    def _ellipse(self, ellipse: Ellipse, contour: Contour) -> str:
        if ellipse.offset_mm != 0.0:
            return polyline(self.points(contour)[:-1], closed=True)
        along = (
            ellipse.semi_x_mm * math.cos(ellipse.turn_rad),
            ellipse.semi_x_mm * math.sin(ellipse.turn_rad),
        )
        (cx, cy), (dx, dy) = ellipse.centre, along
        start, end = self._pair((cx + dx, cy + dy)), self._pair((cx - dx, cy - dy))
        radii = f"{num(ellipse.semi_x_mm / self.denominator)} {num(ellipse.semi_y_mm / self.denominator)}"
        turn = num(-math.degrees(ellipse.turn_rad))
        return f"M{start}A{radii} {turn} 0 0 {end}A{radii} {turn} 0 0 {start}Z"
