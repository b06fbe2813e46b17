"""What edge treatments, drop edges, steel, light and finish are refused for."""

from __future__ import annotations

from typing import Any

import pytest

from tests.quoting.engine.spec.pieces import Document, faults, opening, rectangle, slab, told


def edge(at: str = "top", size: float = 5, profile: str = "chamfer", **more: Any) -> Document:
    return {"at": at, "profile": profile, "size": size, **more}


def test_treatments_of_both_arrises_fit_the_thickness() -> None:
    assert told(slab(edges=[edge("top", 20, "round"), edge("bottom", 20, "round")])) == {}
    assert told(slab(edges=[edge("top", 20), edge("bottom", 20.01)])) == {"edges[1].size": "edge_too_large"}
    assert told(slab(edges=[edge("top", 40)])) == {}
    assert told(slab(edges=[edge("top", 40.01)])) == {"edges[0].size": "edge_too_large"}
    assert told(slab(edges=[edge("top", 30, sides=[0]), edge("bottom", 30, sides=[1])])) == {}


def test_a_drop_edge_gives_its_sides_more_height() -> None:
    drop = {"depth": 100, "thickness": 30, "sides": [0]}
    assert told(slab(drop_edge=drop, edges=[edge("top", 30, sides=[0]), edge("bottom", 30, sides=[0])])) == {}
    assert told(slab(drop_edge=drop, edges=[edge("bottom", 30.01, sides=[0])])) == {
        "edges[0].size": "edge_too_large"
    }
    assert told(slab(drop_edge=drop, edges=[edge("top", 70, sides=[0])])) == {}
    assert told(slab(drop_edge=drop, edges=[edge("top", 70.01, sides=[0])])) == {
        "edges[0].size": "edge_too_large"
    }
    assert told(slab(drop_edge=drop, edges=[edge("top", 41)])) == {"edges[0].size": "edge_too_large"}


def test_a_treatment_leaves_some_of_the_face() -> None:
    strip = slab(thickness=60, outline=rectangle(1000, 100))
    assert told({**strip, "edges": [edge(size=49.9)]}) == {}
    assert told({**strip, "edges": [edge(size=50)]}) == {"edges[0].size": "edge_too_large"}
    both = [edge(size=55, sides=[0]), edge(size=44, sides=[2])]
    assert told({**strip, "edges": both}) == {}
    both[1]["size"] = 46
    assert told({**strip, "edges": both}) == {"edges[1].size": "edge_too_large"}
    disc = slab(thickness=60, outline={"shape": "round", "diameter": 100})
    assert told({**disc, "edges": [edge(size=49.9)]}) == {}
    assert told({**disc, "edges": [edge(size=50)]}) == {"edges[0].size": "edge_too_large"}


def test_sides_exist_and_are_treated_once() -> None:
    assert told(slab(edges=[edge(sides=[0, 3])])) == {}
    assert told(slab(edges=[edge(sides=[4])])) == {"edges[0].sides": "no_such_side"}
    assert told(slab(edges=[edge(sides=[0, 0])])) == {"edges[0].sides": "sides"}
    assert told(slab(edges=[edge(), edge(sides=[2])])) == {"edges[1].sides": "treated_twice"}
    assert told(slab(edges=[edge(), edge("bottom", sides=[2])])) == {}
    ell = {
        "shape": "ell",
        "length": 1000,
        "width": 600,
        "notch_length": 500,
        "notch_width": 300,
        "notch": "back-left",
    }
    assert told(slab(outline=ell, edges=[edge(sides=[5])])) == {}
    assert told(slab(outline=ell, edges=[edge(sides=[6])])) == {"edges[0].sides": "no_such_side"}


@pytest.mark.parametrize(
    "shape",
    [
        {"shape": "round", "diameter": 600},
        {"shape": "oval", "length": 900, "width": 600},
        {"shape": "slot", "length": 900, "width": 600},
    ],
)
def test_shapes_without_numbered_sides_take_only_all(shape: Document) -> None:
    assert told(slab(outline=shape, edges=[edge(sides="all")])) == {}
    assert told(slab(outline=shape, edges=[edge(sides=[0])])) == {"edges[0].sides": "no_such_side"}
    drop = {"depth": 100, "thickness": 30}
    assert told(slab(outline=shape, drop_edge=drop)) == {}
    assert told(slab(outline=shape, drop_edge={**drop, "sides": [0]})) == {"drop_edge.sides": "no_such_side"}


def test_a_drop_edge_is_deeper_than_the_slab_and_leaves_room_inside() -> None:
    assert told(slab(drop_edge={"depth": 40.1, "thickness": 299.9})) == {}
    assert told(slab(drop_edge={"depth": 40, "thickness": 30})) == {
        "drop_edge.depth": "drop_edge_too_shallow"
    }
    assert told(slab(drop_edge={"depth": 90, "thickness": 300})) == {
        "drop_edge.thickness": "drop_edge_too_thick"
    }
    assert told(slab(drop_edge={"depth": 90, "thickness": 400, "sides": [0]})) == {}
    assert told(slab(drop_edge={"depth": 90, "thickness": 30, "sides": [4]})) == {
        "drop_edge.sides": "no_such_side"
    }


def test_a_treatment_stays_clear_of_features() -> None:
    document = slab(edges=[edge(size=20, sides=[0])], features=[opening(500, 70)])
    assert told(document) == {}
    document["edges"][0]["size"] = 20.01
    (fault,) = faults(document)
    assert (fault.path, fault.code) == ("features[0].at", "treatment_overlaps")
    document["edges"][0]["sides"] = [2]
    assert told(document) == {}


def test_a_treatment_reaches_less_far_under_a_pocket_of_the_other_face() -> None:
    """A pocket 20 mm below the show face meets a 35 mm chamfer where that is still 15 mm wide."""
    recess = {
        "kind": "recess",
        "at": [500, 40],
        "shape": rectangle(100, 50),
        "depth": 20,
        "face": "underside",
    }
    assert told(slab(edges=[edge(size=35)], features=[recess])) == {}
    assert told(slab(edges=[edge(size=35.1)], features=[recess])) == {"features[0].at": "treatment_overlaps"}


def test_a_rim_has_the_rules_of_an_edge() -> None:
    hole = opening(500, 300, edges=[edge(size=20), edge("bottom", 20.01)])
    assert told(slab(features=[hole])) == {"features[0].edges[1].size": "edge_too_large"}
    hole = opening(500, 300, edges=[edge(sides=[7])])
    assert told(slab(features=[hole])) == {"features[0].edges[0].sides": "no_such_side"}
    round_hole = {"kind": "opening", "at": [500, 300], "shape": {"shape": "round", "diameter": 90}}
    assert told(slab(features=[{**round_hole, "edges": [edge(sides=[0])]}])) == {
        "features[0].edges[0].sides": "no_such_side"
    }


def test_rims_and_edges_do_not_meet() -> None:
    """The opening's front edge is at y = 20; rim and edge treatment share those 20 mm."""
    document = slab(edges=[edge(size=12)], features=[opening(500, 70, edges=[edge(size=8)])])
    assert told(document) == {}
    document["features"][0]["edges"][0]["size"] = 8.01
    assert told(document) == {"features[0].at": "treatment_overlaps"}
    document["features"][0]["edges"][0]["at"] = "bottom"
    assert told(document) == {}


def test_two_rims_do_not_meet() -> None:
    pair = [opening(300, 300, edges=[edge(size=8)]), opening(415, 300, edges=[edge(size=7)])]
    assert told(slab(features=pair)) == {}
    pair[1]["edges"][0]["size"] = 7.1
    assert told(slab(features=pair)) == {"features[1].at": "treatment_overlaps"}
    recess = {
        "kind": "recess",
        "at": [415, 300],
        "shape": rectangle(100, 100),
        "depth": 20,
        "face": "underside",
    }
    assert told(slab(features=[opening(300, 300, edges=[edge(size=16)]), recess])) == {}
    recess["face"] = "top"
    assert told(slab(features=[opening(300, 300, edges=[edge(size=16)]), recess])) == {
        "features[1].at": "treatment_overlaps"
    }


def test_cover_leaves_room_for_the_mesh() -> None:
    steel = {"mesh": "MESH-50", "cover": 19.9}
    assert told(slab(reinforcement=steel)) == {}
    assert told(slab(reinforcement={**steel, "cover": 20})) == {"reinforcement.cover": "cover_too_large"}
    narrow = slab(outline=rectangle(1000, 30))
    assert told({**narrow, "reinforcement": {**steel, "cover": 14.9}}) == {}
    assert told({**narrow, "reinforcement": {**steel, "cover": 15}}) == {
        "reinforcement.cover": "cover_too_large"
    }


def test_bars_lie_in_something() -> None:
    def bars(where: str) -> Document:
        return {"cover": 15, "bars": [{"bar": "BAR-8", "where": where, "rows": 2}]}

    assert told(slab(reinforcement=bars("outline"))) == {}
    assert told(slab(reinforcement=bars("trough"))) == {"reinforcement.bars[0].where": "nothing_there"}
    assert told(slab(reinforcement=bars("drop_edge"))) == {"reinforcement.bars[0].where": "nothing_there"}
    drop = {"depth": 100, "thickness": 50}
    assert told(slab(reinforcement=bars("drop_edge"), drop_edge=drop)) == {}
    assert told(slab(reinforcement={"cover": 15})) == {"reinforcement.bars": "no_steel"}


def test_light_needs_backlit_inlays_or_a_path_inside() -> None:
    assert told(slab(lighting={"strip": "STRIP-LED"})) == {"lighting.run": "nothing_there"}
    path = {"strip": "STRIP-LED", "run": [[0, 300], [1000, 300]]}
    assert told(slab(lighting=path)) == {}
    path["run"] = [[0, 300], [1000.1, 300]]
    assert told(slab(lighting=path)) == {"lighting.run[1]": "outside"}
    path["run"] = [[0, 300]]
    assert told(slab(lighting=path)) == {"lighting.run": "run"}


def test_finish_is_of_known_kinds() -> None:
    finish = {"fill": "full", "grits": [200, 400], "sealer": "SEAL-PEN", "coats": 2, "faces": ["show"]}
    assert told(slab(finish=finish)) == {}
    assert told(slab(finish={**finish, "fill": "half", "faces": ["back"]})) == {
        "finish.fill": "unknown_choice",
        "finish.faces[0]": "unknown_choice",
    }
    assert told(slab(finish={**finish, "coats": 0})) == {"finish.coats": "coats"}
    assert told(slab(finish={**finish, "sealer": None})) == {"finish.coats": "coats"}
    assert told(slab(finish={**finish, "grits": [200, 200]})) == {"finish.grits": "repeated"}
