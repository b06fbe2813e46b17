"""What the buttons of the piece form do."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Any

import pytest

from quoting.engine.spec.codes import KnownCodes
from quoting.engine.spec.parse import parse_piece
from quoting.web.changes import completed, in_unit, with_feature, with_new, without
from quoting.web.entries import FEATURES, PARTS, SHAPES
from quoting.web.examples import examples
from quoting.web.starting import plain_slab

CODES = KnownCodes(
    mixes=("MIX-A",), meshes=("MESH-A",), bars=("BAR-A",), materials=("GLASS-A",), strips=("STRIP-A",)
)

LIT = {
    "kind": "inlay", "at": [[300, 300]], "shape": {"shape": "round", "diameter": 100},
    "material": "GLASS-A", "depth": 8, "ledge": 12, "backlit": True,
}  # fmt: skip


def slab(**changes: Any) -> dict[str, Any]:
    return plain_slab({"shape": "rectangle", "length": "1400", "width": "900", "thickness": "60"}) | changes


@pytest.mark.parametrize("kind", FEATURES)
@pytest.mark.parametrize("unit", ["mm", "in"])
def test_a_new_feature_can_be_cast_at_once(kind: str, unit: str) -> None:
    changed = with_feature(in_unit(slab(), unit), kind, CODES)
    assert len(parse_piece(changed).features) == 1


@pytest.mark.parametrize("other", ["mm", "cm", "m", "ft"])
@pytest.mark.parametrize("inches", ["1/16", "1/8", "1 3/16", "4 3/8", "36 11/16", 60, "60 1/2"])
def test_inches_come_back_from_another_unit_as_they_were_typed(inches: str | int, other: str) -> None:
    """4 3/8 in once came back from millimetres as 4.3748."""
    there = in_unit(slab(unit="in", thickness=inches), other)
    assert in_unit(there, "in")["thickness"] == inches


@pytest.mark.parametrize("millimetres", [3, 38, 40.5, 111.12, 2100, 1537])
@pytest.mark.parametrize("other", ["cm", "m", "in", "ft"])
def test_millimetres_come_back_from_another_unit_as_they_were_typed(millimetres: float, other: str) -> None:
    there = in_unit(slab(thickness=millimetres), other)
    assert in_unit(there, "mm")["thickness"] == millimetres


def sizes_in(part: Any) -> list[str]:
    """Every number and text of a part, as its field shows it."""
    if isinstance(part, dict):
        return [size for value in part.values() for size in sizes_in(value)]
    return [size for value in part for size in sizes_in(value)] if isinstance(part, list) else [str(part)]


@pytest.mark.parametrize("unit", ["in", "ft"])
def test_in_inches_every_new_part_begins_with_what_a_tape_shows(unit: str) -> None:
    """Not with 3.5433 for 90 mm: whole inches and binary parts, a decimal only for a half or a quarter."""
    bare = {"name": "", "unit": unit, "outline": {"shape": "rectangle", "length": 8, "width": 4}}
    begun: list[Any] = [with_feature(bare, kind, CODES)["features"] for kind in FEATURES]
    begun += [with_new(bare, part, CODES, "us")[part] for part in ("drop_edge", "reinforcement", "lighting")]
    begun += [completed(bare | {"outline": {"shape": shape}})["outline"] for shape in SHAPES]
    odd = [size for size in sizes_in(begun) if re.search(r"[.]\d{3,}", size)]
    assert not odd or (unit == "ft" and odd == ["0.2083", "7.792"])  # ends of a groove's path, as points
    drop = with_new(bare, "drop_edge", CODES)["drop_edge"]
    told = {"in": ("3 1/2", "1 3/8"), "ft": ("3 1/2 in", "1 3/8 in")}[unit]
    assert (drop["depth"], drop["thickness"]) == told


def test_a_new_inlay_or_insert_begins_with_a_material_meant_for_it() -> None:
    """It once began as a bag of concrete, the first code of all."""
    known = replace(CODES, materials=("BAG", "GLASS", "NUT"), inlays=("GLASS",), inserts=("NUT",))
    assert [with_feature(slab(), kind, known)["features"][0]["material"] for kind in ("inlay", "insert")] == [
        *("GLASS", "NUT"),
    ]
    assert with_feature(slab(), "insert", CODES)["features"][0]["material"] == "GLASS-A"


def test_an_unknown_kind_changes_nothing() -> None:
    assert with_feature(slab(), "chimney", CODES) == slab()


@pytest.mark.parametrize("part", [*PARTS, "edges", "extras"])
def test_a_new_part_can_be_cast_at_once(part: str) -> None:
    bare = slab(edges=[], features=[LIT])
    changed = with_new(bare, part, CODES)
    assert parse_piece(changed) != parse_piece(bare) or part == "finish"
    assert changed[part]


def test_a_delivery_starts_from_a_round_number_of_the_shops_own_unit() -> None:
    assert with_new(slab(), "delivery", CODES)["delivery"]["distance_km"] == 10
    assert with_new(slab(), "delivery", CODES, "us")["delivery"]["distance_km"] == 16.09344  # 10 miles


def test_drains_bars_and_rims_are_added_inside_their_part() -> None:
    trough = with_feature(slab(), "trough", CODES)
    drained = with_new(trough, "features[0].drains", CODES)
    assert parse_piece(drained).features[0].drains  # type: ignore[union-attr]
    steel = with_new(with_new(slab(), "reinforcement", CODES), "reinforcement.bars", CODES)
    assert steel["reinforcement"]["bars"] == [{"bar": "BAR-A", "where": "outline", "rows": 1}]
    rim = with_new(with_feature(slab(), "opening", CODES), "features[0].edges", CODES)
    assert len(rim["features"][0]["edges"]) == 1


@pytest.mark.parametrize("path", ["features[7].drains", "nothing.edges", "features[x].edges", "chimney", ""])
def test_a_path_to_nothing_adds_and_takes_nothing(path: str) -> None:
    assert with_new(slab(), path, CODES) == slab()
    assert without(slab(), path) == slab()


def test_parts_are_taken_out() -> None:
    table = examples()["reading-room-table"]
    assert [f["kind"] for f in without(table, "features[1]")["features"]] == ["trough", "sleeve"]
    assert "lighting" not in without(table, "lighting")
    assert len(without(table, "features[0].drains[1]")["features"][0]["drains"]) == 1
    assert len(table["features"]) == 3, "the document given is left as it was"


@pytest.mark.parametrize("shape", SHAPES)
def test_another_shape_gets_its_missing_sizes(shape: str) -> None:
    assert parse_piece(completed(slab(outline={"shape": shape}, edges=[])))


@pytest.mark.parametrize("name", [n for n, d in examples().items() if d["unit"] == "mm"])
def test_millimetres_to_inches_and_back_is_the_same_to_a_hundredth(name: str) -> None:
    document = examples()[name]
    back = in_unit(in_unit(document, "in"), "mm")
    assert _numbers(back) == pytest.approx(_numbers(document), abs=0.01)


def test_inches_are_written_as_a_maker_reads_them() -> None:
    inches = in_unit(slab(thickness=38.1, outline={"shape": "round", "diameter": 762}), "in")
    assert (inches["unit"], inches["thickness"], inches["outline"]["diameter"]) == ("in", "1 1/2", 30)


def test_a_length_with_its_own_unit_stays() -> None:
    assert in_unit(slab(thickness="4 cm"), "in")["thickness"] == "4 cm"


@pytest.mark.parametrize("unit", ["furlong", "mm"])
def test_no_other_unit_no_change(unit: str) -> None:
    assert in_unit(slab(), unit) == slab()


def _numbers(value: Any) -> list[float]:
    if isinstance(value, dict):
        return [number for key in sorted(value) for number in _numbers(value[key])]
    if isinstance(value, list):
        return [number for part in value for number in _numbers(part)]
    return [float(value)] if isinstance(value, int | float) else []
