"""How hard an estimate looks for a layout."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from quoting.engine.cutting.sheets import STEPS, lay_out_sheets
from quoting.engine.cutting.values import CutPlan, CutRequest, Part, Stock
from quoting.engine.takeoff import effort

BOARD = (Stock("board", 2800.0, 2070.0, Decimal("62")),)


def request(*parts: Part) -> CutRequest:
    return CutRequest(3.2, 0.0, BOARD, parts)


def test_a_proven_list_costs_what_the_full_search_finds() -> None:
    asked = request(Part("base", 2100.0, 900.0, 1), Part("side", 1980.0, 58.0, 4))
    quick, full = effort.sheets(asked), lay_out_sheets(asked)
    assert quick.proven_optimal
    assert (quick.cost, len(quick.sheets)) == (full.cost, len(full.sheets))


@pytest.mark.parametrize(("bound", "searches"), [(1, 2), (2, 1)])
def test_where_a_sheet_may_be_saved_the_full_search_follows(
    monkeypatch: pytest.MonkeyPatch, bound: int, searches: int
) -> None:
    asked = request(Part("panel", 1000.0, 900.0, 9 + bound))
    found = replace(lay_out_sheets(asked), lower_bound_sheets=bound, proven_optimal=False)
    assert len(found.sheets) == 2
    steps: list[int] = []

    def search(_: CutRequest, limit: int = STEPS) -> CutPlan:
        steps.append(limit)
        return found

    monkeypatch.setattr(effort, "lay_out_sheets", search)
    effort.sheets.__wrapped__(asked)
    assert steps == [effort.short_steps(9 + bound), STEPS][:searches]


def test_the_same_list_is_the_same_plan() -> None:
    asked = request(Part("base", 1200.0, 800.0, 2))
    assert effort.sheets(asked) is effort.sheets(request(Part("base", 1200.0, 800.0, 2)))
