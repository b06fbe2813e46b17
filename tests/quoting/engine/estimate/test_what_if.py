"""What a maker asks, side by side: changes to a specification and what each does to price, mass and days."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from quoting.engine.errors import Refused
from quoting.engine.estimate.side_report import what_if_report
from quoting.engine.estimate.what_if import Change, WhatIf, merged, what_if
from tests.quoting.engine.estimate.told import known
from tests.quoting.engine.estimate.world import book, document, terms

D = Decimal


def asked(name: str, *changes: Change) -> WhatIf:
    return what_if(document(name), changes or None, book(), terms(), known())


def test_the_usual_questions_of_a_collected_piece() -> None:
    found = asked("shape-rectangle")
    assert [case.name for case in found.cases] == [
        "10 mm thicker",
        "One more",
        "Lightweight casting mix",
        "Delivered, 20 km",
    ]
    thicker, more, lighter, delivered = (case.estimate for case in found.cases)
    base = found.base
    assert thicker and more and lighter and delivered
    assert thicker.solid.thickness_mm == base.solid.thickness_mm + 10
    assert thicker.weights.total_kg > base.weights.total_kg > lighter.weights.total_kg
    assert more.quantity == base.quantity + 1
    assert more.price.unit_price < base.price.unit_price
    assert delivered.price.delivery_cost == D("42.00")  # 25 + 20 km × 0.85
    assert base.price.delivery_cost == 0


def test_a_delivered_piece_may_be_collected_and_the_lightest_mix_is_light_enough() -> None:
    light = document("shape-rectangle") | {"mix": "MIX-LIGHT", "delivery": {"distance_km": 5}}
    found = what_if(light, None, book(), terms(), known())
    assert [case.name for case in found.cases] == ["10 mm thicker", "One more", "Collected"]


def test_a_shop_in_inches_goes_up_by_half_an_inch() -> None:
    inches = replace(terms(), unit_system="us")
    case = what_if(document("hearth"), None, book(), inches, known()).cases[0]
    assert case.name == "1/2 in thicker"
    assert case.estimate is not None
    assert case.estimate.solid.thickness_mm == pytest.approx(60.0 + 12.7)  # 6 cm


def test_a_shop_in_miles_delivers_a_dozen_of_them() -> None:
    miles = replace(terms(), unit_system="us")
    case = what_if(document("shape-rectangle"), None, book(), miles, known()).cases[-1]
    assert case.name == "Delivered, 12 mi"
    assert case.estimate is not None
    price = case.estimate.price
    assert price.delivery_cost == D("41.42")  # 25 + 12 × 1.609344 km × 0.85 = 41.4153
    (step,) = [step for step in price.steps if step.code == "delivery"]
    assert step.working == "25 + 12 mi × 1.3679424 = 41.42"


def test_differences_sum_to_the_change_of_the_total() -> None:
    for case in what_if_report(asked("hearth"))["cases"]:
        totals = {each["part"]: each for each in case["differences"]["totals"]}
        parts = sum(D(each["change"]) for each in case["differences"]["parts"])
        assert parts == D(totals["gross"]["change"])
        for each in (*case["differences"]["parts"], *totals.values()):
            assert D(each["after"]) - D(each["before"]) == D(each["change"])


def test_a_change_that_cannot_be_cast_says_why_and_stops_no_other() -> None:
    found = asked("hearth", Change("Thin", {"thickness": 1}), Change("In another mix", {"mix": "MIX-LIGHT"}))
    thin, light = what_if_report(found)["cases"]
    assert [fault["path"] for fault in thin["faults"]] == ["reinforcement.cover"]
    assert "estimate" not in thin
    assert light["estimate"]["total_kg"] < what_if_report(found)["base"]["total_kg"]


def test_refuses_a_bad_specification_and_too_many_changes() -> None:
    with pytest.raises(Refused):
        what_if({"format": 1}, None, book(), terms(), known())
    with pytest.raises(Refused, match="at most 12"):
        asked("hearth", *[Change(str(n), {}) for n in range(13)])


@pytest.mark.parametrize(
    ("target", "patch", "result"),
    [
        ({"a": "b"}, {"a": "c"}, {"a": "c"}),
        ({"a": "b"}, {"b": "c"}, {"a": "b", "b": "c"}),
        ({"a": "b"}, {"a": None}, {}),
        ({"a": "b", "b": "c"}, {"a": None}, {"b": "c"}),
        ({"a": ["b"]}, {"a": "c"}, {"a": "c"}),
        ({"a": "c"}, {"a": ["b"]}, {"a": ["b"]}),
        ({"a": {"b": "c"}}, {"a": {"b": "d", "c": None}}, {"a": {"b": "d"}}),
        ({"a": [{"b": "c"}]}, {"a": [1]}, {"a": [1]}),
        (["a", "b"], ["c", "d"], ["c", "d"]),
        ({"a": "b"}, ["c"], ["c"]),
        ({"a": "foo"}, None, None),
        ({"a": "foo"}, "bar", "bar"),
        ({"e": None}, {"a": 1}, {"e": None, "a": 1}),
        ([1, 2], {"a": "b", "c": None}, {"a": "b"}),
        ({}, {"a": {"bb": {"ccc": None}}}, {"a": {"bb": {}}}),
    ],
)
def test_patches_merge_as_in_the_examples_of_rfc_7396(target: Any, patch: Any, result: Any) -> None:
    """RFC 7396, appendix A."""
    assert merged(target, patch) == result
