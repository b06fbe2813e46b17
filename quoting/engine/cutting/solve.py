"""The cheapest set of sheets: a quick layout first, then one goal after another until a bound says enough."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from quoting.engine.cutting import mixes, tree
from quoting.engine.cutting.grid import Problem
from quoting.engine.cutting.search import Search
from quoting.engine.cutting.tree import Node

Layout = list[tuple[int, Node]]
"""Sheets in use: the number of the size, and the tree of cuts."""
MIXES_TRIED = 12
"""Mixes of sizes tried, together for half of the steps where there are more."""


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
    holding = [bool(mixes.holders(problem, item)) for item in problem.items]
    can = [n for n, held in enumerate(holding) if held]
    cannot = [n for n, held in enumerate(holding) if not held]
    search = quick_layout(problem, can)
    wanted = mixes.demands(problem, can, enough=0 if search.left else len(search.root))
    least = mixes.least_weight(problem.sizes, wanted)
    if search.left:
        open_more(search)
        search.reach(search.weight, steps, nearest=True)
    if not search.left and search.weight > least and not try_mixes(search, wanted, least, steps):
        try_fewer(search, least, steps)
    drop_empty(search)
    layout = list(zip(search.size, search.root, strict=True))  # as they are: the search is over
    fewest = max(demand.sheets for demand in wanted)
    return Solution(layout, (*search.left, *cannot), search.weight, fewest, least)


def try_mixes(search: Search, wanted: Sequence[mixes.Demand], least: int, steps: int) -> bool:
    """Where there is a choice of sizes, try the cheaper mixes with most room; whether none is left to try.

    They share all the steps where they are few, half of them otherwise.
    """
    if len(mixes.by_price(search.sizes)) < 2:
        return False
    best = search.snapshot()
    tried: set[tuple[int, ...]] = set()
    while search.weight > least:
        offered = mixes.promising(search.sizes, wanted, search.weight - 1, 2 * MIXES_TRIED)
        untried = [mix for mix in offered if tuple(mix) not in tried]
        more = MIXES_TRIED - len(tried)
        if not untried or not more:
            return not untried
        tried.add(tuple(untried[0]))
        left = (steps if len(untried) <= more else steps // 2) - search.steps
        open_mix(search, untried[0])
        if search.reach(search.weight, left // min(len(untried), more), exchange=False):
            drop_empty(search)
            best = search.snapshot()
        search.restore(best)
    return True


def open_mix(search: Search, mix: Sequence[int]) -> None:
    """Begin anew with empty sheets: all that is on hand, and a mix of sizes."""
    while search.size:
        search.left = search.left + search.drop_sheet(len(search.size) - 1)
    open_on_hand(search)
    for size in mix:
        search.open_sheet(size)
    search.left = sorted(search.left, key=search.by_area.__getitem__)


def try_fewer(search: Search, least: int, steps: int) -> None:
    """Lower the budget by the least there is, until the bound is met or the steps are gone."""
    while search.weight > least and search.steps < steps:
        best = search.snapshot()
        budget = search.weight - 1
        make_room(search, budget)
        if not search.reach(budget, steps - search.steps):
            search.restore(best)
            return
        drop_empty(search)


def quick_layout(problem: Problem, can: Sequence[int]) -> Search:
    """The best of some one-pass layouts, each with its own favourite size, with all that is on hand open."""
    favourites = mixes.by_price(problem.sizes)
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


def open_more(search: Search) -> None:
    """Where what some parts need has run out, open other sizes too, so that parts can make way for them."""
    for number, size in enumerate(search.sizes):
        for _ in range(min(size.count - search.used[number], len(search.left))):
            search.open_sheet(number)


def one_pass(search: Search, order: Sequence[int]) -> None:
    """Put every part in its best place, the largest first, opening the first size of `order` to hold it."""
    left = []
    for number in search.left:
        found = search.best_place(number)
        if found is None:
            for size in order:
                have = search.sizes[size]
                if search.used[size] < have.count and mixes.fits(search.items[number], have):
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
