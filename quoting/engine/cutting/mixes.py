"""Which sheets could do, where there is a choice: the least they can cost, and the mixes worth a try."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from heapq import heappop, heappush
from itertools import compress, islice

from quoting.engine.cutting import bounds
from quoting.engine.cutting.grid import Item, Problem, Size

WEIGHT_STEPS = 3_000
"""Mixes looked at for the least weight."""
MIXES_LISTED = 3_000
"""Mixes listed before the ones with most room are chosen."""


@dataclass(frozen=True, slots=True)
class Demand:
    """What some parts need of the only sizes that hold them: so many sheets, so much area."""

    sizes: frozenset[int]
    sheets: int
    area: int


def holders(problem: Problem, item: Item) -> frozenset[int]:
    """The sizes that can hold a part."""
    return frozenset(n for n, size in enumerate(problem.sizes) if size.count > 0 and fits(item, size))


def fits(item: Item, size: Size) -> bool:
    """Whether a part fits a sheet, turned or not."""
    return (item.w <= size.w and item.h <= size.h) or (item.turn and item.h <= size.w and item.w <= size.h)


def demands(problem: Problem, can: Sequence[int], enough: int = 0) -> list[Demand]:
    """For every set of sizes that some part is bound to, and for all of them: what those parts need of it.

    The parts bound to a set or to less of it need as many sheets as if all were as large as its largest;
    no more than are known to be `enough` for all parts, so that area alone may settle it.
    """
    bound_to = {n: holders(problem, problem.items[n]) for n in can}
    found = []
    for chosen in sorted({*bound_to.values(), frozenset[int]().union(*bound_to.values())}, key=sorted):
        parts = [problem.items[n] for n in can if bound_to[n] <= chosen]
        wide = max((problem.sizes[n].w for n in chosen), default=0)
        high = max((problem.sizes[n].h for n in chosen), default=0)
        area = sum(part.w * part.h for part in parts)
        if parts and enough and -(-area // (wide * high)) >= enough:
            sheets = enough
        else:
            sheets = bounds.lower_bound(wide, high, [(part.w, part.h, part.turn) for part in parts])
        found.append(Demand(chosen, sheets, area))
    return found


def least_weight(sizes: Sequence[Size], wanted: Sequence[Demand]) -> int:
    """Least total weight of sheets that meets every demand, or a bound below it.

    Best first over how many of each size, with the cheapest fractional rest of the hardest demand as the
    estimate: what is on top of the queue when the steps run out is still a bound. Where the stock cannot
    meet the demands at all, what all of the stock weighs.
    """
    order = by_price(sizes)
    queue = [(0, 0, 0, after_free(sizes, wanted))]
    for _ in range(WEIGHT_STEPS):
        if not queue:
            return sum(size.weight * size.count for size in sizes)
        bound, weight, first, open_ = heappop(queue)
        if not any(sheets > 0 or area > 0 for sheets, area in open_):
            return weight
        if first == len(order):
            continue
        number = order[first]
        size = sizes[number]
        touched = [k for k, demand in enumerate(wanted) if number in demand.sizes]
        most = max((max(open_[k][0], -(-open_[k][1] // (size.w * size.h))) for k in touched), default=0)
        for count in range(min(size.count, max(most, 0)) + 1):
            left = list(open_)
            for k in touched:
                left[k] = (left[k][0] - count, left[k][1] - count * size.w * size.h)
            so_far = weight + count * size.weight
            rest = estimate(sizes, order[first + 1 :], wanted, left)
            if rest is not None:
                heappush(queue, (max(bound, so_far + rest), so_far, first + 1, tuple(left)))
    return queue[0][0] if queue else 0


def by_price(sizes: Sequence[Size]) -> list[int]:
    """The sizes that cost something, cheapest for their area first."""
    bought = [n for n, size in enumerate(sizes) if size.weight and size.count]
    if len(bought) < 2:
        return bought
    return sorted(bought, key=lambda n: (Fraction(sizes[n].weight, sizes[n].w * sizes[n].h), n))


def after_free(sizes: Sequence[Size], wanted: Sequence[Demand]) -> tuple[tuple[int, int], ...]:
    """What the demands still need once everything on hand is used to the full."""
    left = []
    for demand in wanted:
        free = [sizes[n] for n in sorted(demand.sizes) if sizes[n].weight == 0]
        sheets = demand.sheets - sum(size.count for size in free)
        left.append((sheets, demand.area - sum(size.count * size.w * size.h for size in free)))
    return tuple(left)


def estimate(
    sizes: Sequence[Size], among: Sequence[int], wanted: Sequence[Demand], left: Sequence[tuple[int, int]]
) -> int | None:
    """A bound on what meeting the rest costs, or None where those sizes cannot meet it."""
    worst = 0
    for demand, (sheets, area) in zip(wanted, left, strict=True):
        if sheets <= 0 and area <= 0:
            continue
        able = [sizes[n] for n in among if n in demand.sizes]
        if not able:
            return None
        by_area = min(-(-max(area, 0) * size.weight // (size.w * size.h)) for size in able)
        worst = max(worst, by_area, max(sheets, 0) * min(size.weight for size in able))
    return worst


def promising(sizes: Sequence[Size], wanted: Sequence[Demand], budget: int, most: int) -> list[list[int]]:
    """Mixes of bought sheets within a budget that meet every demand on paper, those with most area first."""
    order = by_price(sizes)
    areas = [sizes[number].w * sizes[number].h for number in order]
    open_ = [
        ([number in demand.sizes for number in order], sheets, area)
        for demand, (sheets, area) in zip(wanted, after_free(sizes, wanted), strict=True)
    ]
    found = []
    for mix in islice(full_mixes(sizes, order, budget), MIXES_LISTED):
        rooms = [count * area for count, area in zip(mix, areas, strict=True)]
        if all(sum(compress(mix, of)) >= n and sum(compress(rooms, of)) >= area for of, n, area in open_):
            found.append((-sum(rooms), mix))
    found.sort()
    return [[size for size, n in zip(order, mix, strict=True) for _ in range(n)] for _, mix in found[:most]]


def full_mixes(sizes: Sequence[Size], order: Sequence[int], budget: int) -> Iterator[tuple[int, ...]]:
    """Counts of each size of `order` that leave no money for one more of the last."""
    if not order:
        yield ()
        return
    size = sizes[order[0]]
    most = min(size.count, budget // size.weight)
    for count in range(most, most - 1 if len(order) == 1 else -1, -1):
        for rest in full_mixes(sizes, order[1:], budget - count * size.weight):
            yield (count, *rest)
