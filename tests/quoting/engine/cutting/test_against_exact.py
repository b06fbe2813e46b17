"""Small lists solved exactly another way: all patterns of all subsets, and integer programming."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from functools import cache
from random import Random

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp

from quoting.engine.cutting.bars import lay_out_bars
from quoting.engine.cutting.sheets import lay_out_sheets
from quoting.engine.cutting.values import BarPart, BarRequest, BarStock, CutRequest, Part, Stock
from quoting.engine.cutting.verify import verify_plan


def cheapest(parts: Sequence[tuple[int, int, bool]], sheets: Sequence[tuple[int, int, int]]) -> int:
    """Least cost by dynamic programming over all subsets, each with all its smallest bounding boxes."""

    @cache
    def boxes(subset: int) -> frozenset[tuple[int, int]]:
        """Smallest rectangles that hold a subset by edge-to-edge cuts."""
        if subset.bit_count() == 1:
            w, h, turn = parts[subset.bit_length() - 1]
            return frozenset({(w, h), (h, w)} if turn else {(w, h)})
        found = set()
        half = (subset - 1) & subset
        while half:
            for w, h in boxes(half):
                for v, g in boxes(subset ^ half):
                    found |= {(w + v, max(h, g)), (max(w, v), h + g)}
            half = (half - 1) & subset
        return frozenset(b for b in found if not any(o != b and o[0] <= b[0] and o[1] <= b[1] for o in found))

    @cache
    def price(subset: int) -> float:
        fits = [p for w, h, p in sheets if any(v <= w and g <= h for v, g in boxes(subset))]
        return min(fits, default=float("inf"))

    @cache
    def cost(subset: int) -> float:
        if not subset:
            return 0
        first = subset & -subset
        rest = subset ^ first
        best = price(subset)
        some = rest
        while some:
            some = (some - 1) & rest
            best = min(best, price(some | first) + cost(rest ^ some))
        return best

    return int(cost((1 << len(parts)) - 1))


@pytest.mark.parametrize("seed", range(25))
def test_sheets_cost_what_the_exact_method_says(seed: int) -> None:
    random = Random(seed)
    sheets = [(100, 60, 10), (60, 60, 7), (45, 30, 3)][: 1 + seed % 3]
    parts = [(random.randint(8, 60), random.randint(8, 55), random.random() < 0.7) for _ in range(7)]
    stock = tuple(Stock(f"s{n}", w, h, Decimal(p)) for n, (w, h, p) in enumerate(sheets))
    rows = tuple(Part(f"p{n}", w, h, 1, turn) for n, (w, h, turn) in enumerate(parts))
    request = CutRequest(0, 0, stock, rows)
    plan = lay_out_sheets(request)
    assert verify_plan(request, plan) == []
    exact = cheapest(parts, sheets)
    assert plan.cost == exact
    if len(sheets) == 1:
        assert plan.lower_bound_sheets * 10 <= exact


def fewest_bars(length: int, pieces: Sequence[int]) -> int:
    """Fewest bars by integer programming (SciPy's HiGHS): which piece on which bar, which bar in use."""
    count = len(pieces)
    columns = count * count + count
    once = np.zeros((count, columns))
    room = np.zeros((count, columns))
    for piece in range(count):
        for bar in range(count):
            once[piece, piece * count + bar] = 1
            room[bar, piece * count + bar] = pieces[piece]
    for bar in range(count):
        room[bar, count * count + bar] = -length
    cost = np.concatenate([np.zeros(count * count), np.ones(count)])
    limits = [LinearConstraint(once, 1, 1), LinearConstraint(room, -np.inf, 0)]
    result = milp(cost, constraints=limits, integrality=np.ones(columns), bounds=Bounds(0, 1))
    return round(float(result.fun))


@pytest.mark.parametrize("seed", range(6))
def test_bars_are_as_few_as_integer_programming_finds(seed: int) -> None:
    random = Random(100 + seed)
    kerf, length = 3, 3000
    lengths = [random.randint(250, 1700) for _ in range(9)]
    exact = fewest_bars(length + kerf, [each + kerf for each in lengths])
    parts = tuple(BarPart(f"b{n}", each) for n, each in enumerate(lengths))
    plan = lay_out_bars(BarRequest(kerf, 0, (BarStock("bar", length, Decimal(1)),), parts))
    assert len(plan.bars) == exact
    assert plan.lower_bound_bars <= exact
    assert plan.proven_optimal == (plan.lower_bound_bars == exact)
