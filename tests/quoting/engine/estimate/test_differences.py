"""What changed from one piece to another: told as a maker would, and never passed over."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields, replace
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given, settings

from quoting.engine.estimate.differences import SAME_BUT_ORDER, differences
from quoting.engine.spec.types import (
    Delivery,
    DropEdge,
    EdgeTreatment,
    Extra,
    Insert,
    Opening,
    Piece,
    Rectangle,
    Round,
    Sleeve,
)
from tests.quoting.engine.estimate.world import piece
from tests.validation.strategies import pieces

TABLE = Piece("Table", "mm", 40.0, Rectangle(2100.0, 900.0))
SLEEVES = Sleeve(((300.0, 300.0), (600.0, 300.0)), 50.0)
# Between them every kind of part that a document knows.
EXAMPLES = [piece(name) for name in ("reading-room-table", "cafe-counter", "feature-recess", "shape-polygon")]


@pytest.mark.parametrize(
    ("after", "said"),
    [
        ({"outline": Rectangle(2250.0, 900.0)}, "length 2100 → 2250 mm"),
        ({"outline": Rectangle(2100.0, 900.0, (60.0,) * 4)}, "corner radius 0 → 60 mm"),
        (
            {"outline": Round(900.0)},
            "outline: rectangle (length 2100 mm, width 900 mm, corner radius 0 mm) → round (diameter 900 mm)",
        ),
        ({"features": (SLEEVES,)}, "2 sleeves added: diameter 50 mm"),
        ({"edges": (EdgeTreatment("top", "round", 6.0),)}, "top edge: square → round 6 mm"),
        (
            {"edges": (EdgeTreatment("top", "round", 6.0, (0, 2)),)},
            "top edge (front edge, back edge): square → round 6 mm",
        ),
        ({"drop_edge": DropEdge(90.0, 35.0, (0,))}, "drop edge added: depth 90 mm, thickness 35 mm, sides 0"),
        ({"delivery": Delivery(18.0, 3, True)}, "delivery added: distance 18 km, steps 3, install yes"),
        ({"mix": "MIX-GREY"}, "mix the shop's usual → MIX-GREY"),
        ({"quantity": 4}, "quantity 1 → 4"),
    ],
)
def test_a_change_in_words(after: dict[str, Any], said: str) -> None:
    assert differences(TABLE, replace(TABLE, **after)) == (said,)


def test_in_feet_and_inches() -> None:
    longer = replace(TABLE, outline=Rectangle(2133.6, 900.0))
    assert differences(TABLE, longer, system="us") == ("length 6 ft 10 11/16 in → 7 ft",)


def test_a_way_in_miles() -> None:
    """15 mi = 24.14016 km (NIST Handbook 44, Appendix C: 1 mile = 1.609344 km)."""
    near, far = (replace(TABLE, delivery=Delivery(km, 0, False)) for km in (24.14016, 32.18688))
    assert differences(near, far, system="us") == ("delivery: distance 15 → 20 mi",)
    assert differences(near, far) == ("delivery: distance 24.14 → 32.187 km",)
    hair = replace(TABLE, delivery=Delivery(24.140161, 0, False))
    assert differences(near, hair, system="us") == ("delivery: distance 24.14016 → 24.140161 km",)


def test_one_treatment_becomes_another() -> None:
    rounded = replace(TABLE, edges=(EdgeTreatment("top", "round", 6.0),))
    bevelled = replace(TABLE, edges=(EdgeTreatment("top", "chamfer", 3.0),))
    assert differences(rounded, bevelled) == ("top edge: round 6 mm → chamfer 3 mm",)


def test_features_move_and_change_where_they_stand() -> None:
    before = replace(TABLE, features=(SLEEVES,))
    after = replace(TABLE, features=(Sleeve(((350.0, 300.0),), 50.0), Sleeve(((600.0, 300.0),), 60.0)))
    assert differences(before, after) == (
        "sleeve at 600, 300 mm: diameter 50 → 60 mm",
        "sleeve moved: 300, 300 → 350, 300 mm",
    )


def test_counts_of_extras() -> None:
    two, three = (replace(TABLE, extras=(Extra("BASE-STEEL", Decimal(n)),)) for n in (2, 3))
    assert differences(two, three) == ("BASE-STEEL: 2 → 3",)


def test_a_change_below_the_rounding_is_still_told() -> None:
    assert differences(TABLE, replace(TABLE, thickness_mm=40.01)) == (
        "thickness 40.0 mm → 40.01 mm".replace(" mm →", " →"),
    )
    rim = Opening(((500.0, 400.0),), Round(200.0), edges=(EdgeTreatment("top", "round", 6.0),))
    finer = replace(rim, edges=(EdgeTreatment("top", "round", 6.01),))
    (said,) = differences(replace(TABLE, features=(rim,)), replace(TABLE, features=(finer,)))
    assert "6.01" in said and "opening at 500, 400 mm" in said


def test_another_order_is_named_as_such() -> None:
    apart = (Sleeve(((300.0, 300.0),), 50.0), Sleeve(((600.0, 300.0),), 50.0))
    before, after = replace(TABLE, features=(SLEEVES,)), replace(TABLE, features=apart)
    assert differences(before, after) == (f"features: {SAME_BUT_ORDER}",)


@pytest.mark.parametrize("whole", EXAMPLES, ids=lambda whole: whole.name)
def test_no_field_of_the_document_is_passed_over(whole: Piece) -> None:
    """Every single value anywhere in a piece, changed alone, is told, by more than its order."""
    changed = list(_changed(whole))
    assert len(changed) > 15
    for other in changed:
        for said in (differences(whole, other), differences(other, whole)):
            assert said, other
            assert SAME_BUT_ORDER not in " ".join(said), other


@settings(max_examples=20, deadline=None)
@given(pieces(), pieces())
def test_different_pieces_never_say_nothing_and_equal_ones_do(one: Piece, other: Piece) -> None:
    assert bool(differences(one, other)) == (one != other)
    assert bool(differences(one, other, system="us")) == (one != other)
    assert differences(one, one) == ()


def _changed(value: Any) -> Iterator[Any]:
    """The value with one thing in it changed, for each thing in it."""
    if isinstance(value, tuple):
        yield from _changed_within(value)
    elif isinstance(value, bool):
        yield not value
    elif isinstance(value, int | float | Decimal):
        yield type(value)(1) if value <= 0 else value * 2
    elif isinstance(value, str):
        yield value + "x"
    elif value is None:
        yield "another"
    else:
        for field in fields(value):
            own = getattr(value, field.name)
            for other in ((0,),) if field.name == "sides" and own is None else _changed(own):
                yield replace(value, **{field.name: other})


def _changed_within(values: tuple[Any, ...]) -> Iterator[Any]:
    for place, part in enumerate(values):
        for other in _changed(part):
            yield (*values[:place], other, *values[place + 1 :])
    if values and not isinstance(values[0], float | int):
        yield values[:-1]
    if values and hasattr(values[0], "centres_mm"):
        yield (*values, Insert(((1.0, 2.0),), "INSERT-M8"))
