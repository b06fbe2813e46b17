"""The piece form says the document it shows, and keeps what it cannot read."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from quoting.engine.errors import Fault, Refused
from quoting.engine.spec.codes import KnownCodes
from quoting.engine.spec.parse import parse_piece
from quoting.web.entries import Entry
from quoting.web.examples import examples
from quoting.web.fields import FormMaker
from quoting.web.forms_piece import document_of
from quoting.web.spelling import text_of, value_of
from tests.quoting.web.typed import typed


@pytest.mark.parametrize("name", examples())
def test_every_example_survives_its_form(name: str) -> None:
    document = examples()[name]
    assert parse_piece(document_of(typed(document))) == parse_piece(document)


@pytest.mark.parametrize(
    ("kind", "text", "value"),
    [
        ("length", "38", 38),
        ("length", "38.5", 38.5),
        ("length", " 1 1/2 in ", "1 1/2 in"),
        ("length", "", None),
        ("length", "1e400", "1e400"),
        ("point", "10, 20", [10, 20]),
        ("points", "10, 20; 30, 1/2", [[10, 20], [30, "1/2"]]),
        ("sides", "all", "all"),
        ("sides", "0, 2", [0, 2]),
        ("lengths", "30", 30),
        ("lengths", "10, 30, 30, 10", [10, 30, 30, 10]),
        ("numbers", "200, 400", [200, 400]),
        ("words", "show, sides", ["show", "sides"]),
        ("run", "inlays", "inlays"),
        ("run", "0, 0; 5, 5", [[0, 0], [5, 5]]),
        ("tick", "on", True),
        ("tick", "", False),
    ],
)
def test_a_field_reads(kind: Any, text: str, value: Any) -> None:
    assert value_of(Entry("key", "Label", kind), text) == value


@pytest.mark.parametrize("value", [{"a": 1}, [[{"b": 2}]], True, 1e30, "x", [None, [1]], -0.0])
@pytest.mark.parametrize("kind", ["text", "length", "points", "sides", "tick", "run"])
def test_a_field_has_a_text_for_anything(kind: Any, value: Any) -> None:
    assert isinstance(text_of(Entry("key", "Label", kind), value), str)


def test_what_cannot_be_read_is_kept_and_refused_at_its_path() -> None:
    sent = typed(examples()["reading-room-table"]) | {"thickness": "forty", "features[1].at": "here"}
    document = document_of(sent)
    assert document["thickness"] == "forty"
    with pytest.raises(Refused) as refused:
        parse_piece(document)
    paths = {fault.path for fault in refused.value.faults}
    assert "thickness" in paths
    assert any(path.startswith("features[1].at") for path in paths)


def test_a_fault_stands_at_its_field() -> None:
    fault = Fault("features[1].at[0]", "too near the edge", "too_close")
    maker = FormMaker.of(KnownCodes(), {}, [fault])
    features = maker.groups(examples()["reading-room-table"])[4]
    centre = features.groups[1].fields[0]
    assert (centre.name, centre.faults) == ("features[1].at", ("too near the edge",))


def test_features_are_numbered_without_gaps() -> None:
    sent = {"features[3].kind": "sleeve", "features[11].kind": "insert", "features[x].kind": "trough"}
    assert [feature["kind"] for feature in document_of(sent)["features"]] == ["sleeve", "insert"]


@pytest.mark.parametrize("broken", [{}, {"outline": 3, "features": "no", "edges": [4]}, {"features": [None]}])
def test_a_broken_document_still_has_a_form(broken: dict[str, Any]) -> None:
    assert FormMaker.of(KnownCodes(), {}, ()).groups(broken)


def test_a_code_the_catalogue_lost_stays_chosen() -> None:
    codes = KnownCodes(mixes=("MIX-A",))
    piece = FormMaker.of(codes, {}, ()).groups({"mix": "MIX-OLD"})[0]
    mix = next(field for field in piece.fields if field.name == "mix")
    assert mix.text == "MIX-OLD"
    assert ("MIX-OLD", "MIX-OLD (unknown)") in mix.choices


def test_an_absent_part_is_absent() -> None:
    hearth = parse_piece(examples()["hearth"])
    sent = {name: text for name, text in typed(examples()["hearth"]).items() if not name.startswith("finish")}
    assert parse_piece(document_of(sent)) == replace(hearth, finish=None)


def delivered(distance_km: Any) -> dict[str, Any]:
    return examples()["hearth"] | {"delivery": {"distance_km": distance_km, "steps": 0}}


def the_distance(document: dict[str, Any], system: str) -> Any:
    maker = FormMaker.of(KnownCodes(), {}, (), system)
    (part,) = [group for group in maker.groups(document) if group.path == "delivery"]
    return next(field for field in part.fields if field.name == "delivery.distance_km")


@pytest.mark.parametrize(
    ("distance_km", "metric", "us"),
    [
        (24.14016, "24.14016", "15"),
        (24.944832, "24.944832", "15.5"),
        (24, "24", "24 km"),
        (0, "0", "0"),
        (7.123456789, "7.123456789", "7.123456789 km"),
        ("far", "far", "far"),
        (True, "true", "true"),
    ],
)
def test_a_way_is_shown_and_read_back_in_the_shops_unit(distance_km: Any, metric: str, us: str) -> None:
    """What is left as it was shown stays exactly what it was."""
    document = delivered(distance_km)
    for system, text, label in (("metric", metric, "Distance, km"), ("us", us, "Distance, miles")):
        field = the_distance(document, system)
        assert (field.text, field.label) == (text, label)
        again = document_of(typed(document, system))
        if isinstance(distance_km, int | float) and not isinstance(distance_km, bool):
            assert again["delivery"]["distance_km"] == distance_km


@pytest.mark.parametrize(
    ("text", "system", "distance_km"),
    [
        ("15", "us", 24.14016),
        ("15 miles", "metric", 24.14016),
        ("15 mi", "us", 24.14016),
        ("24 km", "us", 24),
        ("24", "metric", 24),
        ("-3", "us", -4.828032),
        ("15 ft", "us", "15 ft"),
        ("1e9", "us", "1e9"),
    ],
)
def test_a_way_as_it_is_typed(text: str, system: str, distance_km: Any) -> None:
    sent = typed(delivered(1), system) | {"delivery.distance_km": text}
    assert document_of(sent)["delivery"]["distance_km"] == distance_km


def test_no_way_is_left_out() -> None:
    sent = typed(delivered(1), "us") | {"delivery.distance_km": " "}
    assert "distance_km" not in document_of(sent)["delivery"]
