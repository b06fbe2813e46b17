"""A pour's day as plain data."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from quoting.engine.estimate.pour_day import PourDay


def pour_day_object(found: PourDay) -> dict[str, Any]:
    """JSON values: the pour and its steps with their days, the temperatures they rest on, the cautions."""
    rules = {step.step: step for step in found.cure}
    steps = []
    for dated in found.steps:
        rule = rules.get(dated.step)
        steps.append(
            {
                "step": dated.step,
                "name": dated.name,
                "day": dated.day.isoformat(),
                "equivalent_age_h": rule.equivalent_age_h if rule else 0.0,
                "strength_mpa": rule.strength_mpa if rule else 0.0,
                "why": dated.why,
            }
        )
    return {
        "day": found.day.isoformat(),
        "temperatures_c": list(found.temperatures_c),
        "steps": steps,
        "cautions": [asdict(caution) for caution in found.cautions],
        "evaporation_kg_m2_h": found.evaporation_kg_m2_h,
    }
