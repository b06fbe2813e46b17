from __future__ import annotations

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from quoting.engine.drawing.cut_at import CutAt
from quoting.engine.drawing.plan import plan
from quoting.engine.drawing.values import TitleBlock
from quoting.engine.plane.shapes import Oval, Rectangle, Round
from quoting.engine.solid.build import Solid, build
from quoting.engine.solid.measure import measure
from quoting.engine.spec.types import DropEdge, EdgeTreatment, Opening, Piece, Sleeve
from tests.quoting.engine.drawing.drawn import NAMES, assert_sound, geometry_of, solid_of, texts, tree
from tests.quoting.engine.drawing.made import solids


@pytest.mark.parametrize("compact", [False, True])
@pytest.mark.parametrize("system", ["metric", "us"])
@pytest.mark.parametrize("name", NAMES)
def test_every_example_is_drawn_soundly(name: str, system: str, compact: bool) -> None:
    drawing = plan(solid_of(name), geometry_of(name), system=system, compact=compact)
    assert_sound(drawing)
    assert drawing.width_mm == (100.0 if compact else 180.0)


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(solids(), st.sampled_from(("metric", "us")), st.booleans())
def test_no_piece_makes_texts_overlap(solid: Solid, system: str, compact: bool) -> None:
    assert_sound(plan(solid, measure(solid), system=system, compact=compact))


def test_the_reading_room_table_has_its_dimensions_and_every_feature_its_number() -> None:
    said = texts(plan(solid_of("reading-room-table"), geometry_of("reading-room-table"), system="metric"))
    assert {"2100", "900", "4 × R60"} <= set(said)
    assert {"350", "1050", "1750", "850", "1250", "250", "650", "450", "110", "790"} <= set(said)  # middles
    assert said.count("A") == 2
    # once in the schedule and once at each: one trough, four inlays, two sleeves
    assert [said.count(number) for number in ("1", "2", "3")] == [2, 5, 3]


def test_the_same_piece_is_drawn_with_the_same_bytes() -> None:
    first = plan(solid_of("cafe-counter"), geometry_of("cafe-counter"), system="us")
    assert plan(solid_of("cafe-counter"), geometry_of("cafe-counter"), system="us") == first


def _paths(solid: Solid, **options: object) -> list[dict[str, str]]:
    drawing = plan(solid, measure(solid), system="metric", **options)  # type: ignore[arg-type]
    return [element.attrib for element in tree(drawing).iter() if element.tag.endswith("path")]


def test_curves_are_arcs() -> None:
    solid = build(Piece("Oval", "mm", 40.0, Oval(1600.0, 900.0)))
    outline = next(path["d"] for path in _paths(solid) if "A" in path["d"])
    assert outline.count("A53.333 30 ") == 2  # half axes 800 and 450 at 1:15


def test_a_round_piece_is_dimensioned_by_its_diameter_once() -> None:
    solid = build(Piece("Round", "mm", 40.0, Round(1200.0)))
    said = texts(plan(solid, measure(solid), system="metric"))
    assert "⌀1200" in said
    assert "1200" not in said


def test_hidden_edges_are_dashed_and_visible_ones_are_not() -> None:
    solid = build(Piece("Drop", "mm", 40.0, Rectangle(1000.0, 600.0), drop_edge=DropEdge(100.0, 50.0)))
    rings = [path for path in _paths(solid) if path["d"].endswith("Z") and path["fill"] == "none"]
    assert [("stroke-dasharray" in path) for path in rings] == [True, False]


def test_a_wide_chamfer_shows_as_a_second_line_and_a_narrow_one_does_not() -> None:
    def rings(size: float) -> int:
        edges = (EdgeTreatment("top", "chamfer", size),)
        solid = build(Piece("Slab", "mm", 40.0, Rectangle(1000.0, 600.0), edges=edges))
        return sum(path["d"].endswith("Z") and path["fill"] == "none" for path in _paths(solid))

    assert (rings(12.0), rings(2.0)) == (2, 1)  # 1.2 mm and 0.2 mm on the sheet


def test_too_many_positions_are_listed_instead() -> None:
    centres = tuple((100.0 + 31.0 * i, 100.0 + 7.0 * i) for i in range(60))
    solid = build(Piece("Board", "mm", 40.0, Rectangle(2100.0, 700.0), features=(Sleeve(centres, 15.0),)))
    drawing = plan(solid, measure(solid), system="metric")
    assert_sound(drawing)
    assert "(1929, 513)" in " ".join(texts(drawing)).replace("\u00a0", " ")


def test_the_cutting_plane_stands_where_it_is_asked_for() -> None:
    solid = build(Piece("Slab", "mm", 40.0, Rectangle(1000.0, 600.0)))
    shown = plan(solid, measure(solid), system="metric", cut=CutAt("y", 150.0))
    heights = [label.box.y0 for label in shown.labels if label.text == "A"]
    assert len(heights) == 2
    assert heights[0] == pytest.approx(heights[1])


def test_the_title_block_carries_its_fields_and_the_scale() -> None:
    block = TitleBlock(
        "Our <own> workshop", "Table & base", "D-17", "2026-03-02", creator="M. Vane", sheet="2/3"
    )
    solid = build(Piece("Slab", "mm", 40.0, Rectangle(1000.0, 600.0)))
    drawing = plan(solid, measure(solid), system="metric", block=block)
    assert_sound(drawing)
    assert drawing.width_mm == 180.0
    assert {"Our <own> workshop", "Table & base", "D-17", "2026-03-02", "M. Vane", "2/3", "1:10"} <= set(
        texts(drawing)
    )


def test_the_description_tells_the_piece() -> None:
    drawing = plan(solid_of("reading-room-table"), geometry_of("reading-room-table"), system="metric")
    for words in (
        "2100 × 900",
        "40 thick",
        "Trough: ",
        "700 × 180 × 160 deep",
        "4 × backlit inlay",
        "2 × sleeve",
        "R6",
        "2100 × 900 × 185 high",
    ):
        assert words in drawing.description


def test_a_turned_opening_is_numbered_and_crossed_at_its_middle() -> None:
    opening = Opening(((500.0, 300.0),), Rectangle(300.0, 200.0), turn_deg=30.0)
    solid = build(Piece("Slab", "mm", 40.0, Rectangle(1000.0, 600.0), features=(opening,)))
    drawing = plan(solid, measure(solid), system="metric")
    assert_sound(drawing)
    assert {"500", "300", "1"} <= set(texts(drawing))
