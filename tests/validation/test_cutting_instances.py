"""Cutting stock against published instance classes, a general library and simple geometry.

Sources (ids of the project's collection of check values in brackets):
- J. O. Berkey and P. Y. Wang, Journal of the Operational Research Society 38 (1987) 423-429: classes 1 to 6.
- S. Martello and D. Vigo, Management Science 44 (1998) 388-399: classes 7 to 10.
  Both are drawn anew from their definitions (tests/benchmarks/cutting_instances.py); the whole of the 500
  lists runs by hand in tests/benchmarks/bench_cutting.py.
- Strips across a sheet, n = floor((W + k) / (w + k)): geometry [C155].
"""

from __future__ import annotations

from decimal import Decimal

import pytest

from quoting.engine.cutting.bars import lay_out_bars
from quoting.engine.cutting.sheets import lay_out_sheets
from quoting.engine.cutting.values import BarPart, BarRequest, BarStock, CutRequest, Part, Stock
from quoting.engine.cutting.verify import verify_plan
from tests.benchmarks.cutting_instances import Instance, as_request, instances, library_best


def strips(sheet_mm: float, strip_mm: float, kerf_mm: float) -> int:
    """How many strips one sheet gives, as laid out and as laid out on a bar."""
    wanted = int(sheet_mm // strip_mm) + 1
    stock = Stock("sheet", sheet_mm, 500, Decimal(1), 1)
    request = CutRequest(kerf_mm, 0, (stock,), (Part("strip", strip_mm, 500, wanted, turn=False),))
    plan = lay_out_sheets(request)
    assert verify_plan(request, plan) == []
    bar = BarRequest(
        kerf_mm, 0, (BarStock("bar", sheet_mm, Decimal(1), 1),), (BarPart("p", strip_mm, wanted),)
    )
    count = wanted - len(plan.unplaced)
    assert wanted - len(lay_out_bars(bar).unplaced) == count
    return count


@pytest.mark.parametrize(
    ("sheet_mm", "strip_mm", "kerf_mm", "expected"),
    [
        (1220, 150, 3.2, 7),
        (1220, 150, 0, 8),
        (48 * 25.4, 6 * 25.4, 25.4 / 8, 7),
        (48 * 25.4, 6 * 25.4, 0, 8),
        (2440, 600, 3.2, 4),
    ],
)
def test_c155_strips_across_a_sheet(sheet_mm: float, strip_mm: float, kerf_mm: float, expected: int) -> None:
    assert strips(sheet_mm, strip_mm, kerf_mm) == expected


def test_the_classes_are_as_published() -> None:
    """Sides within the ranges of the definitions; the main type near its 70 % in classes 7 to 10."""
    for group, side, most in (
        (1, 10, 10),
        (2, 30, 10),
        (3, 40, 35),
        (4, 100, 35),
        (5, 100, 100),
        (6, 300, 100),
    ):
        drawn = instances([group], (100,), 2)
        assert {one.side for one in drawn} == {side}
        assert {1 <= extent <= most for one in drawn for part in one.parts for extent in part} == {True}
    parts = [part for one in instances([9], (100,)) for part in one.parts]
    large = sum(1 for w, h in parts if w >= 50 and h >= 50)
    assert 0.65 < large / len(parts) < 0.80


LISTS = instances(range(1, 11), sizes=(20,), each=2)


@pytest.mark.parametrize("instance", LISTS, ids=lambda one: f"class{one.group}-{one.number}")
def test_no_more_sheets_than_the_best_of_a_library(instance: Instance) -> None:
    """Valid by the checker, between the bound and the best of 324 settings of rectpack."""
    request = as_request(instance)
    plan = lay_out_sheets(request)
    assert verify_plan(request, plan) == []
    assert plan.unplaced == ()
    assert plan.lower_bound_sheets <= len(plan.sheets) <= library_best(instance)
    assert plan.proven_optimal == (len(plan.sheets) == plan.lower_bound_sheets)


def test_most_short_lists_are_proven() -> None:
    """On the published lists of 20 parts a bound of this kind meets the best known layout in most."""
    plans = [lay_out_sheets(as_request(one), reusable_mm=1000) for one in LISTS]
    assert sum(plan.proven_optimal for plan in plans) >= 14
