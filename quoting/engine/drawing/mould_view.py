"""The mould taken apart: every part in isometric above or beside its seat, numbered as on the cut list."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
import shapely

from quoting.engine.drawing import dimensions, isometry, sheet
from quoting.engine.drawing.canvas import Canvas, polyline
from quoting.engine.drawing.hiding import Body, Hiding
from quoting.engine.drawing.isometry import Edge
from quoting.engine.drawing.labels import LabelField, around, at_point
from quoting.engine.drawing.sheet import Entry
from quoting.engine.drawing.style import SheetStyle, style_for
from quoting.engine.drawing.text import length_text, unit_note
from quoting.engine.drawing.values import Box, Drawing, Point, TitleBlock
from quoting.engine.solid.build import Solid
from quoting.engine.takeoff.lines import Mould, MouldPart

_SHARP = math.cos(math.radians(25))
_LEAN_STEPS = 5
_UNTIL_NEXT = 0.08  # of the mould's length: clear space between parts taken apart
_RAISED = (("inlay,",), ("knock-out", "tube", "former", "core"), ("form",))
"""What is lifted off the base, lowest first: words in the parts' names."""
_BASE, _SIDES = -2, -1
_SPREAD = 0.18


@dataclass(frozen=True, slots=True)
class _Apart:
    """A part where it is drawn: footprints at its upper and lower level, z down as the mould stands."""

    drawing: str
    upper: tuple[Point, ...]
    lower: tuple[Point, ...]
    top: float
    bottom: float

    def moved(self, dx: float, dy: float, dz: float) -> _Apart:
        """The part shifted in plan and depth, mm."""

        def shifted(plan: tuple[Point, ...]) -> tuple[Point, ...]:
            return tuple((x + dx, y + dy) for x, y in plan)

        return replace(
            self,
            upper=shifted(self.upper),
            lower=shifted(self.lower),
            top=self.top + dz,
            bottom=self.bottom + dz,
        )


@dataclass(frozen=True, slots=True)
class _Scene:
    """What is seen of the parts: stretches of edges, and a point of each part's number for its leader."""

    parts: tuple[_Apart, ...]
    seen: tuple[tuple[isometry.Point3, ...], ...]
    tips: Mapping[str, isometry.Point3]


@dataclass(frozen=True, slots=True)
class _Sheet:
    """How the scene is put on paper."""

    system: str
    compact: bool
    block: TitleBlock | None
    prefix: str


def exploded(
    solid: Solid,
    mould: Mould,
    *,
    system: str,
    compact: bool = False,
    block: TitleBlock | None = None,
    prefix: str = "mould",
) -> Drawing:
    """Draw the parts of a mould pulled apart, as the mould stands in the shop, with a list of them.

    A face-down mould is drawn turned over, as it is built: the base below, the piece's show face upon it.
    Hidden lines are removed; fitted to the sheet, not to scale. `system` letters the sizes of the list.
    """
    return _drawn(_scene(solid, mould), solid, mould, _Sheet(system, compact, block, prefix))


def exploded_for_both(solid: Solid, mould: Mould, *, system: str, prefix: str) -> tuple[Drawing, Drawing]:
    """The same twice, lettered for a desk and for a phone (its ids begin with `small-`), looked at once."""
    scene = _scene(solid, mould)
    desk, phone = _Sheet(system, False, None, prefix), _Sheet(system, True, None, f"small-{prefix}")
    return _drawn(scene, solid, mould, desk), _drawn(scene, solid, mould, phone)


def _scene(solid: Solid, mould: Mould) -> _Scene:
    """What is seen of a mould pulled apart, looked at as finely as a desk's sheet asks."""
    parts = _pulled_apart(solid, mould)
    hiding = Hiding([body for part in parts for body in _bodies(part)])
    scale, _ = _fit(parts, style_for(compact=False))
    edges = [edge for part in parts for edge in _edges_of(part)]
    ranges = zip(edges, hiding.stretches(edges, 0.6 / scale), strict=True)
    seen = tuple(tuple(edge.along(*each)) for edge, found in ranges for each in found)
    tips = {}
    for number in dict.fromkeys(part.drawing for part in parts):
        alike = (part for part in parts if part.drawing == number)
        tip = next((point for part in alike for point in _seen_middles(part, hiding)), None)
        if tip is not None:
            tips[number] = tip
    return _Scene(tuple(parts), seen, tips)


def _drawn(scene: _Scene, solid: Solid, mould: Mould, paper: _Sheet) -> Drawing:
    style = style_for(compact=paper.compact)
    canvas, field = Canvas(style), LabelField()
    _, lay = _fit(scene.parts, style)
    for points in scene.seen:
        line = [lay(isometry.project(point)) for point in points]
        canvas.path(polyline(line), "visible")
        canvas.reach_points(line)
        field.ink(line)
    _numbers(canvas, field, scene, lay)
    system = paper.system
    standing = {part.drawing for part in scene.parts}
    return sheet.finish(
        canvas,
        title=f"Mould of {solid.piece.name}, taken apart",
        description="Parts of the mould in isometric view: "
        + "; ".join(f"{part.drawing} {_listed(part, system)}" for part in mould.parts)
        + ".",
        prefix=paper.prefix,
        scale=None,
        unit=unit_note(system),
        notes=[
            Entry(_listed(part, system) + ("" if part.drawing in standing else " (not drawn)"), part.drawing)
            for part in mould.parts
        ],
        block=paper.block,
    )


def _listed(part: MouldPart, system: str) -> str:
    size = " × ".join(length_text(mm, system) for mm in (part.length_mm, part.width_mm, part.thickness_mm))
    return f"{part.quantity} × {part.name}: {size}, {part.material}, {part.edges}"


# --- taking apart ----------------------------------------------------------------------------------------
def _pulled_apart(solid: Solid, mould: Mould) -> list[_Apart]:
    """The base dropped, sides drawn out from the middle, everything else lifted group by group."""
    x0, y0, x1, y1 = solid.outline.box_mm
    turn_over = solid.piece.cast == "face-down"
    away = 1.0 if turn_over else -1.0  # the way along z from the base into the mould
    gap = _UNTIL_NEXT * max(x1 - x0, y1 - y0)
    groups: dict[int, list[_Apart]] = {}
    for placed in mould.placed:
        lower = placed.plan_bottom_mm or placed.plan_mm
        part = _Apart(placed.drawing, placed.plan_mm, lower, placed.top_mm, placed.bottom_mm)
        groups.setdefault(_group(placed.name), []).append(part)
    result = [part.moved(0.0, 0.0, -away * gap) for part in groups.get(_BASE, [])]
    middle = ((x0 + x1) / 2, (y0 + y1) / 2)
    sides = [_outwards(part, middle) for part in groups.get(_SIDES, [])]
    result += sides
    clear = max((away * z for part in sides for z in (part.top, part.bottom)), default=0.0)
    for number in range(len(_RAISED)):
        group = groups.get(number, [])
        heights = [away * z for part in group for z in (part.top, part.bottom)]
        if heights:
            lift = clear + gap / 2 - min(heights)
            result += [part.moved(0.0, 0.0, away * lift) for part in group]
            clear = max(heights) + lift
    return [_turned_over(part, y0 + y1) if turn_over else part for part in result]


def _group(name: str) -> int:
    """Which group a part is taken away with."""
    if name == "base":
        return _BASE
    for number, words in enumerate(_RAISED):
        if any(word in name for word in words):
            return number
    return _SIDES


def _outwards(part: _Apart, middle: Point) -> _Apart:
    """Moved from the middle in proportion to its own middle's distance: what was apart stays apart."""
    centre = shapely.Polygon(part.upper).centroid
    return part.moved((centre.x - middle[0]) * _SPREAD, (centre.y - middle[1]) * _SPREAD, 0.0)


def _turned_over(part: _Apart, mirror: float) -> _Apart:
    """Rolled about the length, so that the show face lies down: y and z both turn round."""

    def rolled(plan: tuple[Point, ...]) -> tuple[Point, ...]:
        return tuple((x, mirror - y) for x, y in reversed(plan))

    return replace(
        part, upper=rolled(part.lower), lower=rolled(part.upper), top=-part.bottom, bottom=-part.top
    )


# --- drawing ---------------------------------------------------------------------------------------------
def _bodies(part: _Apart) -> Iterator[Body]:
    """The part as prisms for hiding; one that leans in steps, each no larger than the part within it."""
    upper, lower = np.array(part.upper), np.array(part.lower)
    if part.upper == part.lower or len(upper) != len(lower):
        yield Body(part.top, part.bottom, shapely.Polygon(part.upper).buffer(0))
        return
    shares = np.linspace(0.0, 1.0, _LEAN_STEPS + 1)
    plans = [shapely.Polygon(upper * (1 - share) + lower * share).buffer(0) for share in shares]
    levels = part.top + (part.bottom - part.top) * shares
    for (above, top), (below, bottom) in pairwise(zip(plans, levels.tolist(), strict=True)):
        yield Body(top, bottom, above.intersection(below))


def _edges_of(part: _Apart) -> Iterator[Edge]:
    for plan, z in ((part.upper, part.top), (part.lower, part.bottom)):
        yield from _ring(plan, z)
    if len(part.upper) != len(part.lower):
        return
    count = len(part.upper)
    for index in range(count):
        if _is_edge(part.upper, index):
            yield Edge("visible", ((*part.upper[index], part.top), (*part.lower[index], part.bottom)))


def _ring(plan: tuple[Point, ...], z: float) -> Iterable[Edge]:
    """A ring as straight stretches between sharp corners and polylines along curves."""
    count = len(plan)
    sharp = [index for index in range(count) if _bend(plan, index) < _SHARP] or [0]
    for first, last in zip(sharp, [*sharp[1:], sharp[0] + count], strict=True):
        points = tuple((*plan[index % count], z) for index in range(first, last + 1))
        yield Edge("visible", points)


def _bend(plan: tuple[Point, ...], index: int) -> float:
    """Cosine of the turn at a corner of a ring."""
    (ax, ay), (bx, by), (cx, cy) = plan[index - 1], plan[index], plan[(index + 1) % len(plan)]
    before, after = math.hypot(bx - ax, by - ay), math.hypot(cx - bx, cy - by)
    if before == 0.0 or after == 0.0:
        return 1.0
    return ((bx - ax) * (cx - bx) + (by - ay) * (cy - by)) / (before * after)


def _is_edge(plan: tuple[Point, ...], index: int) -> bool:
    """Whether an upright edge shows at a corner: sharp, or where the wall turns out of sight."""
    if _bend(plan, index) < _SHARP:
        return True
    (ax, ay), (bx, by), (cx, cy) = plan[index - 1], plan[index], plan[(index + 1) % len(plan)]
    before, after = (by - ay) + (bx - ax), (cy - by) + (cx - bx)  # facing the viewer at (1, -1) below zero
    if before * after >= 0:
        return False
    turn = (bx - ax) * (cy - by) - (by - ay) * (cx - bx)
    return turn > 0 if shapely.LinearRing(plan).is_ccw else turn < 0


def _fit(parts: Sequence[_Apart], style: SheetStyle) -> tuple[float, isometry.Lay]:
    flat = [
        isometry.project((x, y, z))
        for part in parts
        for plan, z in ((part.upper, part.top), (part.lower, part.bottom))
        for x, y in plan
    ]
    xs, ys = [x for x, _ in flat], [y for _, y in flat]
    room = style.width - 2 * style.margin - 4 * style.cap
    scale = min(room / (max(xs) - min(xs)), room / (max(ys) - min(ys)))
    left, top = min(xs), min(ys)

    def lay(point: Point) -> Point:
        return ((point[0] - left) * scale, (point[1] - top) * scale)

    return scale, lay


def _numbers(canvas: Canvas, field: LabelField, scene: _Scene, lay: isometry.Lay) -> None:
    """Each number once, its leader on a part of that number that can be seen."""
    for number, seen in scene.tips.items():
        tip = lay(isometry.project(seen))
        size = canvas.text_size(number)
        target = Box(tip[0] - 1.0, tip[1] - 1.0, tip[0] + 1.0, tip[1] + 1.0)
        placed = field.place(*size, around(target, size, at_point(tip)))
        if placed is None:
            continue
        box, candidate = placed
        dimensions.leader(canvas, candidate.leader, arrow=False)
        canvas.text_in(number, box)


def _seen_middles(part: _Apart, hiding: Hiding) -> Iterator[isometry.Point3]:
    """Points of the part's upper face that can be seen, its middle first."""
    middle = shapely.Polygon(part.upper).representative_point()
    points = [(middle.x, middle.y, part.top)]
    points += [((3 * x + middle.x) / 4, (3 * y + middle.y) / 4, part.top) for x, y in part.upper]
    for point, seen in zip(points, hiding.visible(np.array(points)), strict=True):
        if seen:
            yield point
