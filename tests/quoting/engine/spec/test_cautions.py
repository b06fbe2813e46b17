"""What is cast with a warning, from both sides of each limit."""

from __future__ import annotations

from pathlib import Path

import pytest

from quoting.engine.spec.cautions import cautions
from quoting.engine.spec.parse import parse_json, parse_piece
from tests.quoting.engine.spec.pieces import Document, opening, rectangle, slab, trough

EXAMPLES = Path(__file__).parents[4] / "fixtures" / "specifications"


def seen(document: Document) -> list[tuple[str, str]]:
    return [(caution.code, caution.path) for caution in cautions(parse_piece(document))]


def round_hole(x: float, diameter: float = 300) -> Document:
    return {"kind": "opening", "at": [x, 300], "shape": {"shape": "round", "diameter": diameter}}


def recess(depth: float) -> Document:
    return {"kind": "recess", "at": [500, 300], "shape": {"shape": "round", "diameter": 90}, "depth": depth}


def test_a_plain_slab_needs_no_caution() -> None:
    assert seen(slab()) == []


@pytest.mark.parametrize(
    ("document", "code", "path"),
    [
        (slab(thickness=24.9), "thin_slab", "thickness"),
        (slab(reinforcement={"mesh": "M", "cover": 14.1}), "little_room_for_mesh", "reinforcement.cover"),
        (slab(outline=rectangle(1001, 600)), "unreinforced", "reinforcement"),
        (slab(reinforcement={"mesh": "M", "cover": 9.9}), "little_cover", "reinforcement.cover"),
        (slab(drop_edge={"depth": 90, "thickness": 24.9}), "thin_drop_edge", "drop_edge.thickness"),
        (slab(edges=[{"at": "top", "profile": "chamfer", "size": 37.1}]), "knife_edge", "edges[0].size"),
        (slab(features=[recess(25.1)]), "thin_behind_pocket", "features[0].depth"),
        (slab(features=[trough(corner_radius=20)]), "no_taper", "features[0].taper"),
        (slab(features=[trough(taper=3)]), "sharp_inner_corner", "features[0].corner_radius"),
        (slab(features=[trough(taper=3, corner_radius=9, wall=19)]), "thin_trough", "features[0].wall"),
        (slab(features=[opening(500, 300, 90, 90)]), "sharp_inner_corner", "features[0].shape"),
        (slab(features=[round_hole(199.9)]), "narrow_strip", "features[0].at"),
        (slab(finish={"grits": [400, 200]}), "grit_order", "finish.grits"),
        (slab(finish={"faces": ["trough"]}), "no_trough", "finish.faces"),
    ],
)
def test_a_risk_is_told_once_with_its_place(document: Document, code: str, path: str) -> None:
    assert (code, path) in seen(document)
    told = next(caution for caution in cautions(parse_piece(document)) if caution.code == code)
    assert told.text.endswith(".")
    assert told.source


@pytest.mark.parametrize(
    "document",
    [
        slab(thickness=25),
        slab(reinforcement={"mesh": "M", "cover": 14}),
        slab(outline=rectangle(1000, 600)),
        slab(reinforcement={"mesh": "M", "cover": 10}),
        slab(drop_edge={"depth": 90, "thickness": 25}),
        slab(edges=[{"at": "top", "profile": "chamfer", "size": 37}]),
        slab(
            edges=[
                {"at": "top", "profile": "chamfer", "size": 30, "sides": [0]},
                {"at": "bottom", "profile": "chamfer", "size": 30, "sides": [1]},
            ]
        ),
        slab(features=[recess(25)]),
        slab(features=[trough(taper=3, corner_radius=20)]),
        slab(features=[opening(500, 300, 90, 90) | {"shape": rectangle(90, 90, corner_radius=3)}]),
        slab(features=[round_hole(200)]),
        slab(finish={"grits": [200, 400], "faces": ["show"]}),
    ],
)
def test_nothing_is_told_on_the_safe_side(document: Document) -> None:
    assert seen(document) == []


def test_long_and_slender_pieces() -> None:
    mesh = {"mesh": "M", "cover": 12}
    assert seen(slab(outline=rectangle(2400, 600), reinforcement=mesh)) == []
    assert seen(slab(outline=rectangle(2401, 600), reinforcement=mesh)) == [("slender", "thickness")]
    assert seen(slab(thickness=60, outline=rectangle(3001, 600), reinforcement=mesh)) == [
        ("long_piece", "outline")
    ]


@pytest.mark.parametrize(
    ("system", "told"), [("metric", "two crossing wires of 6 mm take 12 mm"), ("us", "of 1/4 in take 1/2 in")]
)
def test_the_room_for_a_mesh_is_told_in_the_readers_units(system: str, told: str) -> None:
    piece = parse_piece(slab(reinforcement={"mesh": "M", "cover": 14.1}))
    (caution,) = cautions(piece, system)
    assert caution.source.endswith(told)


def test_strips_between_two_voids() -> None:
    assert seen(slab(features=[round_hole(250), round_hole(600)])) == []
    assert seen(slab(features=[round_hole(250), round_hole(599.9)])) == [("narrow_strip", "features[1].at")]
    # Beside a sleeve as much as the slab is thick is enough.
    assert seen(slab(features=[round_hole(250), round_hole(460, 40)])) == []
    assert seen(slab(features=[round_hole(250), round_hole(459.9, 40)])) == [
        ("narrow_strip", "features[1].at")
    ]


def test_the_narrowest_strip_of_a_feature_is_told() -> None:
    sleeves = {"kind": "sleeve", "at": [[200, 300], [270, 300], [335, 300]], "diameter": 40}
    (caution,) = cautions(parse_piece(slab(features=[sleeves])))
    assert caution.path == "features[0].at[2]"
    assert caution.text.startswith(
        "Only 25 mm of concrete stays between the sleeve (feature 1, centre 3) and the sleeve "
        "(feature 1, centre 2): "
    )


def test_corners_of_outlines() -> None:
    ell = {
        "shape": "ell",
        "length": 900,
        "width": 600,
        "notch_length": 300,
        "notch_width": 300,
        "notch": "back-left",
    }
    assert seen(slab(outline=ell)) == [("sharp_inner_corner", "outline")]
    assert seen(slab(outline={**ell, "corner_radius": 3})) == []
    wedge = {"shape": "polygon", "points": [[0, 0], [900, 0], [0, 850]]}
    assert seen(slab(outline=wedge)) == [("acute_corner", "outline")]
    assert seen(slab(outline={**wedge, "points": [[0, 0], [900, 0], [0, 900]]})) == []
    assert seen(slab(outline={**wedge, "corner_radius": 3})) == []


def test_backlit_sheets() -> None:
    sheet = {
        "kind": "inlay",
        "at": [500, 300],
        "shape": {"shape": "round", "diameter": 100},
        "material": "G",
        "depth": 8,
        "ledge": 8,
        "backlit": True,
    }
    assert seen(slab(features=[sheet])) == []
    assert seen(slab(features=[{**sheet, "ledge": 7.9}])) == [("thin_ledge", "features[0].ledge")]
    assert seen(slab(features=[sheet], cast="face-up")) == [("face_up_inlay", "features[0]")]


def test_the_main_examples_are_told_their_risks() -> None:
    def codes(name: str) -> list[str]:
        piece = parse_piece(parse_json((EXAMPLES / f"{name}.json").read_bytes()))
        return [caution.code for caution in cautions(piece)]

    assert codes("reading-room-table") == []
    assert codes("cafe-counter") == ["narrow_strip"]
    assert codes("feature-opening") == ["unreinforced"]
