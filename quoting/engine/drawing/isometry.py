"""Isometric projection: edges in space and their paths on the sheet.

Seen from the front right above: x runs to the right and down, y to the right and up, z down, each true to
scale along its axis (ISO 5456-3).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from quoting.engine.drawing.canvas import num
from quoting.engine.drawing.style import Stroke
from quoting.engine.drawing.values import Point
from quoting.engine.plane.contour import Contour
from quoting.engine.plane.segments import Arc, Ellipse, Line

Point3 = tuple[float, float, float]
Floats = NDArray[np.float64]
Lay = Callable[[Point], Point]
"""Takes projected mm to the sheet."""
COS, SIN = math.cos(math.radians(30)), 0.5


def project(point: Point3) -> Point:
    """Sheet coordinates (y down) of a point of the piece, at full size.

    >>> project((0.0, 0.0, 10.0))
    (0.0, 10.0)
    """
    x, y, z = point
    return ((x + y) * COS, (x - y) * SIN + z)


@dataclass(frozen=True, slots=True)
class Edge:
    """A curve in space: the ellipse arc centre + a·cos t + b·sin t, or the straight line from `a` to `b`, or
    a polyline; `t` from 0 to 1 along it."""

    stroke: Stroke
    points: tuple[Point3, ...]
    """Ends of straight stretches, for a line or polyline."""
    arc: Arc | Ellipse | None = None
    depth: float = 0.0

    @property
    def size(self) -> float:
        """About its length, mm."""
        if self.arc is not None:
            return self.arc.length_mm
        return sum(math.dist(a, b) for a, b in zip(self.points, self.points[1:], strict=False))

    def at(self, t: Floats) -> Floats:
        """Points at shares `t` of the way, one row each."""
        if self.arc is not None:
            (cx, cy), (ax, ay), (bx, by), start, sweep = _conjugate(self.arc)
            angle = start + sweep * t
            cos, sin = np.cos(angle), np.sin(angle)
            return np.stack(
                [cx + ax * cos + bx * sin, cy + ay * cos + by * sin, np.full_like(t, self.depth)], axis=1
            )
        corners = np.array(self.points)
        steps = self.shares()
        return np.stack([np.interp(t, steps, corners[:, axis]) for axis in range(3)], axis=1)

    def shares(self) -> Floats:
        """Where each of the points lies along a line or polyline: shares of its length, from 0 to 1.

        By length, so that looking along a long straight stretch is no coarser than along a curve's chords.
        """
        if len(self.points) == 2:
            return np.array([0.0, 1.0])
        steps = np.diff(np.array(self.points), axis=0)
        run = np.concatenate(([0.0], np.cumsum(np.sqrt((steps * steps).sum(axis=1)))))
        return run / run[-1] if run[-1] > 0.0 else np.linspace(0.0, 1.0, len(run))

    def along(self, start: float, end: float) -> list[Point3]:
        """The points of a line or polyline from one share of the way to another, both ends among them."""
        inner = [t for t in self.shares().tolist() if start < t < end]
        rows: list[list[float]] = self.at(np.array([start, *inner, end])).tolist()
        return [(x, y, z) for x, y, z in rows]


def _conjugate(arc: Arc | Ellipse) -> tuple[Point, Point, Point, float, float]:
    """Centre, two conjugate half axes, start and sweep of the parameter."""
    if isinstance(arc, Arc):
        return arc.centre, (arc.radius_mm, 0.0), (0.0, arc.radius_mm), arc.start_rad, arc.sweep_rad
    cos, sin = math.cos(arc.turn_rad), math.sin(arc.turn_rad)
    a, b = arc.semi_x_mm, arc.semi_y_mm
    return arc.centre, (a * cos, a * sin), (-b * sin, b * cos), 0.0, 2 * math.pi


def contour_edges(contour: Contour, depth: float, stroke: Stroke) -> Iterable[Edge]:
    """A contour's segments at one depth."""
    for segment in contour.segments:
        yield segment_edge(segment, contour, depth, stroke)


def segment_edge(segment: Line | Arc | Ellipse, contour: Contour, depth: float, stroke: Stroke) -> Edge:
    """One segment of a contour at a depth; the parallel curve of an ellipse as a polyline."""
    if isinstance(segment, Line):
        return Edge(stroke, ((*segment.start, depth), (*segment.end, depth)))
    if isinstance(segment, Ellipse) and segment.offset_mm != 0.0:
        ring = contour.points(0.1)
        return Edge(stroke, tuple((x, y, depth) for x, y in (*ring, ring[0])))
    return Edge(stroke, (), segment, depth)


def uprights(contour: Contour, top: float, bottom: float, stroke: Stroke, *, outside: bool) -> Iterable[Edge]:
    """Upright edges of a wall: at sharp corners, and (seen from outside) where a curve turns out of sight."""
    segments = contour.segments
    for before, after in zip((segments[-1], *segments[:-1]), segments, strict=True):
        if len(segments) > 1 and _turns(before, after):
            yield _upright(
                after.start if not isinstance(after, Ellipse) else after.centre, top, bottom, stroke
            )
    if not outside:
        return
    for segment in segments:
        for point in _horizon(segment):
            yield _upright(point, top, bottom, stroke)


def _upright(at: Point, top: float, bottom: float, stroke: Stroke) -> Edge:
    return Edge(stroke, ((*at, top), (*at, bottom)))


def _turns(before: Line | Arc | Ellipse, after: Line | Arc | Ellipse) -> bool:
    """Whether there is a corner between two neighbouring segments."""
    a, b = _direction(before, at_end=True), _direction(after, at_end=False)
    return abs(a[0] * b[1] - a[1] * b[0]) > 1e-3


def _direction(segment: Line | Arc | Ellipse, *, at_end: bool) -> Point:
    if isinstance(segment, Line):
        length = segment.length_mm or 1.0
        return (
            (segment.end[0] - segment.start[0]) / length,
            (segment.end[1] - segment.start[1]) / length,
        )
    if isinstance(segment, Ellipse):
        return (0.0, 1.0)
    angle = segment.start_rad + (segment.sweep_rad if at_end else 0.0)
    sign = math.copysign(1.0, segment.sweep_rad)
    return (-sign * math.sin(angle), sign * math.cos(angle))


def _horizon(segment: Line | Arc | Ellipse) -> Iterable[Point]:
    """Where a convex curve's wall turns away from the viewer: its normal is square to the line of sight."""
    for angle in (math.pi / 4, 5 * math.pi / 4):
        if isinstance(segment, Ellipse):
            yield segment.facing(angle)
        elif isinstance(segment, Arc) and segment.sweep_rad > 0:
            within = (angle - segment.start_rad) % (2 * math.pi)
            if within <= segment.sweep_rad + 1e-9:
                yield segment.at(angle)


# --- on the sheet ----------------------------------------------------------------------------------------
def path_of(edge: Edge, part: tuple[float, float], lay: Lay, scale: float) -> str:
    """Path data of part of an edge; `lay` takes projected mm to the sheet, `scale` is sheet mm for one mm."""
    start, end = part
    if edge.arc is None:
        return "M" + "L".join(_pair(point, lay) for point in edge.along(start, end))
    rx, ry, turn, flip = _projected_axes(edge.arc)
    _, _, _, _, sweep = _conjugate(edge.arc)
    flag = 1 if (sweep > 0) == flip else 0
    pieces = 2 if abs(sweep) * (end - start) > math.pi else 1
    stops = edge.at(np.linspace(start, end, pieces + 1)).tolist()
    data = [f"M{_pair(tuple(stops[0]), lay)}"]
    data += [
        f"A{num(rx * scale)} {num(ry * scale)} {num(turn)} 0 {flag} {_pair(tuple(stop), lay)}"
        for stop in stops[1:]
    ]
    return "".join(data)


def _pair(point: Point3, lay: Lay) -> str:
    x, y = lay(project(point))
    return f"{num(x)} {num(y)}"


def _projected_axes(arc: Arc | Ellipse) -> tuple[float, float, float, bool]:
    """Half axes and turn (degrees on the sheet) of the projected ellipse; whether a growing t runs the way
    of growing angles on the sheet."""
    _, a, b, _, _ = _conjugate(arc)
    columns = np.array([project((*a, 0.0)), project((*b, 0.0))]).T
    axes, lengths, _ = np.linalg.svd(columns)
    turn = math.degrees(math.atan2(float(axes[1, 0]), float(axes[0, 0])))
    # an axis has no direction: keep the turn within half a circle, whatever sign the library chose
    turn = (turn + 90.0) % 180.0 - 90.0
    return float(lengths[0]), float(lengths[1]), turn, bool(np.linalg.det(columns) > 0)
