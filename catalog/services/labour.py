"""Writes of roles and their pay, operations and their standards."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from django.db import transaction

from catalog import selectors
from catalog.errors import Fault
from catalog.models import Operation, OperationStandard, Role, RoleRate
from catalog.models.changes import ChangedKind
from catalog.services.changes import note_change, said
from catalog.services.checks import as_date, assign, faults_of, find, put_dated, refuse, save_new

ROLE, OPERATION = ("name",), ("name", "stage", "position", "retired_from")
"""What may be said of a role and of an operation besides codes and what is dated."""
RATE_FIGURES = ("pay_per_hour", "on_costs")
STANDARD_FIGURES = (
    "crew",
    "setup_hours",
    "per_driver_hours",
    "setup_shared",
    "once_per_mould",
    "learning_rate",
    "minimum_hours",
    "spread_low",
    "spread_likely",
    "spread_high",
    "breakage",
    "when",
    "note",
)


@transaction.atomic
def create_role(values: Mapping[str, object], *, who: str = "") -> Role:
    """Create a role: code and name."""
    row = Role()
    faults = assign(row, values, ("code", *ROLE))
    refuse(faults + faults_of(row, exclude={fault.path for fault in faults}))
    save_new(row)
    note_change(ChangedKind.ROLE, row.code, said(Role(), ROLE), said(row, ROLE), who=who, new=True)
    return row


@transaction.atomic
def update_role(code: str, values: Mapping[str, object], *, who: str = "") -> Role:
    """Rename a role."""
    row = selectors.by_code(Role.objects.select_for_update(), "role", code)
    before = said(row, ROLE)
    faults = assign(row, values, ROLE)
    refuse(faults + faults_of(row, exclude={fault.path for fault in faults}))
    row.save()
    note_change(ChangedKind.ROLE, code, before, said(row, ROLE), who=who)
    return row


@transaction.atomic
def set_rate(
    code: str, values: Mapping[str, object], *, valid_from: date | str, today: date, who: str = ""
) -> RoleRate:
    """Set a role's pay from a date on; older pay stays as it is."""
    role = selectors.by_code(Role.objects.select_for_update(), "role", code)
    fresh = RoleRate(role=role, entered_by=who)
    faults = assign(fresh, {"valid_from": valid_from, **values}, ("valid_from", *RATE_FIGURES))
    refuse(faults + faults_of(fresh, exclude={"role", *(fault.path for fault in faults)}, unique=False))
    return put_dated(fresh, "role", today=today)


@transaction.atomic
def create_operation(values: Mapping[str, object], *, who: str = "") -> Operation:
    """Create an operation: code, name, stage, and its place in the order of work (last, if not said)."""
    row = Operation(position=selectors.next_position())
    faults = assign(row, values, ("code", *OPERATION))
    refuse(faults + faults_of(row, exclude={fault.path for fault in faults}))
    save_new(row)
    before, after = said(Operation(), OPERATION), said(row, OPERATION)
    note_change(ChangedKind.OPERATION, row.code, before, after, who=who, new=True)
    return row


@transaction.atomic
def update_operation(code: str, values: Mapping[str, object], *, who: str = "") -> Operation:
    """Change an operation's name, stage, place or retirement; its figures are dated standards."""
    row = selectors.by_code(Operation.objects.select_for_update(), "operation", code)
    before = said(row, OPERATION)
    faults = assign(row, values, OPERATION)
    faults += faults_of(row, exclude={fault.path for fault in faults})
    refuse(faults)
    row.save()
    note_change(ChangedKind.OPERATION, code, before, said(row, OPERATION), who=who)
    return row


@transaction.atomic
def set_standard(
    code: str, values: Mapping[str, object], *, valid_from: date | str, today: date, who: str = ""
) -> OperationStandard:
    """Set an operation's standard from a date on; what `values` leaves out stays as it was.

    `values` may hold `role` and `back_to` by code and the names of `STANDARD_FIGURES`.
    """
    operation = selectors.by_code(Operation.objects.select_for_update(), "operation", code)
    fresh = OperationStandard(operation=operation, entered_by=who)
    faults: list[Fault] = []
    start = as_date(valid_from, "valid_from", faults)
    if start is not None:
        fresh.valid_from = start
        _carry_over(fresh)
    plain = {name: value for name, value in values.items() if name not in {"role", "back_to"}}
    faults += assign(fresh, plain, STANDARD_FIGURES)
    _name_others(fresh, values, faults)
    excluded = {"operation", "role", "valid_from", *(fault.path for fault in faults)}
    refuse(faults + faults_of(fresh, exclude=excluded, unique=False))
    return put_dated(fresh, "operation", today=today)


def _carry_over(fresh: OperationStandard) -> None:
    """Start from the standard that held until the new one's date."""
    earlier = fresh.operation.standards.filter(valid_from__lte=fresh.valid_from)
    before = earlier.order_by("-valid_from").first()
    if before is None:
        return
    for name in (*STANDARD_FIGURES, "role_id", "back_to_id"):
        if name != "note":
            setattr(fresh, name, getattr(before, name))


def _name_others(fresh: OperationStandard, values: Mapping[str, object], faults: list[Fault]) -> None:
    if "role" in values:
        role = find(Role, values["role"], "role", faults)
        if role is not None:
            fresh.role = role
    if "back_to" in values:
        fresh.back_to = find(Operation, values["back_to"], "back_to", faults)
    unnamed = getattr(fresh, "role_id", None) is None
    if unnamed and not any(fault.path == "role" for fault in faults):
        faults.append(Fault("role", "Name the role whose work it is.", "missing"))
