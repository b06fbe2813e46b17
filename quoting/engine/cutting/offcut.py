"""The largest reusable offcut: on the same sheets, gather what is left in one piece."""

from __future__ import annotations

from bisect import bisect_left
from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from decimal import ROUND_CEILING, Decimal

from quoting.engine.cutting import bounds, tree
from quoting.engine.cutting.grid import Item, Problem, Size
from quoting.engine.cutting.mixes import fits
from quoting.engine.cutting.search import Search
from quoting.engine.cutting.solve import Layout
from quoting.engine.cutting.tree import Node

PROBES = 6
"""Halvings, at most, of the range in which a sheet may be shortened."""
TRIES = 3
"""Times that each part can be tried in one of them; there are fewer where that is too much."""
MOST_SUMS = 400
"""Sums of extents listed."""
SHEETS_TRIED = 2
"""Sheets tried for shortening, the emptiest first, each along both axes."""


def gather(problem: Problem, layout: Layout, reusable_mm: tuple[float, float], steps: int) -> Layout:
    """Shorten the emptiest sheets as far as a search finds, and keep the layout with the largest offcut.

    Only offcuts count whose sides along x and y reach `reusable_mm` (mm).
    """
    reusable = (in_units(problem, reusable_mm[0]), in_units(problem, reusable_mm[1]))
    best, most = layout, max((largest(problem, root, reusable) for _, root in layout), default=0)
    by_room = sorted(range(len(layout)), key=lambda slot: (-room(problem, layout, slot), slot))
    share = steps // (2 * min(SHEETS_TRIED, len(layout) or 1))
    for slot in by_room[:SHEETS_TRIED]:
        for along in (True, False):
            found = shorten(problem, best, slot, along, (reusable, most), share)
            if found is not None:
                best, most = found
    return [(size, root) for size, root in best if root.kids]


def in_units(problem: Problem, least_mm: float) -> int:
    """The least length on the grid that is no shorter, and not nothing."""
    return max(1, int((Decimal(str(least_mm)) / problem.step_mm).to_integral_value(ROUND_CEILING)))


def room(problem: Problem, layout: Layout, slot: int) -> int:
    """Area of a sheet that no part takes."""
    size, root = layout[slot]
    have = problem.sizes[size]
    items = (problem.items[n] for n in tree.items_below(root))
    return have.w * have.h - sum(item.w * item.h for item in items)


def largest(problem: Problem, root: Node, reusable: tuple[int, int]) -> int:
    """Area of the largest offcut of a sheet that is worth keeping, 0 if none is."""
    sides = [(rest[0] - problem.kerf, rest[1] - problem.kerf) for rest in tree.rests_below(root, 1)]
    return max((w * h for w, h in sides if w >= reusable[0] and h >= reusable[1]), default=0)


def shorten(
    problem: Problem, layout: Layout, slot: int, along: bool, aim: tuple[tuple[int, int], int], share: int
) -> tuple[Layout, int] | None:
    """Cut one sheet off as near as possible to the origin along an axis: the least length, then by halving.

    `aim` is the least sides of an offcut and the area to beat. Returns the layout and the new largest area.
    """
    reusable, most = aim
    have = problem.sizes[layout[slot][0]]
    extent, across = (have.w, have.h) if along else (have.h, have.w)
    if across - problem.kerf < reusable[along]:
        return None
    parts = sum(problem.items[n].w * problem.items[n].h for _, root in layout for n in tree.items_below(root))
    others = sum(problem.sizes[size].w * problem.sizes[size].h for size, _ in layout) - have.w * have.h
    low = max(0, (parts - others - 1) // across)
    least = max(reusable[not along], most // (across - problem.kerf) + 1)
    lengths = possible_lengths(
        problem, layout, slot, along, range(low + 1, extent - problem.kerf - least + 1)
    )
    if not lengths:
        return None
    steps = max(share // PROBES, TRIES * len(problem.items))
    best = fit_short(problem, layout, slot, along, (lengths[0], steps))
    start, stop = 1, len(lengths) if best is None else 1
    for _ in range(share // steps):
        if start >= stop:
            break
        middle = (start + stop) // 2
        found = fit_short(problem, best or layout, slot, along, (lengths[middle], steps))
        if found is None:
            start = middle + 1
        else:
            room = largest(problem, found[slot][1], reusable)
            used = extent - problem.kerf - room // (across - problem.kerf)
            best, stop = found, min(middle, bisect_left(lengths, used))
    if best is None:
        return None
    return best, max(largest(problem, root, reusable) for _, root in best)


def possible_lengths(problem: Problem, layout: Layout, slot: int, along: bool, among: range) -> Sequence[int]:
    """The lengths, in order, that one sheet can have when it is drawn in to its parts.

    Not below a bound, and the sums of the extents of some parts, as parts drawn in to one another stand in
    rows. Where there are more sums than are soon listed, all from the bound on.
    """
    items = [problem.items[n] for _, root in layout for n in tree.items_below(root)]
    bound = least_length(problem, layout, slot, along)
    sums = row_lengths(items, along, among.stop)
    if sums is None:
        return range(max(among.start, bound), among.stop)
    nothing = {1} if not bound else set()  # the other sheets may hold everything
    return sorted(total for total in sums | nothing if total >= bound and total in among)


def row_lengths(items: Sequence[Item], along: bool, stop: int) -> set[int] | None:
    """The sums below `stop` of the extents of some parts along an axis; None where there are too many."""
    sums = {0}
    for item in items:
        extents = {item.w, item.h} if item.turn else {item.w if along else item.h}
        sums |= {total + extent for total in sums for extent in extents if total + extent < stop}
        if len(sums) > MOST_SUMS:
            return None
    return sums


def least_length(problem: Problem, layout: Layout, slot: int, along: bool) -> int:
    """The least extent of one sheet along an axis, for the parts that no other sheet of the layout holds."""
    others = {size for n, (size, _) in enumerate(layout) if n != slot}
    bound = Counter(
        problem.items[n]
        for _, root in layout
        for n in tree.items_below(root)
        if not any(fits(problem.items[n], problem.sizes[size]) for size in others)
    )
    have = problem.sizes[layout[slot][0]]
    return bounds.least_length(
        have.h if along else have.w,
        (
            (item.w, item.h, item.turn, times) if along else (item.h, item.w, item.turn, times)
            for item, times in bound.items()
        ),
    )


def fit_short(
    problem: Problem, layout: Layout, slot: int, along: bool, aim: tuple[int, int]
) -> Layout | None:
    """The layout with one sheet used only up to `aim[0]` along an axis, if `aim[1]` steps find it."""
    short, steps = aim
    size, root = layout[slot]
    have = problem.sizes[size]
    w, h = (short, have.h) if along else (have.w, short)
    shorter = replace(problem, sizes=(*problem.sizes, Size(w, h, 0, 1)))
    search = Search(shorter, [n for _, each in layout for n in tree.items_below(each)])
    others = [*layout[:slot], *layout[slot + 1 :]]
    search.restore((others, sorted(tree.items_below(root), key=search.by_area.__getitem__)))
    search.open_sheet(len(problem.sizes))
    if not search.reach(0, steps):
        return None
    found = list(zip(search.size, search.root, strict=True))
    full = lengthened(found.pop()[1], have, along)
    return [*found[:slot], (size, full), *found[slot:]]


def lengthened(root: Node, have: Size, along: bool) -> Node:
    """A shortened sheet as the full one again, the rest in one piece beyond the cut."""
    if root.along == along or not root.kids:
        root.along = along
        root.slack += have.w - root.w if along else have.h - root.h
        root.w, root.h = have.w, have.h
        return root
    whole = Node(have.w, have.h, along, have.w - root.w if along else have.h - root.h, None)
    root.up = whole
    whole.kids.append(root)
    return whole
