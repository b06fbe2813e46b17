"""Materials and their dated prices: what is kept, what is refused."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.db import IntegrityError, transaction

from catalog import selectors
from catalog.errors import CatalogRefused, NoSuchRow
from catalog.models import Material, MaterialPrice
from catalog.services.materials import create_material, set_price, update_material
from tests.catalog.conftest import BAG, BOARD, TODAY

YESTERDAY, TOMORROW = TODAY - timedelta(days=1), TODAY + timedelta(days=1)


def faults(refused: pytest.ExceptionInfo[CatalogRefused]) -> dict[str, str]:
    return {fault.path: fault.code for fault in refused.value.faults}


def test_a_sheets_content_follows_from_its_sizes(board: Material) -> None:
    assert board.pack_size == pytest.approx(5.796)  # C148: 2800 × 2070
    assert board.content_unit == "m²"


def test_a_lengths_content_follows_from_its_length(db: None) -> None:
    values = {
        "code": "BAR-6",
        "name": "Bar",
        "kind": "stock_length",
        "pack_name": "length",
        "length_mm": 6000,
    }
    assert create_material(values, today=TODAY).pack_size == 6.0


def test_a_price_holds_from_its_date_until_the_next(board: Material) -> None:
    set_price("BOARD-18", "70.00", valid_from=TOMORROW, today=TODAY)
    found = [selectors.price_on("BOARD-18", day) for day in (YESTERDAY, TODAY, TOMORROW)]
    assert [price and price.price for price in found] == [None, Decimal("62.00"), Decimal("70.00")]


def test_priced_marks_old_prices_stale(board: Material) -> None:
    (fresh,) = selectors.priced([board], TODAY + timedelta(days=180))
    (old,) = selectors.priced([board], TODAY + timedelta(days=181))
    assert (fresh.stale, old.stale) == (False, True)
    assert fresh.unit_price == Decimal("10.6970")  # 62.00 ÷ 5.796 m²


def test_todays_price_may_be_corrected_today(board: Material) -> None:
    set_price("BOARD-18", "63.00", valid_from=TODAY, today=TODAY)
    assert [price.price for price in selectors.price_history("BOARD-18")] == [Decimal("63.00")]


def test_a_price_of_the_past_is_not_rewritten(board: Material) -> None:
    with pytest.raises(CatalogRefused) as refused:
        set_price("BOARD-18", "63.00", valid_from=TODAY, today=TOMORROW)
    assert faults(refused) == {"valid_from": "past"}
    assert "2026-03-03 or later" in str(refused.value)


def test_a_price_cannot_be_slipped_in_between_past_dates(board: Material) -> None:
    set_price("BOARD-18", "70.00", valid_from=TODAY + timedelta(days=20), today=TODAY)
    with pytest.raises(CatalogRefused):
        set_price("BOARD-18", "66.00", valid_from=TOMORROW, today=TODAY + timedelta(days=10))


def test_the_same_price_for_the_same_date_is_no_news(board: Material) -> None:
    before = MaterialPrice.objects.get()
    after = set_price("BOARD-18", "62", valid_from=TODAY, today=TODAY + timedelta(days=30))
    assert after.pk == before.pk
    assert MaterialPrice.objects.count() == 1


def test_a_first_price_may_start_in_the_past(db: None) -> None:
    create_material(BOARD, price="60", valid_from=date(2025, 1, 1), today=TODAY)
    assert selectors.price_on("BOARD-18", date(2025, 6, 1)) is not None


def test_who_entered_a_price_is_kept(board: Material) -> None:
    assert set_price("BOARD-18", "64", valid_from=TOMORROW, today=TODAY, who="rowan").entered_by == "rowan"


def test_update_leaves_the_rest(board: Material) -> None:
    update_material("BOARD-18", {"supplier": "  Example Timber Yard ", "casts": 4})
    board.refresh_from_db()
    assert (board.supplier, board.casts, board.name) == ("Example Timber Yard", 4, "Faced board 18 mm")


def test_new_sizes_make_a_new_content(board: Material) -> None:
    update_material("BOARD-18", {"length_mm": 2440, "width_mm": 1220})
    board.refresh_from_db()
    assert board.pack_size == pytest.approx(2.9768)  # C148: 2440 × 1220


@pytest.mark.parametrize(
    ("change", "path", "code"),
    [
        ({"length_mm": None}, "length_mm", "missing"),
        ({"length_mm": ""}, "length_mm", "missing"),
        ({"length_mm": "long"}, "length_mm", "invalid"),
        ({"length_mm": "nan"}, "length_mm", "out_of_range"),
        ({"thickness_mm": float("inf")}, "thickness_mm", "out_of_range"),
        ({"thickness_mm": True}, "thickness_mm", "invalid"),
        ({"thickness_mm": -18}, "thickness_mm", "out_of_range"),
        ({"casts": 2.5}, "casts", "invalid"),
        ({"casts": 0}, "casts", "out_of_range"),
        ({"casts": "many"}, "casts", "invalid"),
        ({"yield_m3": 0.01}, "yield_m3", "not_used"),
        ({"usage": "shelf"}, "usage", "unknown_usage"),
        ({"kind": "plank"}, "kind", "invalid_choice"),
        ({"pack_size": 4}, "pack_size", "size_mismatch"),
        ({"pack_size": "nan"}, "pack_size", "size_mismatch"),
        ({"waste": 1.5}, "waste", "out_of_range"),
        ({"name": ""}, "name", "blank"),
        ({"name": "a\x00b"}, "name", "invalid"),
        ({"name": "two\nlines"}, "name", "invalid"),
        ({"name": 7}, "name", "invalid"),
        ({"code": "board 18"}, "code", "code_form"),
        ({"code": ""}, "code", "blank"),
        ({"colour": "white"}, "colour", "unknown_key"),
        ({"retired_from": "soon"}, "retired_from", "invalid"),
        ({"lead_days": -1}, "lead_days", "min_value"),
    ],
)
def test_refused_values_are_named_with_a_code(db: None, change: dict[str, Any], path: str, code: str) -> None:
    with pytest.raises(CatalogRefused) as refused:
        create_material({**BOARD, **change}, price="62", today=TODAY)
    assert faults(refused)[path] == code
    assert Material.objects.count() == 0


def test_every_fault_is_said_at_once(db: None) -> None:
    with pytest.raises(CatalogRefused) as refused:
        create_material({**BOARD, "name": "", "casts": 0, "colour": "red"}, price="-1", today=TODAY)
    assert faults(refused) == {
        "colour": "unknown_key",
        "name": "blank",
        "casts": "out_of_range",
        "price": "out_of_range",
    }


@pytest.mark.parametrize("price", ["-0.01", "12.345678", "free", "nan", "99999999999", True])
def test_refused_prices(board: Material, price: Any) -> None:
    with pytest.raises(CatalogRefused) as refused:
        set_price("BOARD-18", price, valid_from=TOMORROW, today=TODAY)
    assert {fault.path for fault in refused.value.faults} == {"price"}


def test_a_price_given_as_a_float_keeps_its_digits(board: Material) -> None:
    assert set_price("BOARD-18", 0.1, valid_from=TOMORROW, today=TODAY).price == Decimal("0.1")


def test_a_taken_code_is_refused(board: Material) -> None:
    with pytest.raises(CatalogRefused) as refused:
        create_material(BOARD, today=TODAY)
    assert faults(refused) == {"code": "unique"}


def test_a_material_keeps_its_kind_and_code(board: Material) -> None:
    with pytest.raises(CatalogRefused) as refused:
        update_material("BOARD-18", {"kind": "liquid", "code": "OTHER"})
    assert faults(refused)["kind"] == "kind_change"
    assert faults(refused)["code"] == "unknown_key"


def test_an_unknown_code_is_no_row(db: None) -> None:
    with pytest.raises(NoSuchRow, match="material"):
        set_price("NOTHING", "1", valid_from=TODAY, today=TODAY)


def test_materials_are_found_by_kind_use_and_word(board: Material) -> None:
    create_material(BAG, today=TODAY)
    assert [row.code for row in selectors.materials(TODAY, kind="bagged_mix")] == ["BAG-GREY"]
    assert [row.code for row in selectors.materials(TODAY, usage="mould_board")] == ["BOARD-18"]
    assert [row.code for row in selectors.materials(TODAY, search="faced merchants")] == ["BOARD-18"]
    assert [row.code for row in selectors.materials(TODAY, search="faced bag")] == []


@pytest.mark.parametrize(
    "change",
    [{"thickness_mm": -1}, {"kind": "plank"}, {"waste": 2}, {"pack_size": 0}, {"casts": 0}],
)
def test_the_database_refuses_what_goes_round_the_services(board: Material, change: dict[str, Any]) -> None:
    with pytest.raises(IntegrityError), transaction.atomic():
        Material.objects.filter(pk=board.pk).update(**change)


def test_the_database_keeps_one_price_a_date(board: Material) -> None:
    with pytest.raises(IntegrityError), transaction.atomic():
        MaterialPrice.objects.create(material=board, valid_from=TODAY, price=Decimal(1))


def test_a_code_taken_in_the_same_moment_is_refused_like_any_other(
    board: Material, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Somebody else saves between the check and the save: the check is made blind, the database is not."""
    monkeypatch.setattr("catalog.services.materials.faults_of", lambda *args, **options: [])
    with pytest.raises(CatalogRefused) as refused:
        create_material(BOARD, today=TODAY)
    assert faults(refused) == {"code": "unique"}
