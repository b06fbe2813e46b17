"""How few sheets can possibly do: bounds that no layout beats, by dual-feasible functions and by cliques.

A dual-feasible function f maps lengths so that parts which fit side by side in a length C keep
sum f(x) <= f(C). On both axes together, the parts of one sheet keep sum f(w) g(h) <= f(W) g(H); a part that
may be turned counts with the smaller of its two products. Sources: Fekete and Schepers 2001 and 2004 (the
method and u), Carlier, Clautiaux and Moukrim 2007 (the second family), Martello and Toth 1990 (the first).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import ceil

import numpy as np
from numpy.typing import NDArray

Sides = tuple[int, int, bool]
"""A part's extents along x and y and whether it may be turned, kerf added."""
MOST_FUNCTIONS = 60
"""Functions tried an axis: more found nothing on the published instances."""
MOST_IN_CLIQUE = 300
"""Parts looked at for a clique, those with the longest shorter side."""
CLIQUE_STEPS = 4000
"""Nodes of the search for the largest clique."""
SLACK = 1e-9
"""Keeps rounding in the sums from raising a bound."""


def lower_bound(w: int, h: int, parts: Sequence[Sides]) -> int:
    """Fewest sheets of `w` × `h` that could hold all `parts`, each of which fits a sheet.

    The largest of the bounds by dual-feasible functions (area is one of them) and by the largest set of
    parts no two of which share a sheet. Limit: a bound, not always reached.

    >>> lower_bound(10, 10, [(6, 6, True), (6, 6, True), (4, 4, True)])
    2
    """
    if not parts:
        return 0
    return max(dual_feasible_bound(w, h, parts), clique_bound(w, h, parts))


def dual_feasible_bound(w: int, h: int, parts: Sequence[Sides]) -> int:
    """Largest bound over pairs of dual-feasible functions, one an axis."""
    wide = sides_as_they_may_lie(w, h, parts)
    along = function_table(w, [p[0] for p in wide] + [p[2] for p in wide])
    across = function_table(h, [p[1] for p in wide] + [p[3] for p in wide])
    count = len(parts)
    best = 0.0
    for row in along:
        as_is = across[:, :count] * row[:count]
        turned = across[:, count:] * row[count:]
        best = max(best, float(np.minimum(as_is, turned).sum(axis=1).max()))
    return max(1, ceil(best - SLACK))


def sides_as_they_may_lie(w: int, h: int, parts: Sequence[Sides]) -> list[tuple[int, int, int, int]]:
    """Extents along x and y as given and turned; where only one way fits, that way twice."""
    found = []
    for a, b, turn in parts:
        straight = a <= w and b <= h
        turned = turn and b <= w and a <= h
        one = (a, b) if straight else (b, a)
        two = (b, a) if turned else (a, b)
        found.append((*one, *two))
    return found


def function_table(size: int, sides: Sequence[int]) -> NDArray[np.float64]:
    """Values f(x) / f(size) of the dual-feasible functions worth trying, one row each."""
    x = np.array(sides, dtype=np.int64)
    half = sorted({min(s, size - s) for s in sides if s < size})
    if len(half) > MOST_FUNCTIONS:
        half = [half[k * len(half) // MOST_FUNCTIONS] for k in range(MOST_FUNCTIONS)]
    rows = [x / size]
    for k in range(1, 6):
        scaled = (k + 1) * x
        rows.append(np.where(scaled % size == 0, x / size, (scaled // size) / k))
    for e in half:
        rows.append(np.where(x > size - e, 1.0, np.where(x < e, 0.0, x / size)))
        steps = size // e
        low = 2 * (x // e)
        high = 2 * (steps - (size - x) // e)
        rows.append(np.where(2 * x > size, high, np.where(2 * x == size, steps, low)) / (2 * steps))
    return np.unique(np.array(rows), axis=0)


def least_length(across: int, parts: Iterable[tuple[int, int, bool, int]]) -> int:
    """No sheet `across` wide and shorter than this holds all of `parts`: (length, width, may turn, how many).

    The longest part as it can lie, and for the dual-feasible functions f worth trying on the width
    sum of length x f(width) / f(across), each part as it needs least. Limit: a bound, not always reached.

    >>> least_length(10, [(4, 6, True, 2)]), least_length(10, [(4, 3, False, 7)])
    (5, 10)
    """
    rows = [(times, [(x, y) for x, y in ways((a, b, turn)) if y <= across]) for a, b, turn, times in parts]
    longest = max((min(x for x, _ in lying) for _, lying in rows if lying), default=0)
    needed = [longest]
    for k in range(4):
        table = [(times, [(x, share_of(y, across, k)) for x, y in lying]) for times, lying in rows if lying]
        total = sum(times * min(x * value for x, value in lying) for times, lying in table)
        needed.append(-(-total // share_of(across, across, k)))
    return max(needed)


def share_of(y: int, across: int, k: int) -> int:
    """A dual-feasible function of a width, times what makes it whole: the width for `k` 0, else u^(k)."""
    if k == 0 or (k + 1) * y % across == 0:
        return max(k, 1) * y
    return (k + 1) * y // across * across


def clique_bound(w: int, h: int, parts: Sequence[Sides]) -> int:
    """Size of a large set of parts no two of which fit one sheet together, edge-to-edge cuts or not."""
    big = sorted(parts, key=lambda p: (-min(p[0], p[1]), -max(p[0], p[1])))[:MOST_IN_CLIQUE]
    count = len(big)
    apart = [0] * count
    for i in range(count):
        for j in range(i):
            if not share_a_sheet(w, h, big[i], big[j]):
                apart[i] |= 1 << j
                apart[j] |= 1 << i
    return largest_clique(apart)


def share_a_sheet(w: int, h: int, one: Sides, two: Sides) -> bool:
    """Whether two parts fit one sheet of `w` × `h`, side by side or one above the other."""
    for a, b in ways(one):
        for c, d in ways(two):
            if (a + c <= w and max(b, d) <= h) or (b + d <= h and max(a, c) <= w):
                return True
    return False


def ways(part: Sides) -> tuple[tuple[int, int], ...]:
    """The extents of a part in every way it may lie."""
    a, b, turn = part
    return ((a, b), (b, a)) if turn and a != b else ((a, b),)


def largest_clique(apart: Sequence[int]) -> int:
    """Size of a clique of the graph given as one bit set a vertex: the largest, if the steps suffice."""
    best = 0
    steps = CLIQUE_STEPS
    stack = [((1 << len(apart)) - 1, 0)]
    while stack and steps:
        steps -= 1
        among, size = stack.pop()
        if size + among.bit_count() <= best:
            continue
        if not among:
            best = size
            continue
        vertex = (among & -among).bit_length() - 1
        stack.append((among & ~(1 << vertex), size))
        stack.append((among & apart[vertex], size + 1))
    return best
