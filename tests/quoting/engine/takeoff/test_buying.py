"""The buying list: packs once for all quotes, less what is on the shelf."""

from __future__ import annotations

from quoting.engine.takeoff.buying import BuyingLine, buying_list
from tests.quoting.engine.takeoff.materials_world import METRIC, slab, starter, take_off

LINES = take_off(slab())[2].lines


def found(code: str, quotes: int = 1, **on_hand: float) -> BuyingLine:
    held = {key.replace("_", "-"): value for key, value in on_hand.items()}
    orders = buying_list([LINES] * quotes, starter(), METRIC, held)
    (line,) = [line for order in orders for line in order.lines if line.code == code]
    return line


def test_packs_are_rounded_once_over_all_quotes() -> None:
    assert found("BAG-GREY").packs == 9
    assert found("BAG-GREY", 3).packs == 26  # 3 × 8.34 = 25.0105, not 3 × 9
    assert found("BAG-GREY", 3).working.endswith("a bag = 25.01, buy 26")
    assert found("PAD-200", 3).packs == 1


def test_part_packs_on_hand_come_off() -> None:
    line = found("BAG-GREY", 1, BAG_GREY=10.0)
    assert (line.on_hand, line.packs) == (10.0, 8)
    assert "− 10 kg on hand" in line.working
    plenty = found("BAG-GREY", 1, BAG_GREY=1000.0)
    assert plenty.packs == 0
    assert plenty.on_hand == plenty.gross
    assert plenty.cost == 0


def test_sheets_are_added_by_layout_and_whole_ones_on_hand_come_off() -> None:
    code = next(line.code for line in LINES if line.code.startswith("BOARD"))
    assert found(code, 2).packs == 2
    one_sheet = starter().materials[code].pack_size
    held = buying_list([LINES, LINES], starter(), METRIC, {code: 1.5 * one_sheet})
    line = next(line for order in held for line in order.lines if line.code == code)
    assert line.packs == 1
    assert line.working == "2 sheets by layout − 1 on hand, buy 1"


def test_orders_go_by_supplier_and_sum() -> None:
    orders = buying_list([LINES], starter(), METRIC)
    names = [order.supplier for order in orders]
    assert names == sorted(names) and len(names) == len(set(names))
    for order in orders:
        assert order.cost == sum(line.cost for line in order.lines)
        assert order.lead_days == max(line.lead_days for line in order.lines)
        assert [line.code for line in order.lines] == sorted(line.code for line in order.lines)
    total = sum(order.cost for order in orders)
    assert total == sum(line.cost for line in LINES)
