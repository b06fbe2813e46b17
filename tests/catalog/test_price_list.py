"""The price list as CSV: out, in with a preview, every faulty row named, nothing half-imported."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog import price_list, selectors
from catalog.csv_cells import MOST_ROWS, neutral, read_table, restored, write_table
from catalog.errors import CatalogRefused
from catalog.models import Material, MaterialPrice
from catalog.services.materials import create_material, set_price, update_material
from catalog.services.starter import load_starter
from tests.catalog.conftest import BAG, TODAY

LATER = TODAY + timedelta(days=30)
HEAD = "code,name,kind,pack_size,pack_name,price\n"


def preview(text: str, today: date = TODAY) -> price_list.Preview:
    return price_list.preview(text.encode(), today=today)


def places(found: price_list.Preview) -> list[tuple[int, str]]:
    return [(fault.line, fault.column) for fault in found.faults]


# --- it works --------------------------------------------------------------------------------------------
def test_an_export_comes_back_without_a_change(db: None) -> None:
    load_starter("us", on=TODAY)
    exported = price_list.export(LATER)
    found = preview(exported, LATER)
    assert found.faults == ()
    assert found.changes == ()
    assert found.unchanged == found.rows == Material.objects.count()


def test_an_export_carries_prices_that_hold_on_the_date(board: Material) -> None:
    set_price("BOARD-18", "70.00", valid_from=LATER, today=TODAY)
    assert ",62.00,2026-03-02," in price_list.export(TODAY)
    assert ",70.00,2026-04-01," in price_list.export(LATER)


def test_a_file_makes_and_changes_materials(board: Material) -> None:
    text = HEAD + "BOARD-18,Board,board,,sheet,65\nCLAMP,Clamp,each,1,piece,7.20\n"
    found = preview(text)
    assert [(change.line, change.code, change.new) for change in found.changes] == [
        (2, "BOARD-18", False),
        (3, "CLAMP", True),
    ]
    assert [(cell.column, cell.before, cell.after) for cell in found.changes[0].cells] == [
        ("name", "Faced board 18 mm", "Board"),
        ("price", "62.00", "65.00"),
        ("valid_from", "2026-03-02", "2026-03-02"),
    ]
    assert selectors.material("BOARD-18").name == "Faced board 18 mm"
    price_list.apply(text.encode(), today=TODAY, who="rowan", digest=found.digest)
    assert selectors.material("BOARD-18").name == "Board"
    prices = [(price.material.code, price.price, price.entered_by) for price in MaterialPrice.objects.all()]
    assert sorted(prices) == [("BOARD-18", Decimal("65"), "rowan"), ("CLAMP", Decimal("7.2"), "rowan")]


def test_a_suppliers_list_of_codes_and_prices_is_enough(board: Material) -> None:
    price_list.apply(b"code,price\nBOARD-18,66.50\n", today=LATER)
    assert [price.price for price in selectors.price_history("BOARD-18")] == [Decimal("66.5"), Decimal("62")]
    assert selectors.material("BOARD-18").thickness_mm == 18


def test_a_price_confirmed_today_is_no_longer_old(board: Material) -> None:
    much_later = TODAY + timedelta(days=200)
    price_list.apply(b"code,price\nBOARD-18,62.00\n", today=much_later)
    (row,) = selectors.priced([board], much_later)
    assert (row.stale, row.price_from) == (False, much_later)


def test_semicolons_byte_order_mark_and_decimal_commas(board: Material) -> None:
    text = '\ufeffCode;Price;Waste\r\nBOARD-18;"66,50";0,05\r\n'
    price_list.apply(text.encode(), today=LATER)
    price = selectors.price_on("BOARD-18", LATER)
    assert price is not None
    assert (price.price, selectors.material("BOARD-18").waste) == (Decimal("66.5"), 0.05)


def test_a_blank_cell_clears_an_optional_figure_and_leaves_a_needed_one(board: Material) -> None:
    price_list.apply(b"code,name,casts,supplier,pack_name\nBOARD-18,,,,\n", today=TODAY)
    row = selectors.material("BOARD-18")
    assert (row.name, row.pack_name, row.casts, row.supplier) == ("Faced board 18 mm", "sheet", None, "")


def test_empty_lines_are_passed_over_and_lines_counted_as_an_editor_does(board: Material) -> None:
    found = preview('code,name,price\n\nBOARD-18,"two\nlines",62\n\nBAG,Bag,x\n')
    assert places(found)[:2] == [(3, "name"), (6, "price")]


# --- what it refuses -------------------------------------------------------------------------------------
def test_every_fault_is_named_by_line_and_column_and_nothing_is_written(board: Material) -> None:
    text = HEAD + (
        "BOARD-18,Board,board,,sheet,65\n"
        "CLAMP,Clamp,each,1,piece,free\n"
        ",No code,each,1,piece,1\n"
        "CLAMP-2,,plank,1,piece,-1\n"
        "BOARD-18,Again,board,,sheet,66\n"
        "TAPE,Tape,each,1\n"
        "bad code,Tape,each,nan,roll,1\n"
        'DEAR,Dear,each,1,piece,"1,234.50"\n'
    )
    found = preview(text)
    assert places(found) == [
        (3, "price"),
        (4, "code"),
        (5, "price"),
        (5, "name"),
        (5, "kind"),
        (6, "code"),
        (7, "row"),
        (8, "pack_size"),
        (8, "code"),
        (9, "price"),
    ]
    assert found.faults[4].value == "plank"
    with pytest.raises(CatalogRefused) as refused:
        price_list.apply(text.encode(), today=TODAY)
    assert refused.value.faults[0].path == "line 3, price"
    assert Material.objects.count() == 1
    assert selectors.material("BOARD-18").name == "Faced board 18 mm"
    assert MaterialPrice.objects.get().price == Decimal("62")


def test_a_price_of_the_past_is_not_rewritten(board: Material) -> None:
    found = preview("code,price,valid_from\nBOARD-18,65,2026-03-02\n", LATER)
    assert places(found) == [(2, "valid_from")]
    assert "2026-04-01 or later" in found.faults[0].message


@pytest.mark.parametrize("day", ["02/03/2026", "2026-02-30", "20260302", "2026-W10-1"])
def test_dates_that_are_none(board: Material, day: str) -> None:
    assert places(preview(f"code,price,valid_from\nBOARD-18,65,{day}\n")) == [(2, "valid_from")]


def test_a_material_keeps_its_kind(board: Material) -> None:
    assert (2, "kind") in places(preview("code,kind\nBOARD-18,liquid\n"))


@pytest.mark.parametrize(
    ("text", "column"),
    [
        ("", "code"),
        ("name,price\nBoard,1\n", "code"),
        ("code,colour\nA,red\n", "colour"),
        ("code,price,price\nA,1,2\n", "price"),
        ("code,,price\nA,1,2\n", "column 2"),
        ('code,price\n"A,1\n', "file"),
    ],
)
def test_a_file_that_is_no_price_list(db: None, text: str, column: str) -> None:
    found = preview(text)
    assert [fault.column for fault in found.faults] == [column]


def test_what_is_not_utf8_is_refused_with_its_line(db: None) -> None:
    found = price_list.preview("code,name\nA,Mörtel\n".encode("latin-1"), today=TODAY)
    assert found.faults[0].message.startswith("Line 2 is not UTF-8")


def test_too_long_a_file_is_refused(db: None) -> None:
    assert preview("code\n" + "A" * 1_000_001).faults[0].column == "file"
    rows = "".join(f"A{number}\n" for number in range(MOST_ROWS + 1))
    assert preview("code\n" + rows).faults[0].message.startswith("The file has more than 5000 rows")


def test_what_was_previewed_and_nothing_else_is_applied(board: Material) -> None:
    text = b"code,name\nBOARD-18,Board\n"
    shown = price_list.preview(text, today=TODAY)
    update_material("BOARD-18", {"name": "Renamed meanwhile"})
    with pytest.raises(CatalogRefused) as refused:
        price_list.apply(text, today=TODAY, digest=shown.digest)
    assert refused.value.faults[0].code == "preview_outdated"
    assert selectors.material("BOARD-18").name == "Renamed meanwhile"


def test_a_code_taken_while_the_file_is_read_takes_nothing_in(
    board: Material, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Somebody else saves between plan and write: the plan is made as if the board were not there."""
    read = price_list._Reader.read

    def blind(reader: price_list._Reader, line: int, row: list[str]) -> Any:
        reader._known = {}
        return read(reader, line, row)

    monkeypatch.setattr(price_list._Reader, "read", blind)
    text = HEAD + "CLAMP,Clamp,each,1,piece,7\nBOARD-18,Clamp,each,1,piece,7\n"
    with pytest.raises(CatalogRefused) as refused:
        price_list.apply(text.encode(), today=TODAY)
    assert refused.value.faults[0].code == "preview_outdated"
    assert Material.objects.count() == 1


# --- formulas --------------------------------------------------------------------------------------------
def test_a_formula_goes_out_as_text_and_comes_back_as_it_was(db: None) -> None:
    create_material({**BAG, "name": '=HYPERLINK("a")', "supplier": "@sum"}, today=TODAY)
    exported = price_list.export(TODAY)
    assert ",\"'=HYPERLINK" in exported
    assert ",'@sum," in exported
    assert preview(exported).changes == ()


@given(st.text())
def test_no_cell_reads_as_a_formula_and_all_come_back(cell: str) -> None:
    written = neutral(cell)
    assert written[:1] not in {"=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠"}
    assert restored(written) == cell


@given(st.lists(st.text(st.characters(exclude_categories=["C", "Z"]), min_size=1), min_size=2, max_size=4))
def test_a_table_comes_back_cell_by_cell(cells: list[str]) -> None:
    header = [f"c{place}" for place in range(len(cells))]
    delimiter, rows = read_table(write_table(header, [cells]).encode())
    assert delimiter == ","
    assert rows == [(1, header), (2, cells)]


def test_a_long_file_takes_few_queries(db: None, django_assert_max_num_queries: object) -> None:
    rows = "".join(f"TIE-{number},Tie,each,1,piece,1.5\n" for number in range(300))
    # In batches: a statement for ten rows at most, reads and savepoints in (SQLite: 999 values a statement)
    with django_assert_max_num_queries(30):  # type: ignore[operator]
        price_list.apply((HEAD + rows).encode(), today=TODAY)
    assert MaterialPrice.objects.count() == 300
