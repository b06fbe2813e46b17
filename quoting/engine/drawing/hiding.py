"""What is hidden: which points of edges in space the viewer of the isometric view sees.

An edge is drawn where the ray from it to the viewer meets no material, so the result does not depend on any
order of faces. All edges of a drawing are looked at together: a ray at a time is slow, many at a time is not.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from quoting.engine.drawing.isometry import Edge, Floats

Whole = NDArray[np.intp]
Range = tuple[float, float]
_SIGHT = np.array([1.0, -1.0])  # how far the ray to the viewer goes in plan while it rises by 1
_TOUCH_MM = 0.05  # material is drawn in by this, so that an edge is not hidden by the faces that meet there
_HALVINGS = 12
_NEAR_MM = 1e-6  # a body is left out only where it is farther from the ray than this


@dataclass(frozen=True, slots=True)
class Body:
    """Material between two depths with one plan; `plan` may have holes."""

    top: float
    bottom: float
    plan: BaseGeometry


class Hiding:
    """Material that hides what is behind it."""

    def __init__(self, bodies: Sequence[Body]) -> None:
        self._blockers: list[Body] = []
        reaches: list[tuple[float, ...]] = []
        for body in bodies:
            plan = body.plan.buffer(-_TOUCH_MM)
            if not plan.is_empty:
                shapely.prepare(plan)
                points = shapely.get_coordinates(plan)
                across, towards = points.sum(axis=1), points[:, 0] - points[:, 1]
                self._blockers.append(replace(body, plan=plan))
                reaches.append((across.min(), across.max(), towards.min(), towards.max()))
        self._reaches = np.array(reaches).reshape(-1, 4).T[:, :, None]
        self._tops = np.array([body.top for body in self._blockers])[:, None]
        self._bottoms = np.array([body.bottom for body in self._blockers])[:, None]

    def visible(self, points: Floats) -> NDArray[np.bool_]:
        """Which of the points the viewer sees."""
        seen = np.ones(len(points), dtype=bool)
        near = self._near(points)
        for number in np.flatnonzero(near.any(axis=1)).tolist():
            body, met = self._blockers[number], np.flatnonzero(near[number] & seen)
            depth = points[met, 2]
            start = points[met, :2] + _SIGHT * (depth - np.minimum(depth, body.bottom))[:, None]
            end = points[met, :2] + _SIGHT * (depth - body.top)[:, None]
            rays = shapely.linestrings(np.stack([start, end], axis=1))
            seen[met[shapely.intersects(body.plan, rays)]] = False
        return seen

    def _near(self, points: Floats) -> NDArray[np.bool_]:
        """Which bodies (rows) the rays from which points (columns) can meet: a ray goes 2 towards the viewer
        as it rises by 1."""
        left, right, farthest, nearest = self._reaches
        across, towards, z = points[:, 0] + points[:, 1], points[:, 0] - points[:, 1], points[:, 2]
        reach = towards + 2.0 * z
        near: NDArray[np.bool_] = z > self._tops + 1e-6
        near &= (across >= left - _NEAR_MM) & (across <= right + _NEAR_MM)
        near &= reach >= farthest + 2.0 * self._tops - _NEAR_MM
        near &= reach - 2.0 * np.minimum(z, self._bottoms) <= nearest + _NEAR_MM
        return near

    def stretches(self, edges: Sequence[Edge], spacing: float) -> list[list[Range]]:
        """Visible parts of every edge as ranges of t; nothing shorter than `spacing` mm is looked for."""
        if not edges:
            return []
        course = _Course(edges)
        shares = [_middles(edge, spacing) for edge in edges]
        which = np.repeat(np.arange(len(edges)), [len(row) for row in shares])
        t = np.concatenate(shares)
        seen = self.visible(course.points(which, t))
        changes = np.flatnonzero((seen[:-1] != seen[1:]) & (which[:-1] == which[1:]))
        limits = self._limits(course, which[changes], t[changes], t[changes + 1], seen[changes])
        firsts = seen[np.searchsorted(which, np.arange(len(edges)))]
        parts = np.searchsorted(which[changes], np.arange(len(edges) + 1)).tolist()
        return [
            _seen_ranges(limits[start:end], bool(first))
            for (start, end), first in zip(pairwise(parts), firsts.tolist(), strict=True)
        ]

    def _limits(
        self, course: _Course, which: Whole, low: Floats, high: Floats, first: NDArray[np.bool_]
    ) -> list[float]:
        """Where between `low`, seen as `first` says, and `high` each stretch ends, by halving."""
        for _ in range(_HALVINGS if len(which) else 0):
            middle = (low + high) / 2
            same = self.visible(course.points(which, middle)) == first
            low, high = np.where(same, middle, low), np.where(same, high, middle)
        limits: list[float] = ((low + high) / 2).tolist()
        return limits


class _Course:
    """Points along many edges by edge and share of the way."""

    def __init__(self, edges: Sequence[Edge]) -> None:
        self._edges = edges
        straight = [edge.arc is None and len(edge.points) == 2 for edge in edges]
        ends = [
            edge.points if plain else ((0.0,) * 3,) * 2 for edge, plain in zip(edges, straight, strict=True)
        ]
        both = np.array(ends)
        self._starts, self._ways = both[:, 0], both[:, 1] - both[:, 0]
        self._curved = np.flatnonzero(~np.array(straight))

    def points(self, which: Whole, t: Floats) -> Floats:
        """The points at shares `t` of the edges numbered `which`, in ascending order; one row each."""
        found: Floats = self._ways[which] * t[:, None] + self._starts[which]
        begins, ends = np.searchsorted(which, self._curved), np.searchsorted(which, self._curved, "right")
        for number, begin, end in zip(self._curved.tolist(), begins.tolist(), ends.tolist(), strict=True):
            if begin < end:
                found[begin:end] = self._edges[number].at(t[begin:end])
        return found


def _middles(edge: Edge, spacing: float) -> Floats:
    """Shares of the way along an edge at which it is looked at."""
    count = max(8, min(600, math.ceil(edge.size / spacing)))
    t = np.linspace(0.0, 1.0, count + 1)
    return (t[:-1] + t[1:]) / 2


def _seen_ranges(limits: Sequence[float], first: bool) -> list[Range]:
    """The ranges between `limits` that are seen, every other one."""
    ranges = list(pairwise((0.0, *limits, 1.0)))
    return ranges[0 if first else 1 :: 2]
