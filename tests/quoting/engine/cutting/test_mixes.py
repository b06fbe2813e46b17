"""Which sheets could do, where there is a choice of sizes."""

from __future__ import annotations

from decimal import Decimal
from itertools import product
from random import Random

import pytest

from quoting.engine.cutting import mixes
from quoting.engine.cutting.grid import Size, on_grid
from quoting.engine.cutting.mixes import Demand
from quoting.engine.cutting.values import CutRequest, Part, Stock

SIZES = (Size(10, 10, 50, 9), Size(10, 5, 30, 9), Size(5, 5, 0, 2))


def everything(sheets: int, area: int) -> list[Demand]:
    return [Demand(frozenset({0, 1, 2}), sheets, area)]


def test_what_is_on_hand_costs_nothing() -> None:
    assert mixes.least_weight(SIZES, everything(1, 50)) == 0


def test_the_cheapest_mix_on_paper() -> None:
    assert mixes.least_weight(SIZES, everything(1, 200)) == 80
    assert mixes.least_weight(SIZES, everything(4, 60)) == 60


def test_parts_bound_to_a_size_force_it() -> None:
    bound = [*everything(1, 60), Demand(frozenset({0}), 2, 120)]
    assert mixes.least_weight(SIZES, bound) == 100


def test_stock_that_cannot_do_it_costs_all_of_it() -> None:
    assert mixes.least_weight(SIZES, everything(99, 60)) == 9 * 80


@pytest.mark.parametrize("seed", range(20))
def test_least_weight_is_that_of_trying_every_mix(seed: int) -> None:
    random = Random(seed)
    sizes = [
        Size(random.randint(4, 9), random.randint(4, 9), random.choice([0, 7, 11, 16]), 3) for _ in range(3)
    ]
    wanted = [
        Demand(frozenset({0, 1, 2}), random.randint(0, 5), random.randint(0, 250)),
        Demand(frozenset({random.randrange(3)}), random.randint(0, 2), random.randint(0, 90)),
    ]
    costs = [
        sum(n * size.weight for n, size in zip(mix, sizes, strict=True))
        for mix in product(range(4), repeat=3)
        if all(
            sum(mix[k] for k in demand.sizes) >= demand.sheets
            and sum(mix[k] * sizes[k].w * sizes[k].h for k in demand.sizes) >= demand.area
            for demand in wanted
        )
    ]
    assert mixes.least_weight(sizes, wanted) == min(costs, default=sum(3 * size.weight for size in sizes))


def test_promising_mixes_keep_to_the_budget_and_have_room() -> None:
    found = mixes.promising(SIZES, everything(1, 200), 110, 10)
    assert found == [[0, 1, 1], [0, 0], [1, 1, 1]]


def test_demands_name_what_parts_are_bound_to() -> None:
    stock = (Stock("large", 100, 100, Decimal(9)), Stock("small", 50, 50, Decimal(3)))
    request = CutRequest(0, 0, stock, (Part("a", 80, 80, 2), Part("b", 20, 20, 1)))
    found = mixes.demands(on_grid(request), [0, 1, 2])
    assert [(sorted(demand.sizes), demand.sheets) for demand in found] == [([0], 2), ([0, 1], 2)]
    known = mixes.demands(on_grid(request), [1, 2], enough=1)
    assert [(sorted(demand.sizes), demand.sheets) for demand in known] == [([0], 1), ([0, 1], 1)]
