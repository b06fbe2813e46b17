"""Moving pieces: who lifts, how it is held, where it would crack, and that it is only a guide."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

import pytest

from quoting.engine.errors import Refused
from quoting.engine.solid.build import build
from quoting.engine.solid.measure import measure
from quoting.engine.spec.types import Feature, Opening, Piece, Rectangle, Trough
from quoting.engine.takeoff.cure import cure_plan
from quoting.engine.takeoff.handling import DISCLAIMER, handling, turn_strength_mpa
from quoting.engine.takeoff.lines import Handling, Lift, Weights
from quoting.engine.values import Mix, ShopTerms

MIX = Mix("fine", "Fine mix", 2350.0, 2300.0, 40.0)
TERMS = ShopTerms(shop_temperature_c=(20.0,) * 12)
POUR = date(2026, 3, 2)


def handled(
    length: float,
    width: float,
    thickness: float = 40.0,
    *,
    features: Sequence[Feature] = (),
    mix: Mix = MIX,
    terms: ShopTerms = TERMS,
    turn_mpa: float | None = None,
) -> Handling:
    piece = Piece(
        name="top",
        unit="mm",
        thickness_mm=thickness,
        outline=Rectangle(length, width),
        features=tuple(features),
    )
    solid = build(piece)
    geometry = measure(solid)
    kg = geometry.volume_m3 * mix.density_kg_m3
    cure = cure_plan(mix, terms, pour=POUR, turn_mpa=turn_mpa)
    return handling(solid, geometry, Weights(kg, 0.0, 0.0, kg), mix, cure, terms)


def by_span(found: Handling) -> dict[str, Lift]:
    return {lift.span: lift for lift in found.lifts if lift.name != "Deliver"}


def test_a_top_is_tilted_and_carried_on_edge() -> None:
    found = handled(2100, 900)
    lifts = by_span(found)
    assert found.total_kg == pytest.approx(2.1 * 0.9 * 0.04 * 2300)
    assert lifts["tilted, at long edges"].mass_kg == found.total_kg / 2
    assert lifts["on edge"].utilisation < lifts["flat, at best points"].utilisation
    assert lifts["flat, at best points"].utilisation < lifts["flat, at ends"].utilisation
    assert found.utilisation == max(lift.utilisation for lift in found.lifts if lift.advised)
    assert found.utilisation < 1 < lifts["flat, at ends"].utilisation
    assert "It may crack 1050 mm along x" in lifts["flat, at ends"].advice
    assert found.weakest_x_mm == pytest.approx(1050)
    assert found.disclaimer == DISCLAIMER
    assert "does not replace an engineer" in DISCLAIMER


def test_stress_and_allowance_by_pencil() -> None:
    flat = by_span(handled(2400, 900))["flat, at ends"]
    # w = 2300·9.80665·0.9·0.04 = 812 N/m; M = 584.6 N·m; S = 240 cm³; × 1.5 = 3.654 MPa
    assert flat.stress_mpa == pytest.approx(3.654, abs=0.001)
    # Turn on day 2 at 0.504 × 40 MPa (check value C55): 0.62·√20.16 ÷ 1.5
    assert flat.allowable_mpa == pytest.approx(0.62 * 20.16**0.5 / 1.5, abs=0.002)
    assert flat.age_days == 2
    assert flat.working.startswith("584.6 N·m ÷ 240 cm³ × 1.5 = 3.65 MPa; modulus of rupture 2.78 MPa")


def test_the_weakest_place_is_beside_a_sink() -> None:
    sink = Opening(centres_mm=((1500.0, 300.0),), shape=Rectangle(500.0, 400.0))
    found = handled(2100, 600, features=[sink])
    assert 1250 < found.weakest_x_mm < 1750
    plain = handled(2100, 600)
    assert by_span(found)["flat, at ends"].utilisation > 1.5 * by_span(plain)["flat, at ends"].utilisation


def test_later_lifts_are_of_stronger_concrete() -> None:
    found = handled(2100, 900)
    deliver = next(lift for lift in found.lifts if lift.name == "Deliver")
    carry = by_span(found)["on edge"]
    assert deliver.stress_mpa == carry.stress_mpa
    assert deliver.allowable_mpa > carry.allowable_mpa
    assert deliver.age_days > carry.age_days


def test_people_by_the_shop_and_by_one_persons_limit() -> None:
    # 23 kg × 0.90 for a poor grip, held close at knuckle height: 20.7 kg; C82, C83.
    small = handled(500, 400)  # 18.4 kg
    assert small.niosh_rwl_kg == pytest.approx(20.7)
    assert small.people == 1
    assert small.niosh_lifting_index == pytest.approx(18.4 / 20.7)
    assert handled(600, 500).people == 2  # 27.6 kg: exactly 4/3 × 20.7
    assert handled(660, 500).people == 3  # 30.4 kg, up to 31.05
    gear = handled(2100, 900)
    assert gear.people is None
    carry = by_span(gear)["on edge"]
    assert "two slings at 60° carry 100 kg each" in carry.advice  # 173.9 ÷ (2·sin 60°) = 100.4
    assert "one person 20.7 kg" in gear.working
    assert "3 people 31.1 kg" in gear.working
    assert handled(660, 500, terms=replace(TERMS, people_available=2)).people is None
    assert handled(500, 400, terms=replace(TERMS, lift_limit_kg=16.0)).people == 2


def test_a_deep_piece_is_beyond_one_persons_reach() -> None:
    trough = Trough((500.0, 250.0), 700.0, 300.0, 900.0, 40.0, 40.0)
    deep = handled(1000, 500, features=[trough])
    assert deep.niosh_rwl_kg == 0
    assert deep.niosh_lifting_index is None
    assert deep.people is None


def needed_at_turn(length: float, width: float, terms: ShopTerms) -> float:
    piece = Piece(name="top", unit="mm", thickness_mm=40, outline=Rectangle(length, width))
    solid = build(piece)
    geometry = measure(solid)
    kg = geometry.volume_m3 * MIX.density_kg_m3
    return turn_strength_mpa(solid, geometry, Weights(kg, 0, 0, kg), MIX, terms)


def test_a_piece_that_would_crack_waits_for_strength() -> None:
    heavy = replace(TERMS, handling_factor=2.0, flexure_safety=1.75)
    top = handled(2100, 1500, terms=heavy)
    assert top.utilisation > 1
    assert "wait until the concrete has 28.9 MPa" in top.lifts[0].advice  # (1.903 × 1.75 ÷ 0.62)²
    needed = needed_at_turn(2100, 1500, heavy)
    assert needed == pytest.approx((1.9031 * 1.75 / 0.62) ** 2, rel=1e-3)
    later = handled(2100, 1500, terms=heavy, turn_mpa=needed)
    assert later.lifts[0].utilisation <= 1
    assert later.lifts[0].age_days > top.lifts[0].age_days


def test_a_piece_that_would_wait_too_long_is_turned_in_a_frame() -> None:
    heavy = replace(TERMS, handling_factor=2.0, flexure_safety=3.0)
    needed = needed_at_turn(2100, 1500, heavy)
    assert needed == pytest.approx(40 * 0.779, abs=0.02)  # 7 days, check value C55
    found = handled(2100, 1500, terms=heavy, turn_mpa=needed)
    assert found.utilisation > 1
    assert found.lifts[0].age_days == 7
    assert "support it all over" in found.lifts[0].advice


def test_the_long_side_may_run_along_y() -> None:
    across = handled(900, 2100)
    assert {lift.axis for lift in across.lifts} == {"x", "y"}
    assert by_span(across)["flat, at ends"].axis == "y"
    assert across.utilisation == pytest.approx(handled(2100, 900).utilisation)
    assert 0 < across.weakest_x_mm < 900


def test_eurocode_rule_and_us_units() -> None:
    piece = Piece(name="top", unit="in", thickness_mm=38.1, outline=Rectangle(2438.4, 647.7))
    solid = build(piece)
    geometry = measure(solid)
    weights = Weights(140.0, 0.0, 0.0, 140.0)
    us = replace(TERMS, unit_system="us")
    cure = cure_plan(MIX, us, pour=POUR)
    aci = handling(solid, geometry, weights, MIX, cure, us)
    ec2 = handling(solid, geometry, weights, MIX, cure, replace(us, rupture_rule="ec2"))
    assert ec2.lifts[0].stress_mpa == aci.lifts[0].stress_mpa
    # 0.504 × (1.6 − 0.038)·0.3·40^(2/3) ÷ 1.5 (check values C55, C65, C66)
    assert ec2.lifts[0].allowable_mpa == pytest.approx(0.504 * 1.5619 * 3.509 / 1.5, rel=0.002)
    assert "psi" in aci.lifts[0].working
    assert "309 lb" in aci.working
    with pytest.raises(Refused, match="aci, ec2"):
        handling(solid, geometry, weights, MIX, cure, replace(us, rupture_rule="guess"))


def test_needs_to_know_the_age_of_its_lifts() -> None:
    solid = build(Piece(name="top", unit="mm", thickness_mm=40, outline=Rectangle(500, 400)))
    with pytest.raises(ValueError, match="no step 'turn'"):
        handling(solid, measure(solid), Weights(18.4, 0, 0, 18.4), MIX, (), TERMS)
