"""Reading a document: what it becomes, and what is wrong with it, all at once."""

from __future__ import annotations

import json
import math
from decimal import Decimal
from typing import Any

import pytest

from quoting.engine.errors import Refused
from quoting.engine.spec import types as spec
from quoting.engine.spec.parse import KnownCodes, parse_json, parse_piece
from tests.quoting.engine.spec.pieces import Document, faults, opening, rectangle, slab, told, trough


def test_the_least_document_is_a_square_edged_slab() -> None:
    assert parse_piece(slab()) == spec.Piece("Slab", "mm", 40.0, spec.Rectangle(1000.0, 600.0))


def test_bare_numbers_count_in_the_unit_and_texts_bring_their_own() -> None:
    piece = parse_piece(
        slab(unit="in", thickness="1 1/2", outline=rectangle(72, "5'-8 1/4\"", corner_radius="38 mm"))
    )
    assert piece.thickness_mm == 38.1
    assert piece.outline == spec.Rectangle(1828.8, 1733.55, (38.0,) * 4)


def test_defaults_are_settled_once() -> None:
    piece = parse_piece(
        slab(
            features=[
                opening(500, 300),
                {"kind": "groove", "path": [[50, 50], [90, 50]], "width": 5, "depth": 5},
            ],
            reinforcement={"mesh": "MESH-50", "cover": 10},
            finish={"sealer": "SEAL-PEN"},
            extras=[{"material": "BASE-STEEL", "quantity": 0.1}],
            delivery={"distance_km": 0},
        )
    )
    assert piece.features == (
        spec.Opening(((500.0, 300.0),), spec.Rectangle(100.0, 100.0)),
        spec.Groove(((50.0, 50.0), (90.0, 50.0)), "underside", 5.0, 5.0),
    )
    assert piece.reinforcement == spec.Reinforcement("MESH-50", 10.0, 100.0)
    assert piece.finish == spec.Finish("none", (), "SEAL-PEN", 1, ("show", "sides"))
    assert piece.extras == (spec.Extra("BASE-STEEL", Decimal("0.1")),)
    assert piece.delivery == spec.Delivery(0.0)


def test_nulls_stand_for_nothing_where_the_contract_says_so() -> None:
    nothing = dict.fromkeys(("mix", "drop_edge", "reinforcement", "finish", "lighting", "delivery"))
    assert parse_piece(slab(**nothing)) == parse_piece(slab())
    assert told(slab(edges=None, features=None, quantity=None)) == {
        "quantity": "not_a_number",
        "edges": "wrong_type",
        "features": "wrong_type",
    }


def polygon(points: list[list[float]], radii: object = 0) -> spec.Shape:
    return parse_piece(slab(outline={"shape": "polygon", "points": points, "corner_radius": radii})).outline


def test_a_polygon_starts_with_its_front_side_and_runs_counter_clockwise() -> None:
    expected = spec.Polygon(((0.0, 0.0), (800.0, 0.0), (800.0, 500.0), (0.0, 400.0)), (1.0, 2.0, 3.0, 4.0))
    forwards = [[[100, 50], 1], [[900, 50], 2], [[900, 550], 3], [[100, 450], 4]]
    for start in range(4):
        for corners in (forwards, forwards[::-1]):
            turned: list[Any] = corners[start:] + corners[:start]
            assert polygon([point for point, _ in turned], [radius for _, radius in turned]) == expected


def test_without_a_front_side_the_first_side_written_is_side_0() -> None:
    diamond: list[list[float]] = [[800, 300], [400, 600], [0, 300], [400, 0]]
    forwards, backwards = polygon(diamond), polygon(diamond[::-1])
    assert isinstance(forwards, spec.Polygon)
    assert isinstance(backwards, spec.Polygon)
    assert forwards.points_mm[:2] == ((800.0, 300.0), (400.0, 600.0))
    # Written clockwise from [400, 0] to [0, 300]: that side, the other way round.
    assert backwards.points_mm == ((0.0, 300.0), (400.0, 0.0), (800.0, 300.0), (400.0, 600.0))


def test_all_faults_come_at_once_in_the_documents_order() -> None:
    document = slab(
        name=" ",
        quantity=0,
        colour="grey",
        finish={"fill": "ful"},
        features=[
            opening(500, 50),
            {"kind": "openin", "at": [1, 2]},
            {"kind": "recess", "at": [500, 300], "shape": rectangle(100, 100), "depth": -3},
            {"kind": "sleeve", "at": [[700, 300], [800, "wide"]], "diameter": True},
            opening(600, 900),
        ],
    )
    assert [(fault.path, fault.code) for fault in faults(document)] == [
        ("name", "not_a_text"),
        ("quantity", "out_of_range"),
        ("features[0].at", "too_close"),
        ("features[1].kind", "unknown_kind"),
        ("features[2].depth", "length"),
        ("features[3].at[1][1]", "length"),
        ("features[3].diameter", "length"),
        ("features[4].at", "outside"),
        ("finish.fill", "unknown_choice"),
        ("colour", "unknown_key"),
    ]


def test_a_faulty_part_is_not_missed_by_others() -> None:
    document = slab(
        features=[trough(depth="deep")],
        reinforcement={"cover": 15, "bars": [{"bar": "BAR-8", "where": "trough"}]},
    )
    assert told(document) == {"features[0].depth": "length"}


def test_depth_of_nesting_and_odd_keys_do_no_harm() -> None:
    deep: Any = []
    for _ in range(100_000):
        deep = [deep]
    assert told(slab(name=deep, features=[deep])) == {"name": "not_a_text", "features[0]": "wrong_type"}
    assert told(slab(outline=deep)) == {"outline": "wrong_type"}
    odd: dict[Any, Any] = {**slab(), 3: 4, "a b": 1}
    assert told(odd) == {'"3"': "unknown_key", '"a b"': "unknown_key"}


@pytest.mark.parametrize("key", ["format", "name", "unit", "thickness", "outline"])
def test_what_is_required_is_missed(key: str) -> None:
    document = slab()
    del document[key]
    assert told(document) == {key: "missing"}


@pytest.mark.parametrize("document", [None, [], "slab", 3, True, math.nan])
def test_only_an_object_is_a_document(document: object) -> None:
    assert told(document) == {"": "wrong_type"}


def test_an_empty_document_is_told_all_it_lacks() -> None:
    assert told({}) == dict.fromkeys(("format", "name", "unit", "thickness", "outline"), "missing")


@pytest.mark.parametrize(
    "value", [math.nan, math.inf, -math.inf, -1, 0, True, None, [], {}, "", "x", 10**400, 12001]
)
def test_a_length_is_an_ordinary_number_above_zero_of_at_most_12_m(value: object) -> None:
    (fault,) = faults(slab(thickness=value))
    assert fault.path == "thickness"
    assert fault.value
    assert "given: " in fault.message


def test_limits_of_size() -> None:
    assert told(slab(outline=rectangle(12_000, 600))) == {}
    assert told(slab(outline=rectangle(12_000.1, 600))) == {"outline.length": "too_long"}
    sleeves = [{"kind": "sleeve", "at": [20 + 25 * i, 300], "diameter": 10} for i in range(201)]
    long = slab(outline=rectangle(5100, 600))
    assert told({**long, "features": sleeves[:200]}) == {}
    assert told({**long, "features": sleeves}) == {"features": "too_many"}


def test_limit_of_points() -> None:
    def wheel(count: int) -> Document:
        spokes = [
            [500 + 400 * math.cos(k), 500 + 400 * math.sin(k)]
            for k in (2 * math.pi * i / count for i in range(count))
        ]
        return slab(outline={"shape": "polygon", "points": spokes})

    assert told(wheel(2000)) == {}
    assert told(wheel(2001)) == {"": "too_many"}


@pytest.mark.parametrize(
    ("value", "taken"),
    [
        (1, True),
        (1000, True),
        (0, False),
        (1001, False),
        (1.5, False),
        (True, False),
        ("2", False),
        (2.0, True),
    ],
)
def test_quantity_is_a_whole_number_from_1_to_1000(value: object, taken: bool) -> None:
    assert told(slab(quantity=value)) == (
        {} if taken else {"quantity": told(slab(quantity=value))["quantity"]}
    )


@pytest.mark.parametrize(
    ("change", "path"),
    [
        ({"colour": 1}, "colour"),
        ({"outline": rectangle(1000, 600, radius=3)}, "outline.radius"),
        ({"features": [opening(500, 300, depth=3)]}, "features[0].depth"),
        ({"features": [opening(500, 300, opening=3)]}, "features[0].opening"),
        (
            {"features": [trough(drains=[{"at": [500, 300], "diameter": 9, "shape": 1}])]},
            "features[0].drains[0].shape",
        ),
        ({"edges": [{"at": "top", "profile": "round", "size": 3, "side": 1}]}, "edges[0].side"),
        ({"lighting": {"strip": "S", "run": [[0, 0], [9, 9]], "watts": 9}}, "lighting.watts"),
    ],
)
def test_unknown_keys_are_refused_where_they_stand(change: Document, path: str) -> None:
    assert told(slab(**change)) == {path: "unknown_key"}


def test_an_unknown_key_is_answered_with_the_known_ones() -> None:
    (fault,) = faults(slab(outline=rectangle(1000, 600, corner_radios=3)))
    assert fault.message == "is not a known key; did you mean corner_radius?"
    (fault,) = faults(slab(outline=rectangle(1000, 600, x=3)))
    assert fault.message == "is not a known key; known here: shape, length, width, corner_radius"


@pytest.mark.parametrize(
    ("feature", "path"),
    [
        (trough(at=["x", 1]), "at[0]"),
        (trough(at=[1, 2, 3]), "at"),
        (trough(at=[[1, 2]]), "at"),
        (opening(1, 2) | {"at": [1, "y"]}, "at[1]"),
        (opening(1, 2) | {"at": [1, 2, 3]}, "at"),
        (opening(1, 2) | {"at": [[1, 2], [3]]}, "at[1]"),
        (opening(1, 2) | {"at": []}, "at"),
        (opening(1, 2) | {"shape": {"shape": "square"}}, "shape.shape"),
        (opening(1, 2) | {"shape": "round"}, "shape"),
        (opening(1, 2) | {"shape": rectangle(9, 9, corner_radius="x")}, "shape.corner_radius"),
        (opening(1, 2) | {"shape": rectangle(9, 9, corner_radius=[0, "x", 0, 0])}, "shape.corner_radius[1]"),
        (opening(1, 2) | {"shape": rectangle(9, 9, corner_radius=[0, 0])}, "shape.corner_radius"),
        (opening(1, 2) | {"turn": "90"}, "turn"),
        (
            opening(500, 300) | {"edges": [{"at": "top", "profile": "round", "size": 1, "sides": [0, 1.5]}]},
            "edges[0].sides[1]",
        ),
    ],
)
def test_paths_lead_to_the_value_as_written(feature: Document, path: str) -> None:
    assert [fault.path for fault in faults(slab(features=[feature]))] == [f"features[0].{path}"]


CODES = KnownCodes(
    mixes=["MIX-GREY", "MIX-LIGHT"],
    meshes=["MESH-50"],
    bars=["BAR-8"],
    materials=["GLASS-8", "INSERT-M8", "BASE-STEEL"],
    sealers=["SEAL-PEN"],
    strips=["STRIP-LED"],
    grits=[200, 400, 800, 1500],
)


def coded(mix: str, mesh: str, bar: str, glass: str, seal: str, strip: str, grit: int) -> Document:
    glazed = {"kind": "inlay", "at": [150, 100], "shape": rectangle(200, 80), "material": glass, "depth": 8}
    return slab(
        mix=mix,
        features=[trough(mix=mix), {**glazed, "ledge": 10, "backlit": True}],
        reinforcement={"mesh": mesh, "cover": 15, "bars": [{"bar": bar, "where": "trough"}]},
        finish={"grits": [200, grit], "sealer": seal},
        lighting={"strip": strip},
        extras=[{"material": glass, "quantity": 2}],
    )


def test_known_codes_are_taken_and_unknown_ones_answered_with_the_nearest() -> None:
    taken = coded("MIX-GREY", "MESH-50", "BAR-8", "GLASS-8", "SEAL-PEN", "STRIP-LED", 400)
    assert faults(taken, codes=CODES) == ()
    wrong = coded("MIX-GRAY", "mesh-60", "BAR", "GLAS-8", "SEAL", "LED", 500)
    assert faults(wrong) == ()
    assert [(fault.path, fault.message.split("; ")[1]) for fault in faults(wrong, codes=CODES)] == [
        ("mix", "the nearest is MIX-GREY"),
        ("features[0].mix", "the nearest is MIX-GREY"),
        ("features[1].material", "the nearest is GLASS-8"),
        ("reinforcement.mesh", "the nearest is MESH-50"),
        ("reinforcement.bars[0].bar", "the nearest is BAR-8"),
        ("finish.sealer", "the nearest is SEAL-PEN"),
        ("finish.grits[1]", "the nearest is 400"),
        ("lighting.strip", "the nearest is STRIP-LED"),
        ("extras[0].material", "the nearest is GLASS-8"),
    ]
    (fault, *_) = faults(wrong, codes=KnownCodes())
    assert fault.message == 'no mix "MIX-GRAY" exists; there is none in the catalogue'


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("", "is not JSON"),
        ("{", "is not JSON"),
        ('{"unit": "mm", "unit": "in"}', 'the key "unit" twice'),
        ("[" * 100_000, "nested too deeply"),
        ("[" * 21 + "]" * 21, "more than 20 levels"),
        ("9" * 5000, "too long"),
        ('{"name": "a\\u0000b"}', "holds NUL"),
        ('{"name": "\\ud800"}', "half a character"),
        (b"\xff", "UTF-8"),
        (" " * 1_000_001, "larger than 1 MB"),
    ],
)
def test_what_is_no_sound_json_is_refused(text: str | bytes, why: str) -> None:
    with pytest.raises(Refused, match=why):
        parse_json(text)


def test_sound_json_is_decoded() -> None:
    assert parse_json(b'\xef\xbb\xbf{"a": [1, 2.5, "x", null]}') == {"a": [1, 2.5, "x", None]}
    assert parse_json("[" * 20 + "]" * 20)


@pytest.mark.parametrize("number", ["NaN", "Infinity", "-Infinity", "1e999"])
def test_what_is_no_number_is_refused_where_it_stands(number: str) -> None:
    text = json.dumps(slab(thickness=40)).replace('"thickness": 40', f'"thickness": {number}')
    with pytest.raises(Refused) as refused:
        parse_piece(parse_json(text))
    assert [fault.path for fault in refused.value.faults] == ["thickness"]
