"""Plans written by hand, filled up from the catalogue of a day."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from typing import Any

from catalog import selectors as catalogue
from catalog.errors import NoSuchRow
from quoting.engine.errors import Fault, Refused
from quoting.engine.money import to_minor
from shop.jobs.planning import MaterialPlan, OperationPlan
from shop.jobs.selectors.rates import hour_rate


def operation_plan(told: Mapping[str, Any], on: date, path: str = "") -> OperationPlan:
    """An operation by hand; name, stage, role, rate, breakage from the catalogue where it has the code.

    Refused where neither says what is needed.
    """
    code, hours = told["code"], told["hours"]
    known, standard = _known(code, on)
    stage = told.get("stage") or (known.stage if known is not None else "")
    role = told.get("role") or (standard.role.code if standard is not None else "")
    rate = told["rate"] if "rate" in told else hour_rate(role, on) if role else None
    faults = [
        Fault(f"{path}.operations.{code}.{name}", f"Say the {name}: the catalogue does not.", "required")
        for name, missing in (("stage", not stage), ("rate", rate is None))
        if missing
    ]
    if faults or rate is None:
        raise Refused(faults)
    return OperationPlan(
        code=code,
        name=told.get("name") or (known.name if known is not None else code),
        stage=stage,
        role=role,
        crew=standard.crew if standard is not None else 1,
        hours=hours,
        rate=rate,
        cost=to_minor(hours * rate, catalogue.shop_terms().minor_units),
        remake_hours=hours,
        breakage=standard.breakage if standard is not None else 0.0,
        back_to=standard.back_to.code if standard is not None and standard.back_to is not None else "",
        planned_on=told.get("planned_on"),
    )


def material_plan(told: Mapping[str, Any]) -> MaterialPlan:
    """A material by hand."""
    quantity: Decimal = told["quantity"]
    return MaterialPlan(
        code=told["code"],
        name=told["name"] or told["code"] or "Material",
        stage=told["stage"],
        unit=told["unit"],
        quantity=quantity,
        cost=told["cost"],
    )


def _known(code: str, on: date) -> tuple[Any, Any]:
    try:
        known = catalogue.operation(code)
    except NoSuchRow:
        return None, None
    return known, catalogue.standard_history(code).filter(valid_from__lte=on).first()
