"""The cure plan: colder is later, steps follow the finish, drying is days, nothing is never."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from quoting.engine.errors import Refused
from quoting.engine.spec.types import Finish
from quoting.engine.takeoff.cure import climate, cure_plan, strength_on_day
from quoting.engine.takeoff.lines import CureStep
from quoting.engine.takeoff.maturity import MaturityTerms, equivalent_age_h
from quoting.engine.values import Mix, ShopTerms

MIX = Mix("fine", "Fine mix", 2350.0, 2280.0, 40.0)
FINISH = Finish(fill="full", grits=(200, 400), sealer="sealer", coats=3)
POUR = date(2026, 3, 2)


def at(celsius: float, **changes: object) -> ShopTerms:
    return replace(ShopTerms(shop_temperature_c=(celsius,) * 12), **changes)  # type: ignore[arg-type]


def days(steps: tuple[CureStep, ...]) -> dict[str, int]:
    return {step.step: step.earliest_day for step in steps}


def test_steps_at_the_temperature_of_the_curve() -> None:
    steps = cure_plan(MIX, at(20.0), pour=POUR, finish=FINISH)
    assert days(steps) == {
        "strip_sides": 1,
        "turn": 2,  # 15 of 40 MPa: 28/(1 − ln 0.375/0.25)² = 1.16 days
        "polish": 2,  # 20 of 40 MPa: 1.97 days
        "seal": 28,
        "coat_2": 29,
        "coat_3": 30,
        "deliver": 33,
    }
    turn = steps[1]
    assert turn.equivalent_age_h == pytest.approx(24 * 1.1552, rel=1e-3)
    assert turn.strength_mpa == pytest.approx(40 * 0.504, abs=0.05)  # check value C55 at 2 days
    assert turn.why == "15 MPa of 40 MPa (common practice); day 2 at 20 °C"


def test_a_cold_shop_waits_longer() -> None:
    warm, cold = (days(cure_plan(MIX, at(c), pour=POUR, finish=FINISH)) for c in (25.0, 8.0))
    assert all(cold[step] >= day for step, day in warm.items())
    # 19.7 h factor 0.48 an hour at 8 °C: two days to strip, three to turn.
    assert (cold["strip_sides"], cold["turn"], cold["polish"]) == (2, 3, 5)


def test_the_forecast_comes_before_the_means_of_the_months() -> None:
    terms = replace(ShopTerms(), shop_temperature_c=(5.0, 5.0, 12.0, 14.0, *(18.0,) * 8))
    weather = climate(terms, date(2026, 3, 30), forecast_c=(25.0,))
    assert weather.temperatures_c[:4] == (25.0, 12.0, 14.0, 14.0)
    history = [(24.0, c) for c in (25.0, 12.0, 14.0)]
    assert weather.reached_h[3] == pytest.approx(equivalent_age_h(history, MaturityTerms()))
    first = days(cure_plan(MIX, terms, pour=date(2026, 3, 30), forecast_c=(2.0, 2.0, 2.0)))
    assert first["strip_sides"] > days(cure_plan(MIX, terms, pour=date(2026, 3, 30)))["strip_sides"]


def test_the_reference_temperature_moves_ages_not_days() -> None:
    """Strength curves are for 20 °C whatever the shop takes as its reference."""
    by_20, by_23 = (cure_plan(MIX, at(15.0, reference_c=c), pour=POUR, finish=FINISH) for c in (20.0, 23.0))
    assert [step.strength_mpa for step in by_20] == pytest.approx([step.strength_mpa for step in by_23])
    assert by_20[1].earliest_day == by_23[1].earliest_day
    assert by_23[1].equivalent_age_h == pytest.approx(0.841 * by_20[1].equivalent_age_h, rel=0.002)  # C52


def test_steps_follow_the_finish() -> None:
    assert list(days(cure_plan(MIX, at(20.0), pour=POUR))) == ["strip_sides", "turn", "deliver"]
    raw = cure_plan(MIX, at(20.0), pour=POUR, finish=Finish(grits=(200,)))
    assert list(days(raw)) == ["strip_sides", "turn", "polish", "deliver"]
    assert raw[-1].strength_mpa >= 30


def test_a_piece_waits_to_be_strong_and_keeps_the_wait_of_its_sealer() -> None:
    shop = at(20.0, dry_days=5, harden_days=3, deliver_share=0.9)
    *_, coat, deliver = cure_plan(MIX, shop, pour=POUR, finish=FINISH)
    assert (coat.earliest_day, deliver.earliest_day) == (7, 14)  # 0.902 at 14 days, check value C55
    assert (deliver.after, deliver.after_days) == ("coat_3", 3)
    assert deliver.strength_mpa >= 36


def test_a_us_shop_reads_psi_and_fahrenheit() -> None:
    turn = cure_plan(MIX, at(20.0, unit_system="us"), pour=POUR)[1]
    assert turn.why == "2180 psi of 5800 psi (common practice); day 2 at 68 °F"


def test_a_shop_sets_its_own_thresholds() -> None:
    shop = at(20.0, dry_days=10, coat_days=2, harden_days=1, turn_mpa=28.0)
    steps = cure_plan(MIX, shop, pour=POUR, finish=replace(FINISH, coats=2))
    assert days(steps)["turn"] == 5  # 0.70 of the strength at 4.75 days, check value C57
    assert days(steps)["seal"] == 10
    assert days(steps)["coat_2"] == 12
    assert days(steps)["deliver"] == 13
    late = cure_plan(MIX, at(20.0), pour=POUR, turn_mpa=31.0)
    assert days(late)["turn"] == 7  # 0.775 of the strength; 0.779 at 7 days, check value C55
    assert "handling check" in late[1].why


def test_strength_may_follow_aci_209() -> None:
    shop = at(20.0, strength_curve="aci209", turn_mpa=28.0)
    plain = cure_plan(MIX, shop, pour=POUR)[1]
    rapid = cure_plan(replace(MIX, cement_class="R"), shop, pour=POUR)[1]
    # 70 %: 6.91 days with type I, 4.52 with type III (check value C57)
    assert plain.equivalent_age_h == pytest.approx(24 * 6.91, abs=0.5)
    assert rapid.equivalent_age_h == pytest.approx(24 * 4.52, abs=0.5)
    assert plain.strength_mpa == pytest.approx(40 * 0.704, abs=0.04)  # C54 at 7 days


def test_refuses_a_curve_that_does_not_exist() -> None:
    with pytest.raises(Refused, match="ec2, aci209"):
        cure_plan(MIX, at(20.0, strength_curve="guess"), pour=POUR)


def test_a_weak_mix_waits_for_all_it_has() -> None:
    weak = replace(MIX, strength_28d_mpa=12.0)
    turn = cure_plan(weak, at(20.0), pour=POUR)[1]
    assert turn.earliest_day == 28
    assert turn.why.startswith("12 MPa of 12 MPa")


def test_nurse_saul_stops_below_its_datum() -> None:
    with pytest.raises(Refused, match="too cold"):
        cure_plan(MIX, at(-3.0, maturity="nurse_saul"), pour=POUR)
    assert days(cure_plan(MIX, at(-3.0, maturity="nurse_saul", datum_c=-10.0), pour=POUR))["strip_sides"] == 4


def test_nothing_is_strong_on_the_day_of_the_pour() -> None:
    assert strength_on_day(MIX, 0, climate(at(20.0), POUR)) == 0
    with pytest.raises(Refused, match="twelve temperatures"):
        climate(replace(ShopTerms(), shop_temperature_c=(18.0,)), POUR)


def test_a_plan_stays_inside_the_calendar_and_the_days_it_looks_ahead() -> None:
    assert cure_plan(MIX, at(20.0), pour=date(9998, 11, 27), finish=FINISH)[-1].step == "deliver"
    with pytest.raises(Refused, match="past the year 9999"):
        climate(at(20.0), date(9998, 11, 28))
    assert cure_plan(MIX, at(20.0, dry_days=395), pour=POUR, finish=FINISH)[-1].earliest_day == 400
    with pytest.raises(Refused, match="more than 400 days together") as refused:
        cure_plan(MIX, at(20.0, dry_days=396), pour=POUR, finish=FINISH)
    assert refused.value.faults[0].path == "terms.dry_days"
