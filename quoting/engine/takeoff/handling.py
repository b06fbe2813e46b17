"""Moving a piece: who can lift it, how to hold it, and what that asks of the concrete at its age.

A guide for handling, never a structural design; every result says so.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from quoting.engine.errors import Fault, Refused
from quoting.engine.plane.turned import Axis
from quoting.engine.solid.build import Solid
from quoting.engine.solid.measure import Geometry
from quoting.engine.takeoff.flexure import (
    BEST_POINT,
    RULES,
    Bending,
    Rupture,
    held_at,
    rupture_mpa,
    strength_for_mpa,
    worst_bending,
)
from quoting.engine.takeoff.lifting import (
    LARGEST_TEAM,
    OneLift,
    multipliers,
    people_for,
    reach_cm,
    sling_leg_kg,
    team_capacity_kg,
)
from quoting.engine.takeoff.lines import CureStep, Handling, Lift, Weights
from quoting.engine.takeoff.strength import strength_mpa, stress
from quoting.engine.takeoff.wording import figure
from quoting.engine.units import format_length, format_mass
from quoting.engine.values import Mix, ShopTerms

DISCLAIMER = (
    "A guide for handling only. It checks plain concrete under its own weight, with sections acting as a "
    "whole; it is not a structural design and does not replace an engineer. For gear, supports in use and "
    "anything that people sit, stand or lean on, ask one, and follow local codes."
)
LONGEST_WAIT_DAYS = 7
"""How long it pays to leave a piece in its mould before turning it (common practice)."""
_KNUCKLE_CM = 75.0
_SLING_DEG = 60.0
_PLACES = 6  # the last digits of a float differ between machines, a plan must not


@dataclass(frozen=True, slots=True)
class _Hold:
    """A way of holding a piece: the axis it bends along, the supports' share from each end, on edge or
    flat.
    """

    name: str
    span: str
    axis: Axis
    inset: float
    on_edge: bool
    share: float
    """Of the piece's mass that is lifted."""
    step: str
    """Step of the cure plan at which it happens."""
    advised: bool
    advice: str


@dataclass(frozen=True, slots=True)
class _Check:
    """What all lifts of a piece are checked with."""

    solid: Solid
    density_kg_m3: float
    depth_mm: float
    mix: Mix
    terms: ShopTerms
    rule: Rupture
    each_kg: float
    total_kg: float


def handling(
    solid: Solid,
    geometry: Geometry,
    weights: Weights,
    mix: Mix,
    cure: Sequence[CureStep],
    terms: ShopTerms,
) -> Handling:
    """Lifts of a piece: mass, people, and bending of the weakest net section at the age of each lift.

    People: the less of the shop's limit a person and the NIOSH limit for one person with the piece on edge at
    knuckle height; teams by HSE's factors (2/3 for two, 1/2 for three, a fourth adds nothing); above that,
    gear. Bending: self weight × handling factor against modulus of rupture (the shop's rule) ÷ safety; the
    mass is spread as the concrete is. Ages are those of the cure plan's turn and delivery. Sources: NIOSH
    94-110, HSE L23, ACI 318M or EN 1992-1-1; handling factor from precast practice (C78, C79).
    """
    one = OneLift(reach_cm(geometry.envelope_mm[2] / 10, _KNUCKLE_CM), _KNUCKLE_CM, travel_cm=25.0)
    rwl_kg = multipliers(one).rwl_kg
    check = _check(solid, geometry, weights, mix, terms, min(terms.lift_limit_kg, rwl_kg))
    lifts = [_lift(hold, check, cure) for hold in _holds(geometry)]
    advised = [lift for lift in lifts if lift.advised]
    along_x = max((lift for lift in lifts if lift.axis == "x"), key=lambda lift: lift.utilisation)
    counts = [lift.people for lift in advised]
    return Handling(
        total_kg=weights.total_kg,
        people=None if None in counts else max(count for count in counts if count is not None),
        utilisation=max(lift.utilisation for lift in advised),
        weakest_x_mm=along_x.weakest_at_mm,
        lifts=tuple(lifts),
        niosh_rwl_kg=round(rwl_kg, _PLACES),
        niosh_lifting_index=round(weights.total_kg / rwl_kg, _PLACES) if rwl_kg else None,
        working=_people_working(check, rwl_kg),
        disclaimer=DISCLAIMER,
    )


def turn_strength_mpa(
    solid: Solid,
    geometry: Geometry,
    weights: Weights,
    mix: Mix,
    terms: ShopTerms,
) -> float:
    """Strength in MPa that the lifts at the turn, held as advised, ask for: for `cure_plan(turn_mpa=…)`.

    f = (stress × handling factor × safety ÷ (0.62·λ))² by the ACI rule; in proportion by Eurocode 2. Never
    more than the mix has at `LONGEST_WAIT_DAYS` of equivalent age: a piece that asks for more is turned in
    a frame.
    """
    check = _check(solid, geometry, weights, mix, terms, terms.lift_limit_kg)
    holds = [hold for hold in _holds(geometry) if hold.advised and hold.step == "turn"]
    needed = max(_strength_needed(_bending(hold, check).stress_mpa, check) for hold in holds)
    return min(needed, strength_mpa(mix, LONGEST_WAIT_DAYS * 24))


def _holds(geometry: Geometry) -> tuple[_Hold, ...]:
    length, width, _ = geometry.envelope_mm
    along: Axis = "x" if length >= width else "y"
    across: Axis = "y" if along == "x" else "x"
    tilt = "Tilt it up about one long edge, hands spread along the other; never let it drop back."
    edge = "Carry it upright on a long edge, held near both ends; brace the strips beside openings."
    best = f"Hold it {figure(BEST_POINT, 2)} of the length in from each end, on padded bearers."
    ends = "Better not carried flat by its ends: it bends most so."
    travel = "Travel upright on a long edge, strapped to a frame, on padded bearers."
    return (
        _Hold("Tilt up", "tilted, at long edges", across, 0.0, False, 0.5, "turn", True, tilt),
        _Hold("Carry on edge", "on edge", along, 0.0, True, 1.0, "turn", True, edge),
        _Hold("Carry flat", "flat, at best points", along, BEST_POINT, False, 1.0, "turn", False, best),
        _Hold("Carry flat", "flat, at ends", along, 0.0, False, 1.0, "turn", False, ends),
        _Hold("Deliver", "on edge", along, 0.0, True, 1.0, "deliver", True, travel),
    )


def _check(
    solid: Solid,
    geometry: Geometry,
    weights: Weights,
    mix: Mix,
    terms: ShopTerms,
    each_kg: float,
) -> _Check:
    density = weights.total_kg / geometry.volume_m3
    rule = rule_of(terms)
    return _Check(solid, density, solid.thickness_mm, mix, terms, rule, each_kg, weights.total_kg)


def rule_of(terms: ShopTerms) -> Rupture:
    """The shop's rule for the modulus of rupture. Refused for another than `aci` or `ec2`."""
    for rule in RULES:
        if terms.rupture_rule == rule:
            return rule
    message = f"the modulus of rupture is reckoned by one of {', '.join(RULES)}"
    raise Refused([Fault("terms.rupture_rule", message, "bad_choice", terms.rupture_rule)])


def _bending(hold: _Hold, check: _Check) -> Bending:
    supports = held_at(check.solid, hold.axis, hold.inset)
    return worst_bending(check.solid, hold.axis, check.density_kg_m3, supports, on_edge=hold.on_edge)


def _strength_needed(stress_mpa: float, check: _Check) -> float:
    wanted = stress_mpa * check.terms.handling_factor * check.terms.flexure_safety
    return strength_for_mpa(check.mix, wanted, check.depth_mm, check.rule)


def _lift(hold: _Hold, check: _Check, cure: Sequence[CureStep]) -> Lift:
    step = _step(hold.step, cure)
    bending = _bending(hold, check)
    terms = check.terms
    bent_mpa = bending.stress_mpa * terms.handling_factor
    rupture = rupture_mpa(check.mix, step.strength_mpa, check.depth_mm, check.rule)
    allowable = rupture / terms.flexure_safety
    mass = check.total_kg * hold.share
    people = people_for(mass, check.each_kg, terms.people_available)
    return Lift(
        name=hold.name,
        mass_kg=round(mass, _PLACES),
        age_days=float(step.earliest_day),
        people=people,
        span=hold.span,
        stress_mpa=round(bent_mpa, _PLACES),
        allowable_mpa=round(allowable, _PLACES),
        utilisation=round(bent_mpa / allowable, _PLACES),
        weakest_at_mm=round(bending.at_mm, _PLACES),
        axis=hold.axis,
        advice=_advice(hold, check, bending, bent_mpa / allowable, mass if people is None else None),
        working=_bending_working(bending, check, bent_mpa, rupture, step),
        advised=hold.advised,
    )


def _step(name: str, cure: Sequence[CureStep]) -> CureStep:
    for step in cure:
        if step.step == name:
            return step
    raise ValueError(f"the cure plan has no step {name!r}, so the age of its lifts is not known")


def _advice(
    hold: _Hold, check: _Check, bending: Bending, utilisation: float, beyond_hands_kg: float | None
) -> str:
    words = [hold.advice]
    if utilisation > 1:
        needed = _strength_needed(bending.stress_mpa, check)
        where = f"{format_length(bending.at_mm, check.terms.unit_system)} along {hold.axis}"
        words.append(f"It may crack {where}:")
        if needed <= check.mix.strength_28d_mpa:
            wait = f"wait until the concrete has {stress(needed, check.terms.unit_system)}, or"
            words.append(f"{wait} support it all over: a stiff board or a frame clamped to it.")
        else:
            words.append("support it all over: a stiff board or a frame clamped to it.")
    if beyond_hands_kg is not None:
        leg = format_mass(sling_leg_kg(beyond_hands_kg, _SLING_DEG), check.terms.unit_system)
        words.append(
            f"Beyond hands: use a hoist, tilting frame or trolley; two slings at 60° carry {leg} each."
        )
    return " ".join(words)


def _bending_working(bending: Bending, check: _Check, bent_mpa: float, rupture: float, step: CureStep) -> str:
    system, factor, safety = check.terms.unit_system, check.terms.handling_factor, check.terms.flexure_safety
    moment, modulus = bending.moment_nmm / 1e3, bending.modulus_mm3 / 1e3  # N·m ÷ cm³ is MPa
    return (
        f"{figure(abs(moment))} N·m ÷ {figure(modulus)} cm³ × {figure(factor)} = {stress(bent_mpa, system)}; "
        f"modulus of rupture {stress(rupture, system)} at {stress(step.strength_mpa, system)} on day "
        f"{step.earliest_day}, ÷ {figure(safety)} = {stress(rupture / safety, system)}"
    )


def _people_working(check: _Check, rwl_kg: float) -> str:
    def mass(kg: float) -> str:
        return format_mass(kg, check.terms.unit_system)

    teams = ", ".join(
        f"{people} people {mass(team_capacity_kg(people, check.each_kg))}"
        for people in range(2, LARGEST_TEAM + 1)
    )
    return (
        f"{mass(check.total_kg)}; one person {mass(check.each_kg)} (the less of the shop's limit "
        f"{mass(check.terms.lift_limit_kg)} and NIOSH {mass(rwl_kg)}, which is for one person alone); "
        f"by HSE team factors {teams}"
    )
