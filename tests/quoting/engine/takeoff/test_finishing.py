"""Sealant, release, fill, pads and sealer by area and passes."""

from __future__ import annotations

from dataclasses import replace

import pytest

from quoting.engine.errors import Refused
from quoting.engine.solid.build import build
from quoting.engine.solid.measure import measure
from quoting.engine.spec.types import Finish
from quoting.engine.takeoff.finishing import face_area_m2, fill, finish_of, pads, release, sealer
from quoting.engine.takeoff.mould import mould
from quoting.engine.takeoff.sealant import sealant
from quoting.engine.values import PriceBook
from tests.quoting.engine.takeoff.materials_world import METRIC, slab, starter, without

GEOMETRY = measure(build(slab()))
FULL = Finish("full", (200, 400), "SEAL-PEN", 2)


def with_figures(code: str, **figures: object) -> PriceBook:
    book = starter()
    changed = replace(book.materials[code], **figures)  # type: ignore[arg-type]
    return replace(book, materials={**book.materials, code: changed})


def test_sealant_by_length_and_radius() -> None:
    made = mould(build(slab()), starter(), METRIC)
    (line,) = sealant(made, starter(), METRIC, pieces=2)
    # Base to sides 6.6 m, four corners of 40 mm, r = 6 mm: 7.726 mL/m (C143).
    assert line.need == pytest.approx(2 * (6.6 + 0.16) * 36 * (1 - 3.14159265358979 / 4))
    assert line.packs == 1
    assert "base to sides 6.6 m × 7.726 mL/m + upright corners 0.16 m" in line.working


def test_release_wets_every_face_of_the_mould() -> None:
    line = release(slab(), GEOMETRY, starter(), METRIC)
    assert line.need == pytest.approx(2.424 / 15)


def test_fill_full_spot_or_none() -> None:
    cement, polymer = fill(FULL, GEOMETRY, starter(), METRIC)
    rate = starter().materials["CEM-SLURRY"].mass_kg_per_m2 or 0.5
    assert cement.need == pytest.approx(2.424 * rate)
    assert polymer.code == "SLURRY-POLYMER"
    spot = fill(replace(FULL, fill="spot"), GEOMETRY, starter(), METRIC)
    assert spot[0].need == pytest.approx(2.424 * 0.25 * rate)
    assert fill(replace(FULL, fill="none"), GEOMETRY, starter(), METRIC) == ()
    assert len(fill(FULL, GEOMETRY, without(starter(), "slurry_polymer"), METRIC)) == 1


def test_pads_wear_by_grit_over_all_pieces() -> None:
    lines = pads(FULL, GEOMETRY, starter(), METRIC, pieces=4)
    assert [(line.code, line.packs) for line in lines] == [
        ("PAD-200", 2),
        ("PAD-400", 1),
    ]  # 9.696 m² ÷ 9, ÷ 11
    twice = pads(replace(FULL, grits=(200, 200)), GEOMETRY, starter(), METRIC)
    assert [line.code for line in twice] == ["PAD-200"]
    assert twice[0].need == pytest.approx(4.848)


def test_every_missing_grit_is_named() -> None:
    with pytest.raises(Refused) as refused:
        pads(replace(FULL, grits=(123, 200, 456)), GEOMETRY, starter(), METRIC)
    assert [fault.value for fault in refused.value.faults] == ["123", "456"]
    assert {fault.path for fault in refused.value.faults} == {"catalogue.pad"}


def test_sealer_coat_by_coat_the_first_thirstier() -> None:
    (one,) = sealer(replace(FULL, coats=1), GEOMETRY, starter(), METRIC)
    (three,) = sealer(replace(FULL, coats=3), GEOMETRY, starter(), METRIC)
    assert one.need == pytest.approx(2.424 / 4.91)
    assert three.need == pytest.approx(2.424 / 4.91 + 2 * 2.424 / 7.36)
    assert sealer(replace(FULL, coats=0), GEOMETRY, starter(), METRIC) == ()


def test_a_thinned_sealer_takes_water_with_it() -> None:
    book = with_figures("SEAL-PEN", dilution=3.0)
    own, water = sealer(FULL, GEOMETRY, book, METRIC)
    applied = 2.424 / 4.91 + 2.424 / 7.36
    assert own.need == pytest.approx(applied / 4)
    assert water.code == "WATER"
    assert water.need == pytest.approx(applied * 3 / 4)


def test_faces_named_are_the_faces_finished() -> None:
    assert face_area_m2(GEOMETRY, ("show",)) == pytest.approx(2.16)
    assert face_area_m2(GEOMETRY, ("show", "sides", "trough", "underside")) == pytest.approx(2.16 * 2 + 0.264)


def test_the_shop_s_own_finish_stands_in() -> None:
    default = finish_of(slab(), METRIC)
    assert (default.fill, default.grits, default.sealer, default.coats) == (
        "full",
        (200, 400, 800),
        "SEAL-PEN",
        2,
    )
    own = Finish()
    assert finish_of(slab(finish=own), METRIC) is own


def test_a_sealer_without_coverage_is_refused_by_name() -> None:
    with pytest.raises(Refused) as refused:
        sealer(FULL, GEOMETRY, with_figures("SEAL-PEN", coverage_m2_per_l=None), METRIC)
    assert refused.value.faults[0].path == "materials.SEAL-PEN.coverage_m2_per_l"
