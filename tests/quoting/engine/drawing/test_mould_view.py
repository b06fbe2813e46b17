from __future__ import annotations

import pytest

from quoting.engine.drawing.mould_view import exploded, exploded_for_both
from quoting.engine.takeoff.mould import mould
from tests.quoting.engine.drawing.drawn import NAMES, assert_sound, solid_of, texts
from tests.quoting.engine.takeoff.materials_world import METRIC, starter


@pytest.mark.parametrize("name", NAMES)
def test_every_mould_is_drawn_soundly_and_every_part_listed(name: str) -> None:
    solid = solid_of(name)
    made = mould(solid, starter(), METRIC)
    drawing = exploded(solid, made, system="metric")
    assert_sound(drawing)
    said = texts(drawing)
    standing = {placed.drawing for placed in made.placed}
    for part in made.parts:
        # once in the list, and once in the picture where any of it can be seen
        assert 1 <= said.count(part.drawing) <= 1 + (part.drawing in standing)
        assert f"{part.quantity} × {part.name}" in drawing.description


def test_the_base_and_every_side_are_numbered_in_the_picture() -> None:
    solid = solid_of("cafe-counter")
    made = mould(solid, starter(), METRIC)
    said = texts(exploded(solid, made, system="us"))
    for part in made.parts:
        if part.name in ("base", "side"):
            assert said.count(part.drawing) == 2


def test_compact_is_as_sound() -> None:
    solid = solid_of("reading-room-table")
    drawing = exploded(solid, mould(solid, starter(), METRIC), system="us", compact=True)
    assert_sound(drawing)
    assert drawing.width_mm == 100.0


def test_drawn_for_both_it_is_the_same_picture() -> None:
    solid = solid_of("cafe-counter")
    made = mould(solid, starter(), METRIC)
    desk, phone = exploded_for_both(solid, made, system="metric", prefix="mould")
    assert desk == exploded(solid, made, system="metric")
    alone = exploded(solid, made, system="metric", compact=True, prefix="small-mould")
    assert (phone.width_mm, texts(phone)) == (alone.width_mm, texts(alone))
    assert_sound(phone)
