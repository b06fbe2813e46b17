"""Taking a suggestion of the look-back into the catalogue: a new dated standard, the old one kept."""

from __future__ import annotations

from datetime import date

from django.db import transaction

from catalog import selectors as catalogue
from catalog.models import OperationStandard
from catalog.services.labour import set_standard
from shop.jobs.services.common import refuse

_LEAST, _MOST = 0.1, 10.0


@transaction.atomic
def accept_suggestion(
    code: str,
    *,
    on: date,
    who: str,
    factor: float | None = None,
    breakage: float | None = None,
    jobs: int,
) -> OperationStandard:
    """Set an operation's standard from a day on: its hours times `factor`, its chance of breakage.

    Set-up, hours a driver and least hours are all multiplied. `jobs` is how many stand behind it, for the
    note. Refused without a standard to start from, or for a factor outside 0.1 to 10.
    """
    standard = catalogue.standard_history(code).filter(valid_from__lte=on).first()
    if standard is None:
        refuse("operation", "This operation has no standard yet.", "missing", code)
    values: dict[str, object] = {}
    said = []
    if factor is not None:
        if not _LEAST <= factor <= _MOST:
            refuse("factor", f"From {_LEAST:g} to {_MOST:g}.", "out_of_range", factor)
        values = {
            "setup_hours": round(standard.setup_hours * factor, 6),
            "minimum_hours": round(standard.minimum_hours * factor, 6),
            "per_driver_hours": {
                driver: round(hours * factor, 6) for driver, hours in standard.per_driver_hours.items()
            },
        }
        said.append(f"hours × {factor:g}")
    if breakage is not None:
        values["breakage"] = breakage
        said.append(f"breakage {breakage:g}")
    note = f"Look-back over {jobs} jobs: {', '.join(said)}."
    return set_standard(code, values | {"note": note}, valid_from=on, today=on, who=who)
