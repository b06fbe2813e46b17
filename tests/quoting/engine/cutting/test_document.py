"""The cut list as a document: what is read, what is refused, what is printed."""

from __future__ import annotations

import json
from decimal import Decimal
from typing import Any

import pytest

from quoting.engine.cutting.document import plan_document, read_request
from quoting.engine.cutting.sheets import lay_out_sheets
from quoting.engine.cutting.values import CutRequest, Part, Stock
from quoting.engine.errors import Refused


def document(**changes: object) -> dict[str, Any]:
    """A good document, with changes to its top level."""
    stock = {"code": "board", "length_mm": 2440, "width_mm": 1220, "price": 48.5}
    part = {"name": "side", "length_mm": 900, "width_mm": 58.5, "quantity": 4}
    return {"kerf_mm": 3.2, "trim_mm": 10, "stock": [stock], "parts": [part], **changes}


def refused(given: object) -> dict[str, str]:
    """The faults of a document: code by path."""
    with pytest.raises(Refused) as caught:
        read_request(given)
    return {fault.path: fault.code for fault in caught.value.faults}


def test_a_good_document_is_read() -> None:
    assert read_request(document()) == CutRequest(
        3.2,
        10.0,
        (Stock("board", 2440.0, 1220.0, Decimal("48.5"), None),),
        (Part("side", 900.0, 58.5, 4, turn=True),),
    )


def test_optional_keys_and_exact_prices() -> None:
    given = document()
    given["stock"][0] |= {"count": 3, "price": "48.50"}
    given["parts"][0]["turn"] = False
    request = read_request(given)
    assert (request.stock[0].count, request.stock[0].price) == (3, Decimal("48.50"))
    assert request.parts[0].turn is False


def test_no_parts_make_an_empty_plan() -> None:
    plan = lay_out_sheets(read_request(document(parts=[])))
    assert plan_document(plan) == {
        "sheets": [],
        "cost": 0,
        "lower_bound_sheets": 0,
        "proven_optimal": True,
        "unplaced": [],
    }


def test_a_plan_prints_the_keys_of_the_contract_and_no_others() -> None:
    printed = plan_document(lay_out_sheets(read_request(document())))
    assert list(printed) == ["sheets", "cost", "lower_bound_sheets", "proven_optimal", "unplaced"]
    assert printed["cost"] == 48.5
    (sheet,) = json.loads(json.dumps(printed))["sheets"]
    assert list(sheet) == ["code", "placed", "offcuts", "cuts"]
    assert list(sheet["placed"][0]) == ["name", "x_mm", "y_mm", "length_mm", "width_mm", "turned"]
    assert list(sheet["offcuts"][0]) == ["x_mm", "y_mm", "length_mm", "width_mm"]
    assert list(sheet["cuts"][0]) == ["axis", "at_mm", "from_mm", "to_mm"]


def test_every_fault_is_told_at_once() -> None:
    bad_stock = {"code": "", "length_mm": True, "width_mm": -5, "price": float("nan"), "count": 0}
    bad_part = {
        "name": 7,
        "length_mm": float("inf"),
        "width_mm": "wide",
        "quantity": 1.5,
        "turn": 1,
        "grain": 2,
    }
    assert refused(document(kerf_mm=-1, trim_mm=None, stock=[bad_stock], parts=[bad_part], colour="red")) == {
        "colour": "unknown_key",
        "kerf_mm": "range",
        "trim_mm": "type",
        "stock[0].code": "type",
        "stock[0].length_mm": "type",
        "stock[0].width_mm": "range",
        "stock[0].price": "range",
        "stock[0].count": "range",
        "parts[0].grain": "unknown_key",
        "parts[0].name": "type",
        "parts[0].length_mm": "range",
        "parts[0].width_mm": "type",
        "parts[0].quantity": "type",
        "parts[0].turn": "type",
    }


@pytest.mark.parametrize("given", [None, 3, "parts", [], True])
def test_what_is_no_object_is_refused(given: object) -> None:
    assert refused(given) == {"": "type"}


def test_missing_keys_are_named() -> None:
    assert refused({}) == dict.fromkeys(("kerf_mm", "trim_mm", "stock", "parts"), "required")
    faults = refused(document(stock=[{}], parts=[{}]))
    assert set(faults.values()) == {"required"}
    assert "stock[0].price" in faults
    assert "parts[0].quantity" in faults
    assert "stock[0].count" not in faults
    assert "parts[0].turn" not in faults


def test_stock_is_needed_and_lists_are_lists() -> None:
    assert refused(document(stock=[])) == {"stock": "required"}
    assert refused(document(stock={}, parts="none")) == {"stock": "type", "parts": "type"}


@pytest.mark.parametrize("value", [0, -1, float("nan"), float("inf"), -float("inf"), 100_001, 10**400])
def test_lengths_out_of_range_are_refused(value: float) -> None:
    given = document()
    given["parts"][0]["length_mm"] = value
    assert refused(given) == {"parts[0].length_mm": "range"}


def test_kerf_and_trim_may_be_nothing() -> None:
    assert read_request(document(kerf_mm=0, trim_mm=0)).kerf_mm == 0.0


@pytest.mark.parametrize("price", [-1, float("inf"), float("nan"), "1e12", 0.0000001])
def test_prices_out_of_range_are_refused(price: object) -> None:
    given = document()
    given["stock"][0]["price"] = price
    assert refused(given) == {"stock[0].price": "range"}


@pytest.mark.parametrize("price", [True, None, "dear", [], {}])
def test_prices_that_are_no_number_are_refused(price: object) -> None:
    given = document()
    given["stock"][0]["price"] = price
    assert refused(given) == {"stock[0].price": "type"}


def test_two_thousand_parts_are_the_limit() -> None:
    row = {"name": "chip", "length_mm": 10, "width_mm": 10, "quantity": 1000}
    assert len(read_request(document(parts=[row, row])).parts) == 2
    assert refused(document(parts=[row, row, {**row, "quantity": 1}])) == {"parts": "too_many"}
    assert refused(document(parts=[{**row, "quantity": 10**30}])) == {"parts[0].quantity": "range"}
    assert refused(document(parts=[{**row, "quantity": 1}] * 501)) == {"parts": "too_many"}


def test_sheets_are_told_apart_by_their_code() -> None:
    row = document()["stock"][0]
    assert refused(document(stock=[row, row])) == {"stock[1].code": "twice"}


def test_trim_that_leaves_nothing_of_a_sheet_is_refused() -> None:
    assert refused(document(trim_mm=610)) == {"stock[0]": "range"}
    assert read_request(document(trim_mm=609)).trim_mm == 609.0
