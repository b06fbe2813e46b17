"""Finds places for labels: a greedy solver over candidate positions that never lets two texts overlap.

Texts, balloons and leaders already placed are forbidden ground; line work costs by the length covered;
distance from what is labelled costs by the millimetre. Candidates are tried in a fixed order, so the same
drawing always gets the same places.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from itertools import tee

import numpy as np
import shapely
from numpy.typing import NDArray

from quoting.engine.drawing.values import Box, Point

_DIRECTIONS = tuple(
    (math.cos(math.radians(angle)), -math.sin(math.radians(angle)))
    for angle in (45, 135, 90, 0, 180, 30, 150, 60, 120, 315, 225, 15, 165, 270, 330, 210)
)
_INK_COST = 1.5  # per mm of line covered: a clear place up to 1.5 mm farther is better than a crossed line
_RINGS = 120
_CLEARANCE = 0.8


@dataclass(frozen=True, slots=True)
class Candidate:
    """A place for a label: its centre, what the place costs, and the leader it needs, if any."""

    centre: Point
    cost: float
    leader: tuple[Point, ...] = ()


class _Ground:
    """Boxes that are taken, asked many at a time."""

    def __init__(self) -> None:
        self._rows: list[tuple[float, float, float, float]] = []
        self._array: NDArray[np.float64] | None = None

    def add(self, box: Box) -> None:
        """Take a box."""
        self._rows.append((box.x0, box.y0, box.x1, box.y1))
        self._array = None

    def met_by(self, box: Box, clearance: float) -> list[int]:
        """Numbers of the boxes nearer to `box` than `clearance` in both directions."""
        if not self._rows:
            return []
        if self._array is None:
            self._array = np.array(self._rows)
        rows = self._array
        met = (
            (rows[:, 0] < box.x1 + clearance)
            & (rows[:, 2] > box.x0 - clearance)
            & (rows[:, 1] < box.y1 + clearance)
            & (rows[:, 3] > box.y0 - clearance)
        )
        return [int(number) for number in np.flatnonzero(met)]


class LabelField:
    """The sheet as a label sees it: where it may not stand, and where it had better not."""

    def __init__(self, allowed: Callable[[Box], bool] = lambda box: True) -> None:
        self._allowed = allowed
        self._taken: list[shapely.Polygon] = []
        self._taken_ground = _Ground()
        self._leaders: list[shapely.LineString] = []
        self._leader_ground = _Ground()
        self._ink: list[shapely.LineString] = []
        self._tree: shapely.STRtree | None = None

    def limit(self, allowed: Callable[[Box], bool]) -> None:
        """Allow later labels only where `allowed` says so."""
        self._allowed = allowed

    def block(self, box: Box) -> None:
        """Forbid `box` to every later label and leader."""
        self._taken.append(shapely.box(box.x0, box.y0, box.x1, box.y1))
        self._taken_ground.add(box)

    def ink(self, points: Iterable[Point]) -> None:
        """Count a line as drawn: labels on it cost more."""
        line = tuple(points)
        if len(line) > 1:
            self._ink.append(shapely.LineString(line))
            self._tree = None

    def keep_clear(self, points: Iterable[Point]) -> None:
        """Forbid a line to every later label."""
        line = tuple(points)
        self._leaders.append(shapely.LineString(line))
        self._leader_ground.add(_around_all(line))

    def is_free(self, box: Box) -> bool:
        """Whether a label may stand on `box`."""
        if not self._allowed(box) or self._taken_ground.met_by(box, _CLEARANCE):
            return False
        near = self._leader_ground.met_by(box, _CLEARANCE)
        if not near:
            return True
        room = box.grown(_CLEARANCE / 2)  # clear of the line's width as well
        shape = shapely.box(room.x0, room.y0, room.x1, room.y1)
        return not any(self._leaders[number].intersects(shape) for number in near)

    def place(
        self, width: float, height: float, candidates: Iterable[Candidate], *, must: bool = False
    ) -> tuple[Box, Candidate] | None:
        """The cheapest free candidate for a label of this size; its box is blocked from now on.

        Candidates must come with costs that do not fall much below those before them: the search stops at
        the first whose own cost is above the best total found. A label that `must` be placed may have its
        leader run under other texts, where nothing else is left.
        """
        once, again = tee(candidates)
        found = self._best(width, height, once, under=False)
        if found is None and must:
            found = self._best(width, height, again, under=True)
        if found is None:
            return None
        box, candidate = found
        self.block(box)
        if len(candidate.leader) > 1:
            self.keep_clear(candidate.leader)
        return box, candidate

    def _best(
        self, width: float, height: float, candidates: Iterable[Candidate], *, under: bool
    ) -> tuple[Box, Candidate] | None:
        best: tuple[float, Box, Candidate] | None = None
        for candidate in candidates:
            if best is not None and candidate.cost >= best[0]:
                break
            x, y = candidate.centre
            box = Box(x - width / 2, y - height / 2, x + width / 2, y + height / 2)
            if not self.is_free(box) or not (under or self._is_clear(candidate.leader)):
                continue
            total = candidate.cost + _INK_COST * self._ink_under(box)
            if best is None or total < best[0] - 1e-9:
                best = (total, box, candidate)
        return None if best is None else best[1:]

    def _is_clear(self, leader: tuple[Point, ...]) -> bool:
        """Whether a leader crosses no text."""
        if len(leader) < 2:
            return True
        near = self._taken_ground.met_by(_around_all(leader), 0.1)
        if not near:
            return True
        line = shapely.LineString(leader)
        return not any(line.intersects(self._taken[number]) for number in near)

    def _ink_under(self, box: Box) -> float:
        if self._tree is None:
            self._tree = shapely.STRtree(self._ink)
        shape = shapely.box(box.x0, box.y0, box.x1, box.y1)
        near = sorted(int(index) for index in self._tree.query(shape))
        return sum(self._ink[index].intersection(shape).length for index in near)


def _around_all(points: tuple[Point, ...]) -> Box:
    """The box around a line."""
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return Box(min(xs), min(ys), max(xs), max(ys))


def around(target: Box, size: tuple[float, float], tip: Callable[[Point], Point]) -> Iterator[Candidate]:
    """Places for a label outside `target`, nearest first, with a leader from `tip(centre)` to the label."""
    width, height = size
    middle = ((target.x0 + target.x1) / 2, (target.y0 + target.y1) / 2)
    for ring in range(_RINGS):
        gap = 4.5 + 1.5 * ring
        for order, (dx, dy) in enumerate(_DIRECTIONS):
            centre = (
                middle[0] + dx * ((target.width + width) / 2 + gap),
                middle[1] + dy * ((target.height + height) / 2 + gap),
            )
            leader = leader_to(tip(centre), centre, size)
            yield Candidate(centre, gap + 0.02 * order, leader)


def at_point(point: Point) -> Callable[[Point], Point]:
    """A leader's tip that is the same wherever the label stands."""

    def tip(_: Point) -> Point:
        return point

    return tip


def leader_to(tip: Point, centre: Point, size: tuple[float, float]) -> tuple[Point, ...]:
    """A straight leader from `tip` to the label: to its upper or lower edge above or below the tip, else to
    the middle of its nearer end."""
    half_width, half_height = size[0] / 2, size[1] / 2
    gap = 0.3
    if abs(tip[0] - centre[0]) < half_width - 0.5:
        way = 1.0 if tip[1] > centre[1] else -1.0
        return (tip, (tip[0], centre[1] + way * (half_height + gap)))
    way = 1.0 if tip[0] > centre[0] else -1.0
    return (tip, (centre[0] + way * (half_width + gap), centre[1]))


def spread(values: Iterable[float], pitch: float, lowest: float) -> tuple[float, ...]:
    """Positions at least `pitch` apart and none below `lowest`, as near as possible to ascending `values`.

    Least squares by pooling neighbours that are too close, then pushed up from `lowest`.

    >>> spread((0.0, 1.0, 20.0), 4.0, -9.0)
    (-1.5, 2.5, 20.0)
    """
    wanted = list(values)
    pools: list[tuple[float, int]] = []  # mean of (value - index * pitch), count
    for index, value in enumerate(wanted):
        mean, count = value - index * pitch, 1
        while pools and pools[-1][0] > mean:
            before, number = pools.pop()
            mean = (before * number + mean * count) / (number + count)
            count += number
        pools.append((mean, count))
    result: list[float] = []
    for mean, count in pools:
        for _ in range(count):
            place = mean + len(result) * pitch
            floor = result[-1] + pitch if result else lowest
            result.append(max(place, floor))
    return tuple(result)
