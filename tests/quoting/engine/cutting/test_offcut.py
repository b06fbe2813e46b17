"""The largest reusable offcut."""

from __future__ import annotations

from decimal import Decimal

from quoting.engine.cutting import offcut, tree
from quoting.engine.cutting.grid import Size, on_grid
from quoting.engine.cutting.sheets import lay_out_sheets
from quoting.engine.cutting.values import CutRequest, Part, Stock

PROBLEM = on_grid(CutRequest(3, 0, (Stock("s", 100, 60, Decimal(1)),), (Part("p", 27, 17),)))


def test_the_kerf_is_off_an_offcut() -> None:
    root = tree.new_sheet(103, 63)
    tree.place(root, 0, 30, 20, True)
    assert offcut.largest(PROBLEM, root, (1, 1)) == 70 * 60
    assert offcut.largest(PROBLEM, root, (70, 60)) == 70 * 60


def test_offcuts_too_short_along_either_axis_do_not_count() -> None:
    root = tree.new_sheet(103, 63)
    tree.place(root, 0, 30, 20, True)
    assert offcut.largest(PROBLEM, root, (71, 1)) == 0
    assert offcut.largest(PROBLEM, root, (1, 61)) == 0
    assert offcut.largest(PROBLEM, root, (27, 40)) == 70 * 60


def test_least_lengths_are_rounded_up_to_the_grid() -> None:
    assert offcut.in_units(PROBLEM, 150) == 150
    assert offcut.in_units(PROBLEM, 150.2) == 151
    assert offcut.in_units(PROBLEM, 0) == 1


def test_a_shortened_sheet_is_made_full_again_with_the_rest_in_one_piece() -> None:
    for along in (True, False):
        short = tree.new_sheet(50, 63) if along else tree.new_sheet(103, 30)
        tree.place(short, 0, 30, 20, not along)
        full = offcut.lengthened(short, Size(103, 63, 1, 1), along)
        assert (full.w, full.h, full.along) == (103, 63, along)
        sizes = [rest[:2] for rest in tree.rests_below(full, 1)]
        assert ((53, 63) if along else (103, 33)) in sizes
        assert sum(w * h for w, h in sizes) == 103 * 63 - 30 * 20


def test_a_sheet_is_no_shorter_than_the_parts_that_no_other_holds() -> None:
    stock = (Stock("long", 100, 60, Decimal(1)), Stock("short", 40, 30, Decimal(1)))
    problem = on_grid(CutRequest(0, 0, stock, (Part("a", 70, 20), Part("b", 30, 25), Part("c", 50, 50))))
    long, short = tree.new_sheet(100, 60), tree.new_sheet(40, 30)
    tree.place(long, 0, 20, 60, True)
    tree.place(long, 2, 50, 50, True)
    tree.place(short, 1, 30, 25, True)
    layout = [(0, long), (1, short)]
    # The grid is 5 mm. By u^(2) the strip of 20 takes a third of the width, the block of 50 all of it.
    assert offcut.least_length(problem, layout, 0, True) == 15  # 10 + 14 / 3, rounded up
    assert offcut.least_length(problem, layout, 0, False) == 10
    assert offcut.least_length(problem, layout, 1, True) == 0  # the other sheet may hold them all


def test_no_sheets_no_offcuts() -> None:
    assert offcut.gather(PROBLEM, [], (150, 150), 100) == []


def test_the_shortest_a_sheet_can_be_is_a_sum_of_parts() -> None:
    """Four of 120 × 300 on a strip 495 wide: by area 291 mm, but parts in a row make 240 or 300."""
    problem = on_grid(CutRequest(0, 0, (Stock("s", 1000, 495, Decimal(1)),), (Part("p", 120, 300, 4),)))
    root = tree.new_sheet(200, 99)
    for number in range(4):
        tree.place(root, number, 24, 60, True)
    layout = [(0, root)]
    assert problem.mm(offcut.least_length(problem, layout, 0, True)) == 295.0  # the grid is 5 mm
    lengths = offcut.possible_lengths(problem, layout, 0, True, range(1, 85))
    assert [problem.mm(length) for length in lengths] == [300.0, 360.0, 420.0]
    assert not offcut.possible_lengths(problem, layout, 0, True, range(1, 60))


def test_a_sheet_that_the_others_can_spare_may_be_emptied() -> None:
    problem = on_grid(CutRequest(0, 0, (Stock("s", 100, 60, Decimal(1)),), (Part("p", 40, 30, 2),)))
    roots = [tree.new_sheet(10, 6), tree.new_sheet(10, 6)]
    for number, root in enumerate(roots):
        tree.place(root, number, 4, 3, True)
    layout = [(0, root) for root in roots]
    assert offcut.possible_lengths(problem, layout, 0, True, range(1, 9)) == [1, 3, 4, 6, 7, 8]
    assert [len(tree.items_below(root)) for _, root in offcut.gather(problem, layout, (1, 1), 400)] == [2]


def test_four_in_a_column_leave_the_most() -> None:
    """As the shortest strip is tried first: 1000 × 500 less a strip of 300 and the blade."""
    request = CutRequest(3.2, 0, (Stock("s", 1000, 500, Decimal(1)),), (Part("p", 300, 120, 4),))
    (sheet,) = lay_out_sheets(request, steps=360).sheets
    assert max(rest.area_mm2 for rest in sheet.offcuts) == (1000 - 303.2) * 500
