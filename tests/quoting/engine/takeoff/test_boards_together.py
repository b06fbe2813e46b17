"""Boards of several moulds on the same sheets: never more than apart, nothing cut twice or left out."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from decimal import Decimal

import pytest

from quoting.engine.cutting.values import CutRequest, Part, Stock
from quoting.engine.cutting.verify import verify_plan
from quoting.engine.takeoff import boards_together as module
from quoting.engine.takeoff.boards_together import BoardsTogether, ToBuild, boards_together, lines_together
from quoting.engine.takeoff.buying import buying_list
from quoting.engine.takeoff.mould import makes
from tests.quoting.engine.takeoff.materials_world import METRIC, slab, starter, take_off

TAKEN = take_off(slab())[2]
A, B = ToBuild("A", TAKEN.mould, 1), ToBuild("B", TAKEN.mould, 1)
BOARD = next(code for code, _ in TAKEN.mould.layouts)


def cost_of(bought: dict[str, int]) -> Decimal:
    return sum((n * starter().materials[code].price for code, n in bought.items()), Decimal(0))


def price(boards: tuple[BoardsTogether, ...]) -> Decimal:
    return cost_of(dict(the_board(boards).bought))


def the_board(boards: tuple[BoardsTogether, ...]) -> BoardsTogether:
    return next(one for one in boards if one.code == BOARD)


def test_each_part_of_each_mould_is_cut_once_under_its_own_mark() -> None:
    found = the_board(boards_together([A, B], starter(), METRIC))
    assert found.plan is not None
    wanted = Counter(
        {
            f"{mark} {part.drawing}": part.quantity
            for mark in "AB"
            for part in TAKEN.mould.parts
            if part.material == BOARD
        }
    )
    assert Counter(part.name for sheet in found.plan.sheets for part in sheet.placed) == wanted
    assert (found.parts, found.moulds) == (wanted.total(), 2)
    request = CutRequest(
        METRIC.kerf_mm,
        METRIC.trim_mm,
        found.stock,
        tuple(
            Part(f"{mark} {part.drawing}", part.length_mm, part.width_mm, part.quantity)
            for mark in "AB"
            for part in TAKEN.mould.parts
            if part.material == BOARD
        ),
    )
    assert verify_plan(request, found.plan) == []


def test_together_is_never_more_than_each_by_itself() -> None:
    alone = price(boards_together([A], starter(), METRIC))
    assert alone == cost_of(dict(dict(TAKEN.mould.bought)[BOARD]))
    for many in range(2, 6):
        moulds = [ToBuild(mark, TAKEN.mould, 1) for mark in "ABCDE"[:many]]
        assert price(boards_together(moulds, starter(), METRIC)) <= many * alone


def test_a_layout_together_that_costs_more_is_not_taken(monkeypatch: pytest.MonkeyPatch) -> None:
    poor = the_board(boards_together([A, B], starter(), METRIC)).plan
    assert poor is not None
    monkeypatch.setattr(
        module, "lay_out_on_sheets", lambda *_: replace(poor, sheets=poor.sheets + 5 * poor.sheets[-1:])
    )
    found = the_board(boards_together([A, B], starter(), METRIC))
    assert found.plan is None
    assert dict(found.bought) == {code: 2 * n for code, n in dict(TAKEN.mould.bought)[BOARD]}


def test_worn_out_parts_are_made_again() -> None:
    board = starter().materials[BOARD]
    castings = (board.casts or 1) + 1
    assert makes(board, castings) == 2
    found = the_board(boards_together([ToBuild("A", TAKEN.mould, castings)], starter(), METRIC))
    assert found.parts == 2 * the_board(boards_together([A], starter(), METRIC)).parts


def test_an_offcut_on_hand_is_used_first_and_named() -> None:
    held = {BOARD: (Stock("Offcut 7", 2400, 1200, Decimal(0), 1, on_hand=True),)}
    without, given = (the_board(boards_together([A, B], starter(), METRIC, one)) for one in (None, held))
    assert given.offcuts == ("Offcut 7",)
    assert sum(n for _, n in given.bought) <= sum(n for _, n in without.bought)
    assert given.plan is not None
    assert given.plan.sheets[0].code == "Offcut 7"


def test_all_from_offcuts_buys_nothing_and_says_so() -> None:
    held = {BOARD: tuple(Stock(f"Offcut {n}", 2800, 2070, Decimal(0), 1, on_hand=True) for n in range(4))}
    boards = boards_together([A], starter(), METRIC, held)
    assert the_board(boards).bought == ()
    lines = lines_together([TAKEN.lines], boards, starter(), METRIC)
    (line,) = [
        line for order in buying_list(lines, starter(), METRIC) for line in order.lines if line.code == BOARD
    ]
    assert (line.packs, line.cost) == (0, Decimal("0.00"))
    assert "offcut" in line.working


def test_the_boards_lines_stand_for_those_of_the_moulds() -> None:
    boards = boards_together([A, B], starter(), METRIC)
    orders = buying_list(lines_together([TAKEN.lines] * 2, boards, starter(), METRIC), starter(), METRIC)
    apart = buying_list([TAKEN.lines] * 2, starter(), METRIC)
    named = {line.code: line for order in orders for line in order.lines}
    before = {line.code: line for order in apart for line in order.lines}
    laid = {code for one in boards for code, _ in one.bought}
    cut = laid | {code for _, packs in TAKEN.mould.bought for code, _ in packs}
    assert laid <= named.keys()
    assert {code: line for code, line in named.items() if code not in cut} == {
        code: line for code, line in before.items() if code not in cut
    }
    ((bought, number),) = the_board(boards).bought
    assert named[bought].packs == number
    assert named[bought].working.startswith(f"{the_board(boards).parts} parts of 2 moulds: ")
    assert sum(order.cost for order in orders) <= sum(order.cost for order in apart)


def test_too_many_parts_keep_their_own_layouts(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "MOST_TOGETHER", 5)
    found = the_board(boards_together([A, B], starter(), METRIC))
    assert found.plan is None
    assert dict(found.bought) == {code: 2 * n for code, n in dict(TAKEN.mould.bought)[BOARD]}
