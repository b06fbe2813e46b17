"""The cheapest set of sheets: a quick layout first, then one goal after another until a bound says enough."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from quoting.engine.cutting import bounds, tree
from quoting.engine.cutting.grid import Item, Problem, Size
from quoting.engine.cutting.search import Search
from quoting.engine.cutting.tree import Node

Layout = list[tuple[int, Node]]
"""Sheets in use: the number of the size, and the tree of cuts."""
SMALLER_STEPS = 300
"""Steps to try the parts of one sheet on a cheaper one."""


@dataclass(frozen=True, slots=True)
class Solution:
    """A layout with what is known about it: parts left over and the bounds on sheets and on weight."""

    layout: Layout
    left: tuple[int, ...]
    weight: int
    sheets_bound: int
    weight_bound: int


def solve(problem: Problem, steps: int) -> Solution:
    """Lay all parts out on the cheapest sheets found in `steps` steps."""
    can = [n for n, item in enumerate(problem.items) if holders(problem, item)]
    cannot = [n for n, item in enumerate(problem.items) if not holders(problem, item)]
    sheets_bound, weight_bound = problem_bounds(problem, can)
    search = quick_layout(problem, can)
    if search.left:
        search.reach(search.weight, steps)
    best, left = search.snapshot()
    while not search.left and search.weight > weight_bound and search.steps < steps:
        budget = search.weight - 1
        make_room(search, budget)
        if search.reach(budget, steps - search.steps):
            drop_empty(search)
            best = search.snapshot()[0]
    search.restore((best, left))
    drop_empty(search)
    if len(problem.sizes) > 1:
        use_smaller(search)
    return Solution(search.snapshot()[0], (*left, *cannot), search.weight, sheets_bound, weight_bound)


def holders(problem: Problem, item: Item) -> tuple[int, ...]:
    """The sizes that can hold a part."""
    return tuple(n for n, size in enumerate(problem.sizes) if size.count > 0 and fits(item, size))


def fits(item: Item, size: Size) -> bool:
    """Whether a part fits a sheet, turned or not."""
    return (item.w <= size.w and item.h <= size.h) or (item.turn and item.h <= size.w and item.w <= size.h)


def problem_bounds(problem: Problem, can: Sequence[int]) -> tuple[int, int]:
    """Fewest sheets of any kind, and least weight, that could hold the parts.

    For every set of sizes that some part is bound to: the parts bound to it or to less need so many sheets
    as large as its largest sides, and so much area, from that set.
    """
    bound_to = {n: frozenset(holders(problem, problem.items[n])) for n in can}
    sets = sorted({*bound_to.values(), frozenset().union(*bound_to.values())}, key=sorted)
    fewest, least = 0, 0
    for chosen in sets:
        parts = [problem.items[n] for n in can if bound_to[n] <= chosen]
        sizes = [problem.sizes[n] for n in sorted(chosen)]
        if not parts:
            continue
        wide, high = max(s.w for s in sizes), max(s.h for s in sizes)
        sheets = bounds.lower_bound(wide, high, [(p.w, p.h, p.turn) for p in parts])
        area = sum(p.w * p.h for p in parts)
        fewest = max(fewest, sheets)
        rows = [(s.w * s.h, s.weight, s.count) for s in sizes]
        least = max(least, bounds.least_weight(rows, sheets, area))
    return fewest, least


def quick_layout(problem: Problem, can: Sequence[int]) -> Search:
    """The best of a few one-pass layouts, each with its own favourite size, with all that is on hand open."""
    favourites = sorted(
        (n for n, size in enumerate(problem.sizes) if size.weight and size.count),
        key=lambda n: Fraction(problem.sizes[n].weight, problem.sizes[n].w * problem.sizes[n].h),
    )
    tried = []
    for favourite in favourites or [0]:
        search = Search(problem, can)
        open_on_hand(search)
        one_pass(search, [favourite, *(n for n in favourites if n != favourite)])
        drop_empty(search)
        tried.append(search)
    return min(tried, key=missing)


def missing(search: Search) -> tuple[int, int]:
    """What makes one layout worse than another: area left over, then weight."""
    return sum(search.area[n] for n in search.left), search.weight


def open_on_hand(search: Search) -> None:
    """Open all that costs nothing; sheets that stay empty are dropped later."""
    for number, size in enumerate(search.sizes):
        if size.weight == 0:
            while search.used[number] < size.count:
                search.open_sheet(number)


def one_pass(search: Search, order: Sequence[int]) -> None:
    """Put every part in its best place, the largest first, opening the first size of `order` to hold it."""
    left = []
    for number in search.left:
        found = search.best_place(number)
        if found is None:
            for size in order:
                have = search.sizes[size]
                if search.used[size] < have.count and fits(search.items[number], have):
                    search.open_sheet(size)
                    found = search.best_place(number)
                    break
        if found is None:
            left.append(number)
        else:
            search.put(number, *found)
    search.left = left


def make_room(search: Search, budget: int) -> None:
    """Give back the emptiest bought sheets until the rest costs `budget` at most, then buy what it allows."""
    while search.weight > budget:
        bought = [slot for slot, size in enumerate(search.size) if search.sizes[size].weight]
        slot = min(bought, key=lambda s: (sum(search.area[n] for n in tree.items_below(search.root[s])), s))
        search.left = search.left + search.drop_sheet(slot)
    while choice := search.affordable(budget):
        search.open_sheet(max(choice, key=lambda n: search.sizes[n].weight))
    open_on_hand(search)


def drop_empty(search: Search) -> None:
    """Give back the sheets that nothing is cut from."""
    for slot in reversed(range(len(search.root))):
        if not search.root[slot].kids:
            search.drop_sheet(slot)


def use_smaller(search: Search) -> None:
    """Replace each sheet by the cheapest size that holds its parts."""
    for slot, root in enumerate(search.root):
        have = search.sizes[search.size[slot]]
        parts = tree.items_below(root)
        cheaper = sorted((s.weight, n) for n, s in enumerate(search.sizes) if 0 < s.weight < have.weight)
        for _, number in cheaper:
            size = search.sizes[number]
            if search.used[number] < size.count and all(fits(search.items[n], size) for n in parts):
                smaller = on_one_sheet(search, number, parts)
                if smaller is not None:
                    search.used[search.size[slot]] -= 1
                    search.used[number] += 1
                    search.weight += size.weight - have.weight
                    search.size[slot], search.root[slot] = number, smaller
                    break


def on_one_sheet(search: Search, number: int, parts: Sequence[int]) -> Node | None:
    """All the parts on one sheet of a size, if a short search finds how."""
    size = replace(search.sizes[number], count=1)
    if sum(search.area[n] for n in parts) > size.w * size.h:
        return None
    alone = Search(replace(search.problem, sizes=(size,)), parts)
    alone.open_sheet(0)
    return alone.root[0] if alone.reach(size.weight, SMALLER_STEPS) else None
