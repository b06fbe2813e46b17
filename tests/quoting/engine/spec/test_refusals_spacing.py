"""Ten millimetres of concrete around every feature, from both sides of the limit."""

from __future__ import annotations

import math

import pytest

from tests.quoting.engine.spec.pieces import Document, faults, opening, rectangle, slab, told, trough

DIAGONAL = math.sqrt(0.5)


@pytest.mark.parametrize(
    ("x", "y", "edge"),
    [(500, 60, "front"), (940, 300, "right"), (500, 540, "back"), (60, 300, "left")],
)
def test_an_opening_keeps_10_mm_from_each_edge(x: float, y: float, edge: str) -> None:
    assert told(slab(features=[opening(x, y)])) == {}
    dx, dy = {"front": (0, -1), "right": (1, 0), "back": (0, 1), "left": (-1, 0)}[edge]
    (fault,) = faults(slab(features=[opening(x + 0.01 * dx, y + 0.01 * dy)]))
    assert (fault.path, fault.code) == ("features[0].at", "too_close")
    assert fault.message == f"the opening comes within 9.9 mm of the {edge} edge; keep 10 mm or more"


def test_the_readers_units_stay_on_the_safe_side() -> None:
    (fault,) = faults(slab(features=[opening(500, 56)]), "us")
    assert fault.message == "the opening comes within 3/16 in of the front edge; keep 7/16 in or more"


def test_outside_and_over_the_edge_are_told_apart() -> None:
    (outside,) = faults(slab(features=[opening(500, 900)]))
    assert outside.message == "the opening lies outside the outline; keep 10 mm or more inside it"
    (over,) = faults(slab(features=[opening(500, 590)]))
    assert over.message == "the opening reaches over the back edge; keep 10 mm or more clear of it"
    assert {outside.code, over.code} == {"outside"}


@pytest.mark.parametrize("radius", [50.0, 500.0, 4000.0])
def test_circles_are_measured_as_circles(radius: float) -> None:
    """A sleeve in a round slab off centre by R − 10 − r touches the limit exactly, in any direction."""
    disc = slab(outline={"shape": "round", "diameter": 2 * radius})
    reach = radius - 10 - 15
    for off, taken in ((reach, True), (reach + 0.01, False)):
        at = [radius + off * DIAGONAL, radius + off * DIAGONAL]
        document = {**disc, "features": [{"kind": "sleeve", "at": at, "diameter": 30}]}
        assert told(document) == ({} if taken else {"features[0].at": "too_close"})


def test_rounded_corners_are_measured_as_arcs() -> None:
    """In a corner of radius 200 about (200, 200) a sleeve of radius 15 may stray 200 − 10 − 15 from there."""
    rounded = slab(outline=rectangle(1000, 600, corner_radius=200))
    for off, taken in ((175, True), (175.01, False)):
        at = [200 - off * DIAGONAL, 200 - off * DIAGONAL]
        document = {**rounded, "features": [{"kind": "sleeve", "at": at, "diameter": 30}]}
        assert told(document) == ({} if taken else {"features[0].at": "too_close"})


def test_an_oval_is_measured_as_an_ellipse() -> None:
    """At the end of its long axis, half axes 500 and 300, the gap is along that axis."""
    oval = slab(outline={"shape": "oval", "length": 1000, "width": 600})
    for x, taken in ((975, True), (975.01, False)):
        document = {**oval, "features": [{"kind": "sleeve", "at": [x, 300], "diameter": 30}]}
        assert told(document) == ({} if taken else {"features[0].at": "too_close"})


def test_an_ell_knows_the_edges_of_its_notch() -> None:
    shape = {"shape": "ell", "length": 1000, "width": 600, "notch_length": 500, "notch_width": 300}
    document = slab(outline={**shape, "notch": "back-right"}, features=[opening(700, 245)])
    assert faults(document)[0].message.startswith("the opening comes within 5 mm of the edge (side 2)")


@pytest.mark.parametrize("apart", [10.0, 9.99])
def test_features_keep_10_mm_from_each_other(apart: float) -> None:
    document = slab(features=[opening(200, 300), opening(300 + apart, 300)])
    expected = {} if apart >= 10 else {"features[1].at": "too_close"}
    assert told(document) == expected
    sleeves = [[200, 300], [200 + (30 + apart) * DIAGONAL, 300 + (30 + apart) * DIAGONAL]]
    together = slab(features=[{"kind": "sleeve", "at": sleeves, "diameter": 30}])
    assert told(together) == ({} if apart >= 10 else {"features[0].at[1]": "too_close"})


def test_every_pair_is_told_with_the_other_ones_place() -> None:
    document = slab(features=[opening(200, 300), opening(305, 300), opening(300, 350)])
    keep = "keep 10 mm or more between them"
    assert [(fault.path, fault.message) for fault in faults(document)] == [
        ("features[1].at", f"the opening comes within 5 mm of the opening at features[0].at; {keep}"),
        ("features[2].at", f"the opening runs into the opening at features[0].at; {keep}"),
        ("features[2].at", f"the opening runs into the opening at features[1].at; {keep}"),
    ]


@pytest.mark.parametrize(
    "other",
    [
        {"kind": "insert", "at": [300, 300], "material": "INSERT-M8"},
        {"kind": "sleeve", "at": [310, 300], "diameter": 20},
        {"kind": "recess", "at": [350, 300], "shape": rectangle(100, 50), "depth": 10},
        {"kind": "recess", "at": [350, 300], "shape": rectangle(100, 50), "depth": 10, "face": "underside"},
        {
            "kind": "inlay",
            "at": [350, 300],
            "shape": rectangle(50, 100),
            "depth": 8,
            "material": "GLASS-8",
            "turn": 90,
        },
        {"kind": "groove", "path": [[300, 300], [500, 300]], "width": 20, "depth": 8},
    ],
    ids=["insert", "sleeve", "recess", "recess below", "turned inlay", "groove"],
)
def test_every_kind_keeps_clear(other: Document) -> None:
    assert told(slab(features=[opening(240, 300), other])) == {}
    place = "features[1].path" if other["kind"] == "groove" else "features[1].at"
    assert told(slab(features=[opening(240.01, 300), other])) == {place: "too_close"}


def test_a_trough_counts_with_its_walls_below_and_its_mouth_above() -> None:
    """Mouth 300…700, walls out to 275…725."""
    sleeve = {"kind": "sleeve", "at": [745, 300], "diameter": 20}
    assert told(slab(features=[trough(), sleeve])) == {}
    assert told(slab(features=[trough(), {**sleeve, "at": [744.9, 300]}])) == {"features[1].at": "too_close"}
    recess = {"kind": "recess", "at": [760, 300], "shape": rectangle(100, 50), "depth": 10}
    assert told(slab(features=[trough(), recess])) == {}
    assert told(slab(features=[trough(), {**recess, "at": [759.9, 300]}])) == {"features[1].at": "too_close"}
    assert told(slab(features=[trough(), {**recess, "face": "underside"}])) == {"features[1].at": "too_close"}


def test_a_troughs_walls_keep_clear_of_the_edge() -> None:
    assert told(slab(features=[trough(at=[500, 135])])) == {}
    (fault,) = faults(slab(features=[trough(at=[500, 134])]))
    assert (
        fault.message == "the trough with its walls comes within 9 mm of the front edge; keep 10 mm or more"
    )


DROP = {"depth": 100, "thickness": 50, "sides": [0]}


@pytest.mark.parametrize(
    "feature",
    [
        {"kind": "insert", "at": [500, 60], "material": "INSERT-M8"},
        {"kind": "sleeve", "at": [500, 75], "diameter": 30},
        {"kind": "groove", "path": [[100, 65], [900, 65]], "width": 10, "depth": 8},
        {
            "kind": "inlay",
            "at": [500, 100],
            "shape": rectangle(200, 100),
            "material": "GLASS-8",
            "depth": 8,
            "ledge": 10,
            "backlit": True,
        },
        trough(at=[500, 185]),
    ],
    ids=["insert", "sleeve", "groove", "through part of an inlay", "trough"],
)
def test_the_drop_edges_inner_face_is_an_edge_below(feature: Document) -> None:
    assert told(slab(features=[feature], drop_edge=DROP)) == {}
    (fault,) = faults(slab(features=[feature], drop_edge={**DROP, "thickness": 50.01}))
    assert fault.message.startswith(f"the {feature['kind']}")
    assert "of the inner face of the drop edge" in fault.message
    assert told(slab(features=[feature], drop_edge={**DROP, "sides": [2]})) == {}


def test_a_pocket_on_top_may_lie_over_the_drop_edge() -> None:
    recess = {"kind": "recess", "at": [500, 40], "shape": rectangle(100, 50), "depth": 10}
    assert told(slab(features=[recess], drop_edge=DROP)) == {}


def test_a_heap_of_features_is_refused_quickly_and_briefly() -> None:
    heap = slab(features=[{"kind": "sleeve", "at": [[500, 300]] * 2000, "diameter": 30}])
    assert len(faults(heap)) == 200


def test_faults_of_an_impossible_outline_are_told_alone() -> None:
    document = slab(outline=rectangle(1000, 600, corner_radius=400), features=[opening(500, 1900)])
    assert told(document) == {"outline.corner_radius": "radius_too_large"}
