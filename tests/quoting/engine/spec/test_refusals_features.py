"""What one shape or feature is refused for, from both sides of each limit."""

from __future__ import annotations

import math
from typing import Any

import pytest

from tests.quoting.engine.spec.pieces import Document, faults, opening, rectangle, slab, told, trough

BOW_TIE: list[list[float]] = [[0, 0], [400, 400], [400, 0], [0, 300]]


def with_feature(**feature: Any) -> Document:
    return slab(features=[feature])


@pytest.mark.parametrize(
    ("shape", "path"),
    [
        (rectangle(1000, 600, corner_radius=300), None),
        (rectangle(1000, 600, corner_radius=300.01), "outline.corner_radius"),
        (rectangle(1000, 600, corner_radius=[0, 300, 0, 0]), None),
        (rectangle(1000, 600, corner_radius=[0, 300.01, 0, 0]), "outline.corner_radius[1]"),
    ],
)
def test_a_radius_is_at_most_half_a_side(shape: Document, path: str | None) -> None:
    assert told(slab(outline=shape)) == ({} if path is None else {path: "radius_too_large"})


def ell(**changes: Any) -> Document:
    shape = {
        "shape": "ell",
        "length": 1000,
        "width": 600,
        "notch_length": 700,
        "notch_width": 300,
        "notch": "back-right",
    }
    return slab(outline={**shape, **changes})


def test_a_notch_leaves_both_legs() -> None:
    assert told(ell()) == {}
    assert told(ell(notch_length=1000)) == {"outline.notch_length": "notch_too_large"}
    assert told(ell(notch_width=601)) == {"outline.notch_width": "notch_too_large"}
    assert told(ell(corner_radius=150)) == {}
    assert told(ell(corner_radius=150.01)) == {"outline.corner_radius": "radius_too_large"}


def polygon(points: list[list[float]], radius: object = 0) -> Document:
    return slab(outline={"shape": "polygon", "points": points, "corner_radius": radius})


def test_polygons_go_round_once() -> None:
    assert told(polygon([[0, 0], [900, 0], [900, 500], [0, 400]])) == {}
    assert told(polygon(BOW_TIE)) == {"outline.points": "self_crossing"}
    assert told(polygon([[0, 0], [500, 500], [500, 0], [0, 500]])) == {"outline.points": "self_crossing"}
    assert told(polygon([[0, 0], [500, 500], [250, 250]])) == {"outline.points": "no_area"}
    assert told(polygon([[0, 0], [500, 0], [900, 0]])) == {"outline.points": "no_area"}
    assert told(polygon([[0, 0], [900, 0], [900, 500], [0, 0]])) == {"outline.points": "repeated"}
    assert told(polygon([[0, 0], [900, 0]])) == {"outline.points": "count"}
    assert told(polygon([[-6000, 0], [6000, 0], [0, 500]])) == {}
    assert told(polygon([[-6000, 0], [6000.1, 0], [0, 500]])) == {"outline.points": "too_long"}


def test_a_polygons_fillets_fit_its_sides() -> None:
    """A right triangle of legs 300, 400: one radius for all is at most the inradius, 100."""
    triangle: list[list[float]] = [[0, 0], [400, 0], [0, 300]]
    assert told(polygon(triangle, 100)) == {}
    assert told(polygon(triangle, 100.1)) == {"outline.corner_radius": "radius_too_large"}
    (fault,) = faults(polygon(triangle, 150))
    assert fault.message.endswith("at most 100 mm") and fault.value == "150 mm"
    fewer = faults(polygon(triangle, [150, 0, 150]))
    assert [fault.message.partition("; ")[2] for fault in fewer] == [
        "use smaller radii there, at most 66 % of these"
    ]
    assert told(polygon(triangle, [100, 0, 0])) == {}
    assert told(polygon(triangle, [1, 2])) == {"outline.corner_radius": "count"}


def test_a_fillet_may_not_run_into_a_side_further_on() -> None:
    spike: list[list[float]] = [[0, 0], [500, 500], [0, 1000], [0, 505], [420, 500], [0, 495]]
    assert told(polygon(spike)) == {}
    assert told(polygon(spike, [0, 300, 0, 0, 0, 0])) == {"outline.corner_radius": "radius_too_large"}


@pytest.mark.parametrize(
    "feature",
    [
        {"kind": "recess", "at": [500, 300], "shape": rectangle(100, 100), "face": "underside"},
        {"kind": "recess", "at": [500, 300], "shape": rectangle(100, 100)},
        {"kind": "inlay", "at": [500, 300], "shape": rectangle(100, 100), "material": "GLASS-8"},
        {
            "kind": "inlay",
            "at": [500, 300],
            "shape": rectangle(100, 100),
            "material": "GLASS-8",
            "backlit": True,
            "ledge": 10,
        },
        {"kind": "groove", "path": [[100, 100], [500, 100]], "face": "underside", "width": 10},
    ],
    ids=["recess below", "recess on top", "inlay", "backlit inlay", "groove"],
)
def test_a_pocket_leaves_8_mm_of_slab(feature: Document) -> None:
    assert told(with_feature(**feature, depth=32)) == {}
    assert told(with_feature(**feature, depth=32.01)) == {"features[0].depth": "too_deep"}


def test_a_backlit_sheet_sits_on_a_ledge_around_an_opening() -> None:
    sheet = {"kind": "inlay", "at": [500, 300], "material": "GLASS-8", "depth": 8, "backlit": True}
    for shape in (
        rectangle(200, 100),
        {"shape": "round", "diameter": 100},
        {"shape": "slot", "length": 200, "width": 100},
    ):
        assert told(with_feature(**sheet, shape=shape, ledge=49.9)) == {}
        assert told(with_feature(**sheet, shape=shape, ledge=50)) == {"features[0].ledge": "ledge_too_large"}
    assert told(with_feature(**sheet, shape=rectangle(200, 100))) == {"features[0].ledge": "no_ledge"}
    dumbbell = [
        [0, 0],
        [80, 0],
        [80, 35],
        [120, 35],
        [120, 0],
        [200, 0],
        [200, 80],
        [120, 80],
        [120, 45],
        [80, 45],
        [80, 80],
        [0, 80],
    ]
    shape = {"shape": "polygon", "points": dumbbell}
    assert told(with_feature(**sheet, shape=shape, ledge=4.9)) == {}
    assert told(with_feature(**sheet, shape=shape, ledge=5.1)) == {"features[0].ledge": "ledge_too_large"}


def test_a_taper_leaves_the_trough_open() -> None:
    """Inside width at the floor is 200 − 2·150·tan(taper): closed from atan(100/150) = 33.69° on."""
    limit = math.degrees(math.atan(100 / 150))
    assert told(slab(features=[trough(taper=limit - 0.01)])) == {}
    assert told(slab(features=[trough(taper=limit)])) == {"features[0].taper": "taper_closes"}
    radius = math.degrees(math.atan(60 / 150))
    assert told(slab(features=[trough(taper=radius - 0.01, corner_radius=40)])) == {}
    assert told(slab(features=[trough(taper=radius + 0.01, corner_radius=40)])) == {
        "features[0].taper": "taper_closes"
    }
    assert told(slab(features=[trough(taper=90)])) == {"features[0].taper": "out_of_range"}


def test_a_trough_hangs_below_the_slab() -> None:
    assert told(slab(features=[trough(depth=20, floor=20.1)])) == {}
    (fault,) = faults(slab(features=[trough(depth=20, floor=20)]))
    assert (fault.path, fault.code) == ("features[0].depth", "trough_in_slab")
    assert "use a recess" in fault.message


def test_a_troughs_radius_fits_its_mouth() -> None:
    assert told(slab(features=[trough(corner_radius=100)])) == {}
    assert told(slab(features=[trough(corner_radius=100.1)])) == {
        "features[0].corner_radius": "radius_too_large"
    }


@pytest.mark.parametrize(
    ("at", "taken"),
    [
        ([500, 300], True),
        ([680, 300], True),
        ([680.01, 300], False),
        ([500, 380], True),
        ([500, 380.01], False),
        ([900, 300], False),
    ],
)
def test_a_drain_keeps_clear_of_the_walls(at: list[float], taken: bool) -> None:
    drained = slab(features=[trough(drains=[{"at": at, "diameter": 20}])])
    assert told(drained) == ({} if taken else {"features[0].drains[0].at": "too_close"})


def test_drains_follow_a_turned_and_rounded_trough() -> None:
    turned = {"turn": 90, "corner_radius": 60}
    # In the corner the wall is an arc of 60 mm about (460, 160): a drain of radius 10 may stray 40 mm.
    for far, taken in ((39.99, True), (40.01, False)):
        at = [460 - far * math.sqrt(0.5), 160 - far * math.sqrt(0.5)]
        drained = slab(features=[trough(**turned, drains=[{"at": at, "diameter": 20}])])
        assert told(drained) == ({} if taken else {"features[0].drains[0].at": "too_close"})


def test_drains_keep_clear_of_each_other() -> None:
    drains = [{"at": [500, 300], "diameter": 20}, {"at": [530, 300], "diameter": 20}]
    assert told(slab(features=[trough(drains=drains)])) == {}
    drains[1]["at"] = [529.9, 300]
    assert told(slab(features=[trough(drains=drains)])) == {"features[0].drains[1].at": "too_close"}


def groove(*path: list[float], width: float = 10) -> Document:
    return with_feature(kind="groove", path=list(path), width=width, depth=8)


def test_a_groove_runs_clear_of_itself() -> None:
    assert told(groove([100, 100], [500, 100], [500, 300])) == {}
    assert told(groove([100, 100])) == {"features[0].path": "count"}
    assert told(groove([100, 100], [110, 100])) == {}
    assert told(groove([100, 100], [109.9, 100])) == {"features[0].path[1]": "short_leg"}
    assert told(groove([100, 100], [300, 100], [300, 200], [200, 200], [200, 50])) == {
        "features[0].path": "self_crossing"
    }
    assert told(groove([100, 100], [300, 100], [100, 100])) == {"features[0].path": "self_crossing"}
    assert told(groove([100, 100], [300, 100], [300, 110.1], [100, 110.1])) == {}
    assert told(
        groove([100, 100], [300, 100], [300, 120], [210, 120], [210, 109.9], [250, 109.9])
    )  # under its width
    assert told(groove([100, 100], [200, 100], [150, 101])) == {"features[0].path[1]": "sharp_turn"}


def test_depth_is_told_beside_a_broken_shape() -> None:
    recess = {"kind": "recess", "at": [500, 300], "shape": rectangle(100, 100, corner_radius=51), "depth": 40}
    assert told(with_feature(**recess)) == {
        "features[0].shape.corner_radius": "radius_too_large",
        "features[0].depth": "too_deep",
    }


def test_messages_speak_the_readers_units() -> None:
    deep = with_feature(kind="recess", at=[500, 300], shape=rectangle(100, 100), depth=35)
    assert faults(deep)[0].message == "is 35 mm deep in a slab of 40 mm; 8 mm must stay, so at most 32 mm"
    assert (
        "1 3/8 in deep in a slab of 1 9/16 in; 3/8 in must stay, so at most 1 1/4 in"
        in faults(deep, "us")[0].message
    )
    assert "too thin for a pocket" in faults({**deep, "thickness": 8})[0].message


def test_a_slab_with_an_opening_is_taken() -> None:
    assert told(slab(features=[opening(500, 300)])) == {}
