"""An estimate as the sheet of a piece: drawings, figures with their working, lines by stage."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import groupby
from typing import Any

from quoting.documents.quoted_piece import in_words
from quoting.engine.drawing.isometric import isometric
from quoting.engine.drawing.plan import plan
from quoting.engine.drawing.section import section_view
from quoting.engine.drawing.template import templates
from quoting.engine.estimate.build import Estimate
from quoting.engine.estimate.words import describe
from quoting.engine.takeoff.calendar import DatedStep, Promise
from quoting.engine.takeoff.lines import CureStep, Lift, MaterialLine
from quoting.engine.takeoff.strength import stress
from quoting.engine.takeoff.wording import hands
from quoting.web.shown import Figures

STAGES = {
    "mould": "Mould",
    "concrete": "Concrete",
    "reinforcement": "Reinforcement",
    "cast": "Casting",
    "strip": "Stripping",
    "turn": "Turning",
    "fill": "Filling",
    "polish": "Polishing",
    "seal": "Sealing",
    "fit": "Fitting",
    "light": "Lighting",
    "extra": "Bought in",
    "deliver": "Delivery",
}


USUAL_CAUTIONS = frozenset(
    {
        "silica_dust",
        "wet_cement",
        "chromium",
        "blades",
        "vapours",
        "cold_pour",
        "hot_pour",
        "drying_surface",
        "lifting",
        "sharp_edges",
        "wet_tools",
        "supports",
        "food_contact",
    }
)
"""Of work and use, whatever is drawn: folded while a piece is being drawn, in full on its sheet."""


@dataclass(frozen=True, slots=True)
class Fact:
    """One figure of a piece and how it came about."""

    label: str
    value: str
    working: str = ""


def facts(made: Estimate, shown: Figures) -> list[Fact]:
    """What a maker asks first: size, weight, people, hours, price."""
    price, weights = made.price, made.weights
    hours = sum(line.hours for line in made.labour)
    size = " × ".join(shown.length(side) for side in made.geometry.envelope_mm)
    weight = (
        f"concrete {shown.mass(weights.concrete_kg)} + steel {shown.mass(weights.steel_kg)}"
        f" + fitted {shown.mass(weights.fitted_kg)}; base and packing not in"
    )
    steps = {step.code: step.working for step in price.steps}
    several = made.quantity > 1
    facts = [
        Fact("Over all", size),
        Fact("Weight of one", shown.mass(weights.total_kg), weight),
        Fact("People to lift it", people(made.handling.people), made.handling.working),
        Fact("Hours of work", shown.hours(hours), "all hands together; each operation is listed below"),
        Fact("Price of one", shown.money(price.unit_price), steps.get("unit_price", "")),
    ]
    if several:
        facts.append(Fact(f"Price of {made.quantity}", shown.money(price.net), steps.get("net", "")))
    facts.append(Fact("With tax", shown.money(price.gross), steps.get("gross", "")))
    return facts


def people(number: int | None) -> str:
    """How many people lift it, or that hands are not enough."""
    return hands(number) or "lifting gear"


def sheet(made: Estimate, shown: Figures, names: Mapping[str, str], *, pay: bool) -> dict[str, Any]:
    """All that the page of a piece shows; without `pay`, no operation's cost."""
    return {
        "facts": facts(made, shown),
        "included": describe(made.piece, names, system=shown.system),
        "drawings": drawings(made, names, shown.system),
        "materials": _materials(made, shown),
        "labour": _labour(made, shown, pay),
        "steps": [
            {
                "name": step.name,
                "amount": shown.money(step.amount),
                "working": step.working,
                "code": step.code,
            }
            for step in made.price.steps
        ],
        "margin": shown.percent(made.price.achieved_margin),
        "batches": made.batches,
        "cure": [
            _cure(step, dated, shown) for step, dated in zip(made.cure, made.promise.steps[1:], strict=True)
        ],
        "promise": _promise(made.promise),
        "traced": bool(templates(made.solid, shown.system)),
        "lifts": [_lift(lift, shown) for lift in made.handling.lifts],
        "disclaimer": made.handling.disclaimer,
        **cautions(made),
        "stale": [line.name for line in made.materials if line.stale],
        "quantities": _quantities(made, shown),
        "pay": pay,
    }


def drawings(made: Estimate, names: Mapping[str, str], system: str) -> list[dict[str, Any]]:
    """Plan, section, isometric view; two of them lettered for a desk and for a phone, materials by name."""
    solid, measured = in_words(made.solid, names), made.geometry
    return [
        {
            "svg": plan(solid, measured, system=system).svg,
            "small": plan(solid, measured, system=system, compact=True, prefix="small-plan").svg,
        },
        {
            "svg": section_view(solid, measured, system=system).svg,
            "small": section_view(solid, measured, system=system, compact=True, prefix="small-section").svg,
        },
        {"svg": isometric(solid, measured, system=system).svg},
    ]


def cautions(made: Estimate) -> dict[str, Any]:
    """What this piece asks care for, and what any work with concrete does."""
    return {
        "cautions": [caution for caution in made.cautions if caution.code not in USUAL_CAUTIONS],
        "usual_cautions": [caution for caution in made.cautions if caution.code in USUAL_CAUTIONS],
    }


def _materials(made: Estimate, shown: Figures) -> list[dict[str, Any]]:
    rows = groupby(made.materials, key=lambda line: line.stage)
    return [
        {"stage": STAGES.get(stage, stage), "lines": [_material(line, shown) for line in lines]}
        for stage, lines in rows
    ]


def _material(line: MaterialLine, shown: Figures) -> dict[str, Any]:
    packs = f"{line.packs} × {line.pack_name}"
    return {
        "name": line.name,
        "need": shown.content(float(line.gross), line.unit),
        "bought": packs,
        "cost": shown.money(line.cost),
        "by_use": shown.money(line.cost_by_use),
        "working": line.working,
        "source": line.source,
        "supplier": line.supplier,
        "stale": line.stale,
    }


def _labour(made: Estimate, shown: Figures, pay: bool) -> list[dict[str, Any]]:
    return [
        {
            "name": line.name,
            "stage": STAGES.get(line.stage, line.stage),
            "crew": line.crew,
            "hours": shown.hours(line.hours),
            "cost": shown.money(line.cost) if pay else "",
            "rate": shown.money(line.rate) if pay else "",
            "working": line.working,
        }
        for line in made.labour
    ]


def _cure(step: CureStep, dated: DatedStep, shown: Figures) -> dict[str, Any]:
    return {
        "name": step.name,
        "day": step.earliest_day,
        "on": dated.day,
        "held": dated.held_days,
        "strength": stress(step.strength_mpa, shown.system),
        "why": step.why,
    }


def _promise(promise: Promise) -> dict[str, Any]:
    return {
        "start": promise.start,
        "first": promise.pours[0],
        "last": promise.pours[-1] if len(promise.pours) > 1 else None,
        "ready": promise.ready,
        "working": promise.working,
    }


def _lift(lift: Lift, shown: Figures) -> dict[str, Any]:
    return {
        "name": lift.name,
        "span": lift.span,
        "mass": shown.mass(lift.mass_kg),
        "people": people(lift.people),
        "utilisation": shown.percent(lift.utilisation),
        "advice": lift.advice,
        "working": lift.working,
        "advised": lift.advised,
        "over": lift.utilisation > 1,
    }


def _quantities(made: Estimate, shown: Figures) -> list[Fact]:
    measured = made.geometry
    areas = (
        ("Show face", measured.show_area_m2),
        ("Sides", measured.side_area_m2),
        ("Inside voids", measured.void_area_m2),
        ("Underside", measured.underside_area_m2),
        ("Inside troughs", measured.trough_area_m2),
    )
    return [
        Fact("Concrete", shown.volume(measured.volume_m3)),
        *(Fact(label, shown.area(area)) for label, area in areas if area),
        Fact("Edge", shown.length(measured.edge_length_m * 1000)),
    ]
