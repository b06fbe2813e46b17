"""Taking a suggestion of the look-back into the catalogue: a new dated standard, the old one kept."""

from __future__ import annotations

from datetime import date

from django.db import transaction

from catalog.models import OperationStandard
from catalog.services.labour import set_standard
from shop.jobs.selectors.lookback import Finding
from shop.jobs.services.common import refuse


@transaction.atomic
def accept_finding(found: Finding, *, hours: bool, breakage: bool, on: date, who: str) -> OperationStandard:
    """Set an operation's standard from a day on as the jobs suggest: hours, chance of breakage, or both.

    Set-up, hours a driver and least hours are multiplied alike; the note says how many jobs stand behind it.
    Refused when nothing is chosen, or nothing is suggested of what is chosen.
    """
    values: dict[str, object] = {}
    said = []
    if hours:
        factor = found.hours.factor
        if factor is None:
            refuse("hours", "Fewer than three jobs say nothing yet.", "too_few", found.hours.jobs)
        values |= _hours(found.standard, factor)
        said.append(f"hours × {factor:g} over {found.hours.jobs} jobs")
    if breakage:
        chance = found.breakage.suggested
        if chance is None:
            refuse("breakage", "Fewer than three jobs say nothing yet.", "too_few", found.breakage.jobs)
        values["breakage"] = chance
        said.append(f"breakage {chance:g}, {found.breakage.breaks} of {found.breakage.castings} castings")
    if not said:
        refuse("hours", "Choose hours, breakage or both.", "required")
    note = f"Look-back: {'; '.join(said)}."
    return set_standard(found.code, values | {"note": note}, valid_from=on, today=on, who=who)


def _hours(standard: OperationStandard, factor: float) -> dict[str, object]:
    return {
        "setup_hours": round(standard.setup_hours * factor, 6),
        "minimum_hours": round(standard.minimum_hours * factor, 6),
        "per_driver_hours": {
            driver: round(each * factor, 6) for driver, each in standard.per_driver_hours.items()
        },
    }
