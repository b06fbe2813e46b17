"""Finds places for labels: a greedy solver over candidate positions that never lets two texts overlap.

Texts, balloons and leaders already placed are forbidden ground; line work costs by the length covered;
distance from what is labelled costs by the millimetre. Candidates are tried in a fixed order, so the same
drawing always gets the same places.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import islice, tee

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from quoting.engine.drawing.values import Box, Point

_DIRECTIONS = tuple(
    (math.cos(math.radians(angle)), -math.sin(math.radians(angle)))
    for angle in (45, 135, 90, 0, 180, 30, 150, 60, 120, 315, 225, 15, 165, 270, 330, 210)
)
_INK_COST = 1.5  # per mm of line covered: a clear place up to 1.5 mm farther is better than a crossed line
_RINGS = 120
_CLEARANCE = 0.8
_FIRST_BATCH, _LARGEST_BATCH = 8, 128

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Candidate:
    """A place for a label: its centre, what the place costs, and the leader it needs, if any."""

    centre: Point
    cost: float
    leader: tuple[Point, ...] = ()


@dataclass(frozen=True, slots=True)
class FromTip:
    """Candidates whose leaders all start at one point: none will do where that is under a text already."""

    tip: Point
    candidates: Callable[[], Iterator[Candidate]]


class _Ground:
    """Shapes that are taken with the boxes around them, asked about many places at a time."""

    def __init__(self) -> None:
        self._rows: list[tuple[float, float, float, float]] = []
        self._shapes: list[BaseGeometry] = []
        self._arrays: tuple[Floats, NDArray[np.object_]] | None = None

    def add(self, box: Box, shape: BaseGeometry) -> None:
        """Take a shape within a box."""
        self._rows.append((box.x0, box.y0, box.x1, box.y1))
        self._shapes.append(shape)
        self._arrays = None

    def near(self, boxes: Floats, clearance: float) -> Bools:
        """Which of the shapes (columns) have boxes nearer to which of `boxes` (rows) than `clearance`."""
        rows, _ = self._as_arrays()
        return np.asarray(
            (rows[:, 0] < boxes[:, 2:3] + clearance)
            & (rows[:, 2] > boxes[:, 0:1] - clearance)
            & (rows[:, 1] < boxes[:, 3:4] + clearance)
            & (rows[:, 3] > boxes[:, 1:2] - clearance)
        )

    def touched(self, near: Bools, others: NDArray[np.object_]) -> Bools:
        """Which of `others` (rows of `near`) touch one of the shapes that are near."""
        _, shapes = self._as_arrays()
        which, number = np.nonzero(near)
        found = np.zeros(len(near), dtype=bool)
        found[which[shapely.intersects(shapes[number], others[which])]] = True
        return found

    def _as_arrays(self) -> tuple[Floats, NDArray[np.object_]]:
        if self._arrays is None:
            shapes = np.empty(len(self._shapes), dtype=object)
            shapes[:] = self._shapes
            self._arrays = np.array(self._rows, dtype=float).reshape(-1, 4), shapes
        return self._arrays


class LabelField:
    """The sheet as a label sees it: where it may not stand, and where it had better not."""

    def __init__(self, allowed: Callable[[Box], bool] = lambda box: True) -> None:
        self._allowed = allowed
        self._taken = _Ground()
        self._leaders = _Ground()
        self._ink: list[shapely.LineString] = []
        self._drawn: tuple[shapely.STRtree, NDArray[np.object_]] | None = None

    def limit(self, allowed: Callable[[Box], bool]) -> None:
        """Allow later labels only where `allowed` says so."""
        self._allowed = allowed

    def block(self, box: Box) -> None:
        """Forbid `box` to every later label and leader."""
        self._taken.add(box, shapely.box(box.x0, box.y0, box.x1, box.y1))

    def ink(self, points: Iterable[Point]) -> None:
        """Count a line as drawn: labels on it cost more."""
        line = tuple(points)
        if len(line) > 1:
            self._ink.append(shapely.LineString(line))
            self._drawn = None

    def keep_clear(self, points: Iterable[Point]) -> None:
        """Forbid a line to every later label."""
        line = tuple(points)
        self._leaders.add(_around_all(line), shapely.LineString(line))

    def is_free(self, box: Box) -> bool:
        """Whether a label may stand on `box`."""
        return bool(self._free(np.array([(box.x0, box.y0, box.x1, box.y1)]))[0])

    def _free(self, rows: Floats) -> Bools:
        """On which of the boxes (rows of x0, y0, x1, y1) a label may stand."""
        free: Bools = np.logical_not(self._taken.near(rows, _CLEARANCE).any(axis=1))
        free[free] = [self._allowed(Box(*row)) for row in rows[free].tolist()]
        near = self._leaders.near(rows, _CLEARANCE) & free[:, None]
        if near.any():
            # clear of the line's width as well
            room = rows + np.array([-1.0, -1.0, 1.0, 1.0]) * _CLEARANCE / 2
            free &= ~self._leaders.touched(near, np.asarray(shapely.box(*room.T)))
        return free

    def place(
        self, width: float, height: float, candidates: Iterable[Candidate | FromTip], *, must: bool = False
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
        self, width: float, height: float, candidates: Iterable[Candidate | FromTip], *, under: bool
    ) -> tuple[Box, Candidate] | None:
        best: tuple[float, Box, Candidate] | None = None
        half = np.array([-width / 2, -height / 2, width / 2, height / 2])
        for batch in _batches(self._one_by_one(candidates, under=under)):
            rows = np.array([candidate.centre * 2 for candidate in batch]) + half
            may = self._free(rows)
            if not under:
                may &= self._clear([candidate.leader for candidate in batch], may)
            for candidate, row, allowed in zip(batch, rows, may.tolist(), strict=True):
                if best is not None and candidate.cost >= best[0]:
                    return best[1:]
                if not allowed:
                    continue
                box = Box(*row.tolist())
                total = candidate.cost + _INK_COST * self._ink_under(box)
                if best is None or total < best[0] - 1e-9:
                    best = (total, box, candidate)
        return None if best is None else best[1:]

    def _one_by_one(self, candidates: Iterable[Candidate | FromTip], *, under: bool) -> Iterator[Candidate]:
        for choice in candidates:
            if isinstance(choice, Candidate):
                yield choice
            elif under or self._clear([(choice.tip, choice.tip)], np.array([True]))[0]:
                yield from choice.candidates()

    def _clear(self, leaders: Sequence[tuple[Point, ...]], asked: Bools) -> Bools:
        """Which of the leaders cross no text; only those `asked` about are looked at."""
        wanted = [number for number, leader in enumerate(leaders) if asked[number] and len(leader) > 1]
        clear = np.ones(len(leaders), dtype=bool)
        if wanted:
            counts = np.array([len(leaders[number]) for number in wanted])
            points = np.array([point for number in wanted for point in leaders[number]])
            lines = shapely.linestrings(points, indices=np.repeat(np.arange(len(wanted)), counts))
            firsts = np.cumsum(counts) - counts
            rows = np.hstack([np.minimum.reduceat(points, firsts), np.maximum.reduceat(points, firsts)])
            clear[wanted] = ~self._taken.touched(self._taken.near(rows, 0.1), np.asarray(lines))
        return clear

    def _ink_under(self, box: Box) -> float:
        if self._drawn is None:
            lines = np.empty(len(self._ink), dtype=object)
            lines[:] = self._ink
            self._drawn = shapely.STRtree(lines), lines
        tree, lines = self._drawn
        shape = shapely.box(box.x0, box.y0, box.x1, box.y1)
        near = np.sort(tree.query(shape))
        lengths: list[float] = shapely.length(shapely.intersection(lines[near], shape)).tolist()
        return sum(lengths)


def _batches(candidates: Iterable[Candidate]) -> Iterator[tuple[Candidate, ...]]:
    """Candidates in order: a few at first, since the best is often among them, then many at a time."""
    left, size = iter(candidates), _FIRST_BATCH
    while batch := tuple(islice(left, size)):
        yield batch
        size = min(4 * size, _LARGEST_BATCH)


def _around_all(points: tuple[Point, ...]) -> Box:
    """The box around a line."""
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return Box(min(xs), min(ys), max(xs), max(ys))


def around(
    target: Box, size: tuple[float, float], tip: Callable[[Point], Point], dearer: float = 0.0
) -> Iterator[Candidate]:
    """Places for a label outside `target`, nearest first, with a leader from `tip(centre)` to the label;
    `dearer` is added to what each costs."""
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
            yield Candidate(centre, gap + 0.02 * order + dearer, leader)


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
