"""Ruin and recreate on trees of cuts: take some parts off, put them back better, until none is left over.

Seeded and counted in steps (one step is one part tried on all the sheets), so a request has one answer on
any machine; floats are summed by `fsum`, as plain `sum` rounds another way from Python 3.12 on. The idea of
a goal (so many sheets, parts left over until it is reached) with late acceptance is that of Gardeyn and
Wauters 2025 for edge-to-edge cuts; late acceptance itself is Burke and Bykov's, 2017.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import fsum, sqrt
from random import Random
from typing import Any

from quoting.engine.cutting import tree
from quoting.engine.cutting.grid import Problem
from quoting.engine.cutting.tree import Node, Rest

AREA_FIRST = 0.8
"""Chance that parts go back by area; by their longer side otherwise."""
SKIP = 0.03
"""Chance that a place is overlooked, so that the same parts do not always go back the same way."""
BOLD = 0.15
BOLD_SKIP = 0.3
"""Some moves overlook far more, to get away from what is nearly right."""
HISTORY = 40
"""A move is taken when it is no worse than the state this many moves ago."""
GATHERING = 0.1
"""Share of the worth of the free room in the energy: gathered room is as good as that much area."""
OTHER_CUT = 0.05
"""Chance that the first of a part's two cuts is not the one that leaves the larger rest."""
LOOKS = 5
"""Up to so many sheets are drawn to choose the one with most room among them."""
STOP = 0.4
"""Chance to take off a whole strip rather than look inside it."""
AGAIN = 0.5
"""Chance to take one more node off the same sheet."""
MOVE_STEPS = 2
"""Steps that a move counts for besides those of its parts."""
EXCHANGE = 0.1
"""Chance that a move also gives a sheet back and takes others, where there is a choice of sizes."""

Columns = tuple[list[int], list[Node], list[list[Rest]], list[float], list[float], list[int], int]


class Search:
    """The state of one search: sheets in slots, parts left over, and a log to take back what did not help."""

    def __init__(self, problem: Problem, items: Sequence[int], seed: int = 1) -> None:
        self.problem = problem
        self.items = problem.items
        self.sizes = problem.sizes
        self.random = Random(seed).random  # noqa: S311 - a search, not a secret
        self.shortest = min((min(self.items[n].w, self.items[n].h) for n in items), default=1)
        self.area = [i.w * i.h for i in self.items]
        self.worth = [tree.worth(area) for area in self.area]
        order = sorted(items, key=lambda n: (-self.area[n], n))
        self.by_area = rank(order)
        self.by_side = rank(sorted(order, key=lambda n: -max(self.items[n].w, self.items[n].h)))
        largest = max((s.w * s.h for s in self.sizes), default=1)
        self.gathering = GATHERING / sqrt(sqrt(largest))
        self.size: list[int] = []
        self.root: list[Node] = []
        self.rests: list[list[Rest]] = []
        self.top: list[float] = []
        self.value: list[float] = []
        self.used = [0] * len(self.sizes)
        self.weight = 0
        self.left = order
        self.steps = 0
        self.log: list[tuple[Callable[[Any], None], object]] = []
        self.saved: dict[int, tuple[list[Rest], float, float]] = {}
        self.columns: Columns | None = None

    def open_sheet(self, size: int) -> int:
        """Take a new sheet of a size into use; returns its slot."""
        have = self.sizes[size]
        self.size.append(size)
        self.root.append(tree.new_sheet(have.w, have.h))
        self.rests.append([])
        self.top.append(0.0)
        self.value.append(0.0)
        self.used[size] += 1
        self.weight += have.weight
        self.refresh(len(self.root) - 1)
        return len(self.root) - 1

    def drop_sheet(self, slot: int) -> list[int]:
        """Give a sheet back; returns the parts that were on it."""
        size = self.size.pop(slot)
        self.used[size] -= 1
        self.weight -= self.sizes[size].weight
        del self.rests[slot], self.top[slot], self.value[slot]
        return tree.items_below(self.root.pop(slot))

    def refresh(self, slot: int) -> None:
        """Find the free rectangles of a sheet again."""
        rests = tree.rests_below(self.root[slot], self.shortest)
        self.rests[slot] = rests
        worths = [rest[2] for rest in rests]
        self.top[slot] = max(worths, default=0.0)
        self.value[slot] = fsum(worths)

    def save(self, slot: int) -> None:
        """Remember a sheet's free rectangles before the first change of a move."""
        if slot not in self.saved:
            self.saved[slot] = (self.rests[slot], self.top[slot], self.value[slot])

    def exchange(self, budget: int) -> list[int]:
        """Give one bought sheet back and take others for the money; returns the parts that were on it."""
        random = self.random
        bought = [slot for slot, size in enumerate(self.size) if self.sizes[size].weight]
        if not bought:
            return []
        self.columns = (
            *(self.size[:], self.root[:], self.rests[:], self.top[:], self.value[:]),
            *(self.used[:], self.weight),
        )
        freed = self.drop_sheet(bought[int(random() * len(bought))])
        while choice := self.affordable(budget):
            self.open_sheet(choice[int(random() * len(choice))])
        return freed

    def affordable(self, budget: int) -> list[int]:
        """The sizes of which one more can be had for the money."""
        room = budget - self.weight
        return [n for n, s in enumerate(self.sizes) if 0 < s.weight <= room and self.used[n] < s.count]

    def ruin(self) -> list[int]:
        """Take nodes off a few sheets, rather those with more room; returns the parts that were on them."""
        random = self.random
        taken: list[int] = []
        slots = len(self.root)
        for _ in range(1 + int(random() * 3) if slots else 0):
            looks = 1 + int(random() * LOOKS)
            slot = max([int(random() * slots) for _ in range(looks)], key=self.value.__getitem__)
            root = self.root[slot]
            if not root.kids:
                continue
            self.save(slot)
            while root.kids:
                node = root
                while node.kids and (node is root or random() > STOP):
                    node = node.kids[int(random() * len(node.kids))]
                taken += tree.items_below(node)
                undo = tree.take(node)
                self.log.append((tree.untake, undo))
                if undo[0].kids:
                    self.log += [(tree.widen, step) for step in tree.tighten(undo[0])]
                if random() > AGAIN:
                    break
            self.refresh(slot)
        return taken

    def best_place(self, number: int, skip: float = 0.0) -> tuple[int, Rest, bool] | None:
        """The free rectangle whose worth suffers least: its sheet, itself, and whether the part is turned.

        Of the two ways to cut, the one that leaves the larger rest is worth more, as worth grows faster
        than area and both leave the same area. Written out for both ways to lie: this is where time goes.
        """
        item = self.items[number]
        w, h, turn = item.w, item.h, item.turn and item.w != item.h
        area, least = self.area[number], self.worth[number]
        random = self.random
        best = -1e300
        found: tuple[int, Rest, bool] | None = None
        for slot, top in enumerate(self.top):
            if top < least:
                continue
            for rest in self.rests[slot]:
                wide, high, before, _ = rest
                if wide >= w and high >= h and random() >= skip:
                    large = max((wide - w) * high, wide * (high - h))
                    small = wide * high - area - large
                    gain = large * sqrt(sqrt(large)) + small * sqrt(sqrt(small)) - before
                    if gain > best:
                        best, found = gain, (slot, rest, False)
                if turn and wide >= h and high >= w and random() >= skip:
                    large = max((wide - h) * high, wide * (high - w))
                    small = wide * high - area - large
                    gain = large * sqrt(sqrt(large)) + small * sqrt(sqrt(small)) - before
                    if gain > best:
                        best, found = gain, (slot, rest, True)
        return found

    def put(self, number: int, slot: int, rest: Rest, turned: bool) -> None:
        """Put a part in a free rectangle and bring the sheet's free rectangles up to date."""
        self.save(slot)
        item, shortest = self.items[number], self.shortest
        w, h = (item.h, item.w) if turned else (item.w, item.h)
        wide, high, before, node = rest
        upright = (wide - w) * high >= wide * (high - h)
        if self.random() < OTHER_CUT:
            upright = not upright
        undo, leaf = tree.place(node, number, w, h, upright)
        self.log.append((tree.unplace, undo))
        rests = self.rests[slot].copy()
        rests.remove(rest)
        value = self.value[slot] - before
        up = leaf.up
        while up is not None:
            if up.slack >= shortest and (new := tree.rest_of(up, shortest)) is not None:
                rests.append(new)
                value += new[2]
            up = None if up is node else up.up
        self.rests[slot] = rests
        self.value[slot] = value
        if before == self.top[slot]:  # else the largest rest is still another
            self.top[slot] = max([other[2] for other in rests], default=0.0)

    def recreate(self, pool: list[int]) -> list[int]:
        """Put parts back, the largest first mostly; returns those that found no place."""
        pool.sort(key=(self.by_area if self.random() < AREA_FIRST else self.by_side).__getitem__)
        skip = BOLD_SKIP if self.random() < BOLD else SKIP
        left: list[int] = []
        failed: set[int] = set()
        self.steps += MOVE_STEPS + len(pool)
        for number in pool:
            kind = self.items[number].kind
            found = None if kind in failed else self.best_place(number, skip)
            if found is None:
                failed.add(kind)
                left.append(number)
            else:
                self.put(number, *found)
        return left

    def take_back(self) -> None:
        """Undo the move."""
        for undo, step in reversed(self.log):
            undo(step)
        for slot, (rests, top, value) in self.saved.items():
            self.rests[slot], self.top[slot], self.value[slot] = rests, top, value
        if self.columns is not None:
            self.size, self.root, self.rests, self.top, self.value, self.used, self.weight = self.columns

    def energy(self) -> float:
        """Area left over, less a share of how well the free room is gathered."""
        area = self.area
        return sum([area[number] for number in self.left]) - self.gathering * fsum(self.value)

    def move(self, budget: int, choice: bool) -> None:
        """One ruin and recreate; `take_back` undoes it."""
        self.log.clear()
        self.saved.clear()
        self.columns = None
        pool = list(self.left)
        if choice and self.random() < EXCHANGE:
            pool += self.exchange(budget)
        pool += self.ruin()
        self.left = self.recreate(pool)

    def reach(self, budget: int, steps: int, exchange: bool = True, nearest: bool = False) -> bool:
        """Move until nothing is left over, spending at most `budget` on sheets and `steps` more steps.

        Without `exchange` the sheets stay the same. Where it fails, the last state stands, or with `nearest`
        (which costs copies on the way) the one with least left over.
        """
        choice = exchange and sum(1 for size in self.sizes if 0 < size.weight <= budget) > 1
        limit = self.steps + steps
        now = self.energy()
        history = [now] * HISTORY
        least, kept = sum(self.area[n] for n in self.left), self.snapshot() if nearest else None
        turn = 0
        while self.left and self.root and self.steps < limit:
            before = self.left
            self.move(budget, choice)
            then = self.energy()
            if then <= now or then <= history[turn]:
                now = then
                over = sum([self.area[n] for n in self.left])
                if nearest and over < least:
                    least, kept = over, self.snapshot()
            else:
                self.take_back()
                self.left = before
            history[turn] = min(history[turn], now)
            turn = (turn + 1) % HISTORY
        if self.left and kept is not None:
            self.restore(kept)
        for slot in range(len(self.root)):
            self.refresh(slot)
        return not self.left

    def snapshot(self) -> tuple[list[tuple[int, Node]], list[int]]:
        """The sheets and the parts left over, safe from later moves."""
        sheets = zip(self.size, self.root, strict=True)
        return [(size, tree.copy(root)) for size, root in sheets], list(self.left)

    def restore(self, kept: tuple[Sequence[tuple[int, Node]], Sequence[int]]) -> None:
        """Take a snapshot as the state, to be changed at will."""
        while self.size:
            self.drop_sheet(len(self.size) - 1)
        for size, root in kept[0]:
            slot = self.open_sheet(size)
            self.root[slot] = tree.copy(root)
            self.refresh(slot)
        self.left = list(kept[1])


def rank(order: Sequence[int]) -> dict[int, int]:
    """The place of each part in an order."""
    return {number: place for place, number in enumerate(order)}
