"""The checker finds what is wrong with a plan: each test breaks a good plan in one way."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

from quoting.engine.cutting.sheets import lay_out_sheets
from quoting.engine.cutting.values import CutPlan, CutRequest, Part, SheetPlan, Stock
from quoting.engine.cutting.verify import verify_plan

REQUEST = CutRequest(
    3,
    10,
    (Stock("board", 1000, 600, Decimal(12), 2),),
    (Part("a", 400, 300, 2), Part("b", 200, 100, 2), Part("c", 500, 150, 1, turn=False)),
)
PLAN = lay_out_sheets(REQUEST)


def faults(sheet: SheetPlan, plan: CutPlan = PLAN) -> str:
    return "\n".join(verify_plan(REQUEST, replace(plan, sheets=(sheet, *plan.sheets[1:]))))


def test_a_good_plan_has_no_faults() -> None:
    assert verify_plan(REQUEST, PLAN) == []
    assert len(PLAN.sheets[0].placed) == 5


def test_parts_moved_together_or_over_the_trim() -> None:
    sheet = PLAN.sheets[0]
    first = sheet.placed[0]
    assert "over the edge or the trim" in faults(
        replace(sheet, placed=(replace(first, x_mm=9.9), *sheet.placed[1:]))
    )
    second = replace(sheet.placed[1], x_mm=first.x_mm, y_mm=first.y_mm + 1)
    assert "closer than a kerf" in faults(replace(sheet, placed=(first, second, *sheet.placed[2:])))


def test_a_gap_less_than_a_kerf() -> None:
    sheet = PLAN.sheets[0]
    second = sheet.placed[1]
    nudged = replace(second, x_mm=second.x_mm - 0.5, y_mm=second.y_mm - 0.5)
    assert "closer than a kerf" in faults(replace(sheet, placed=(sheet.placed[0], nudged, *sheet.placed[2:])))


def test_parts_lost_doubled_or_of_another_size() -> None:
    sheet = PLAN.sheets[0]
    first = sheet.placed[0]
    assert "2 wanted, 1 in the plan" in faults(replace(sheet, placed=sheet.placed[1:]))
    assert "2 wanted, 3 in the plan" in faults(replace(sheet, placed=(*sheet.placed, first)))
    wrong = replace(first, length_mm=first.length_mm - 1)
    assert "was not asked for" in faults(replace(sheet, placed=(wrong, *sheet.placed[1:])))


def test_a_part_turned_that_may_not_be() -> None:
    sheet = PLAN.sheets[0]
    (grain,) = [p for p in sheet.placed if p.name == "c"]
    turned = replace(grain, length_mm=grain.width_mm, width_mm=grain.length_mm, turned=True)
    others = tuple(p for p in sheet.placed if p.name != "c")
    assert "was not asked for" in faults(replace(sheet, placed=(*others, turned)))


def test_cuts_missing_misplaced_or_not_edge_to_edge() -> None:
    sheet = PLAN.sheets[0]
    assert "does not come off the saw" in faults(replace(sheet, cuts=sheet.cuts[:-1]))
    last = sheet.cuts[-1]
    shifted = replace(last, at_mm=last.at_mm + 1)
    assert "does not come off the saw" in faults(replace(sheet, cuts=(*sheet.cuts[:-1], shifted)))
    short = replace(last, to_mm=last.to_mm - 1)
    assert "edge to edge" in faults(replace(sheet, cuts=(*sheet.cuts[:-1], short)))
    assert "edge to edge" in faults(replace(sheet, cuts=sheet.cuts[::-1]))


def test_offcuts_that_are_not_there() -> None:
    sheet = PLAN.sheets[0]
    grown = replace(sheet.offcuts[0], length_mm=sheet.offcuts[0].length_mm + 5)
    assert faults(replace(sheet, offcuts=(grown, *sheet.offcuts[1:]))) != ""


def test_sheets_costs_and_bounds() -> None:
    sheet = PLAN.sheets[0]
    assert "no stock plank" in faults(replace(sheet, code="plank"))
    assert "3 used, 2 there" in "\n".join(verify_plan(REQUEST, replace(PLAN, sheets=(sheet,) * 3)))
    assert "cost" in "\n".join(verify_plan(REQUEST, replace(PLAN, cost=Decimal(11))))
    assert "bound" in "\n".join(verify_plan(REQUEST, replace(PLAN, lower_bound_sheets=2)))
    empty = replace(sheet, placed=(), offcuts=(), cuts=())
    assert "empty" in "\n".join(verify_plan(REQUEST, replace(PLAN, sheets=(*PLAN.sheets, empty))))
