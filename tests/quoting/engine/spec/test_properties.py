"""Whatever JSON comes in: a piece or a refusal, and a piece survives being written down."""

from __future__ import annotations

import dataclasses
import json
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from quoting.engine.errors import Refused
from quoting.engine.spec.cautions import cautions
from quoting.engine.spec.document import PieceDocument, piece_document
from quoting.engine.spec.parse import KnownCodes, parse_json, parse_piece
from tests.quoting.engine.spec.pieces import Document, slab

EXAMPLES = sorted((Path(__file__).parents[4] / "fixtures" / "specifications").glob("*.json"))
CODES = KnownCodes(
    mixes=["MIX-GREY", "MIX-LIGHT"],
    meshes=["MESH-50"],
    bars=["BAR-8"],
    materials=["GLASS-8", "INSERT-M8", "BASE-STEEL"],
    sealers=["SEAL-PEN"],
    strips=["STRIP-LED"],
    grits=[200, 400, 800, 1500],
)

scalars = (
    st.none()
    | st.booleans()
    | st.integers(min_value=-(10**30), max_value=10**30)
    | st.integers(min_value=0, max_value=2000)
    | st.floats()
    | st.text(max_size=8)
    | st.sampled_from(
        ["38 mm", "1 1/2 in", "all", "top", "inlays", "round", "opening", "face-up", "MIX-GREY"]
    )
)
json_values = st.recursive(
    scalars,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=8), inner, max_size=4),
    max_leaves=12,
)


@given(json_values)
def test_any_value_is_a_piece_or_a_refusal(value: object) -> None:
    with pytest.raises(Refused) as refused:
        parse_piece(value)
    assert all(fault.message for fault in refused.value.faults)


def places(value: object, at: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    """Every place in a document, by its keys."""
    inside: list[tuple[Any, Any]] = []
    if isinstance(value, dict):
        inside = list(value.items())
    elif isinstance(value, list):
        inside = list(enumerate(value))
    return [at, *(place for key, part in inside for place in places(part, (*at, key)))]


def spoilt(document: Any, place: tuple[Any, ...], value: object) -> Any:
    """A copy of a document with another value at one place."""
    if not place:
        return value
    copy = document.copy()
    copy[place[0]] = spoilt(document[place[0]], place[1:], value)
    return copy


LOADED = [json.loads(path.read_text(encoding="utf-8")) for path in EXAMPLES]


@settings(suppress_health_check=[HealthCheck.too_slow], deadline=None, max_examples=300)
@given(st.data())
def test_a_spoilt_example_is_a_piece_or_a_refusal(data: st.DataObject) -> None:
    document = data.draw(st.sampled_from(LOADED))
    for _ in range(data.draw(st.integers(min_value=1, max_value=3))):
        document = spoilt(document, data.draw(st.sampled_from(places(document))), data.draw(json_values))
    try:
        piece = parse_piece(document, codes=CODES, system=data.draw(st.sampled_from(["metric", "us"])))
    except Refused as refused:
        assert all(fault.message for fault in refused.faults)
    else:
        cautions(piece)
        assert_survives(piece_document(piece))


def assert_survives(document: Document) -> None:
    piece = parse_piece(document)
    assert parse_piece(json.loads(json.dumps(piece_document(piece)))) == dataclasses.replace(piece, unit="mm")


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_every_example_is_castable_with_the_starter_codes(path: Path) -> None:
    document = parse_json(path.read_bytes())
    parse_piece(document, codes=CODES)
    assert isinstance(document, dict)
    assert_survives(document)


def test_there_is_an_example_of_every_shape_and_kind() -> None:
    shapes, kinds = set(), set()
    for document in LOADED:
        shapes |= {document["outline"]["shape"]}
        for feature in document.get("features", []):
            kinds.add(feature["kind"])
            shapes |= {feature["shape"]["shape"]} if "shape" in feature else set()
    assert shapes == {"rectangle", "round", "oval", "slot", "ell", "polygon"}
    assert kinds == {"opening", "inlay", "recess", "groove", "sleeve", "insert", "trough"}


sizes = st.floats(min_value=300, max_value=3000, allow_nan=False).map(lambda size: round(size, 3))


@settings(deadline=None)
@given(
    st.sampled_from(["mm", "cm", "m", "in", "ft"]),
    sizes,
    sizes,
    st.lists(st.tuples(sizes, sizes), min_size=1, max_size=3),
    st.sampled_from(["rectangle", "oval", "slot"]),
)
def test_any_piece_survives_being_written_down(
    unit: str, length: float, width: float, centres: list[tuple[float, float]], shape: str
) -> None:
    document = slab(
        unit=unit,
        thickness="40 mm",
        outline={"shape": shape, "length": f"{length} mm", "width": f"{width} mm"},
        features=[
            {"kind": "insert", "at": [[f"{x} mm", f"{y} mm"] for x, y in centres], "material": "INSERT-M8"}
        ],
    )
    try:
        parse_piece(document)
    except Refused:
        return
    assert_survives(document)


def test_the_schema_tells_the_unions_apart_and_forbids_other_keys() -> None:
    schema = PieceDocument.model_json_schema()
    assert schema["additionalProperties"] is False
    assert set(schema["required"]) == {"format", "name", "unit", "thickness", "outline"}
    outline = schema["properties"]["outline"]
    assert set(outline["discriminator"]["mapping"]) == {
        "rectangle",
        "round",
        "oval",
        "slot",
        "ell",
        "polygon",
    }
