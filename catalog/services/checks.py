"""What every write does first: put values on a row, collect what is wrong with it, keep dated rows honest."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from datetime import date
from difflib import get_close_matches
from typing import Any, TypeVar

from django.core.exceptions import NON_FIELD_ERRORS, ValidationError
from django.db import IntegrityError, models, transaction

from catalog.errors import CatalogRefused, Fault
from catalog.models.columns import Dated

M = TypeVar("M", bound=models.Model)
D = TypeVar("D", bound=Dated)
_BOOKKEEPING = frozenset({"id", "entered_at", "entered_by"})
_SHOWN = 80
_MOST = 10**15
_CONTROL = re.compile(r"[\x00-\x1f\x7f]")


def shown(value: object) -> str | None:
    """Return an offending value for a fault, shortened."""
    if value is None:
        return None
    text = str(value)
    return text if len(text) <= _SHOWN else text[: _SHOWN - 1] + "…"


def assign(row: models.Model, values: Mapping[str, object], allowed: Collection[str]) -> list[Fault]:
    """Put `values` on a row and return the faults of those that cannot stand there as they are."""
    faults = []
    for name, value in values.items():
        if name not in allowed:
            faults.append(Fault(name, "There is no such value here.", "unknown_key", shown(value)))
            continue
        field = row._meta.get_field(name)
        message = _misfit(field, value)
        if message:
            faults.append(Fault(name, message, "invalid", shown(value)))
            continue
        setattr(row, name, _as_kept(field, value))
    return faults


def _as_kept(field: Any, value: object) -> object:
    """Return a value as its column takes it: trimmed, blank as nothing, the digits of a float as written."""
    if isinstance(value, str):
        value = value.strip()
    if value == "" and field.null:
        return None
    if isinstance(value, float) and isinstance(field, models.DecimalField):
        return repr(value)
    return value


def as_date(value: date | str, path: str, faults: list[Fault]) -> date | None:
    """Return a date given as such or as YYYY-MM-DD, or add a fault."""
    if isinstance(value, date):
        return value
    try:
        return date.fromisoformat(value)
    except (TypeError, ValueError):
        faults.append(Fault(path, "Give a date as YYYY-MM-DD.", "invalid", shown(value)))
        return None


def _misfit(field: Any, value: object) -> str:
    """Return why a value would be bent silently by a column, or nothing."""
    whole = isinstance(field, models.IntegerField)
    numeric = whole or isinstance(field, models.FloatField | models.DecimalField)
    if value is None and not field.null:
        return "Give a value, or leave it out."
    if isinstance(value, str) and "\x00" in value:
        return "A text cannot hold the character NUL."
    if isinstance(value, str) and isinstance(field, models.CharField) and _CONTROL.search(value.strip()):
        return "Write it on one line."
    if numeric and isinstance(value, bool):
        return "Give a number."
    if numeric and isinstance(value, int) and abs(value) > _MOST:
        return "That number is too large."
    if isinstance(field, models.DateField) and not isinstance(value, str | date | None):
        return "Give a date as YYYY-MM-DD."
    if whole and isinstance(value, float) and not value.is_integer():
        return "Give a whole number."
    if (
        isinstance(field, models.CharField | models.TextField)
        and value is not None
        and not isinstance(value, str)
    ):
        return "Give a text."
    return ""


def faults_of(row: models.Model, *, exclude: Collection[str] = (), unique: bool = True) -> list[Fault]:
    """Return everything a row's own rules find wrong with it; ranges are checked by its columns.

    `exclude` names columns of which enough has been said. The database's constraints are the last guard, not
    asked here: each would cost a query.
    """
    try:
        row.full_clean(exclude=set(exclude), validate_unique=unique, validate_constraints=False)
    except ValidationError as refused:
        return [
            Fault(
                "" if name == NON_FIELD_ERRORS else name,
                " ".join(fault.messages),
                str(fault.code or "invalid"),
                shown(getattr(row, name, None)),
            )
            for name, found in refused.error_dict.items()
            for fault in found
            if name not in exclude
        ]
    return []


def find(model: type[M], code: object, path: str, faults: list[Fault]) -> M | None:
    """Return the row that a code names, None for no code; an unknown code is a fault naming the nearest."""
    if code is None or code == "":
        return None
    if isinstance(code, model):
        return code
    rows: models.Manager[M] = model._default_manager
    found = rows.filter(code=code).first() if isinstance(code, str) and "\x00" not in code else None
    if found is None:
        known = [str(one) for one in rows.order_by("code").values_list("code", flat=True)]
        near = get_close_matches(str(code).upper(), known, n=1, cutoff=0.5)
        hint = f" Did you mean {near[0]}?" if near else ""
        faults.append(Fault(path, f"There is no such code.{hint}", "unknown_code", shown(code)))
    return found


def refuse(faults: Collection[Fault]) -> None:
    """Raise if there is any fault; one place and sentence is said once."""
    if faults:
        raise CatalogRefused(dict.fromkeys(faults))


def save_new(row: models.Model) -> None:
    """Save a new row; if somebody else has just taken its code, refuse like any taken code."""
    try:
        with transaction.atomic():
            row.save(force_insert=True)
    except IntegrityError:
        code = getattr(row, "code", None)
        if not type(row)._default_manager.filter(code=code).exists():
            raise
        refuse([Fault("code", "That code is taken.", "unique", shown(code))])


def dated_fault(fresh: Dated, history: Collection[Dated], *, today: date) -> Fault | None:
    """Return why a dated row cannot join the rows there are: it would rewrite what held in the past.

    The same figures for the same date change nothing. A date from `today` on may be set again. A date before
    `today` is taken only where nothing held yet, since what held then has been used.
    """
    unchanged = same_date(fresh, history)
    if unchanged is not None and figures(unchanged) == figures(fresh):
        return None
    if fresh.valid_from < today and any(row.valid_from <= fresh.valid_from for row in history):
        message = f"What held in the past stands as it was used: start on {today.isoformat()} or later."
        return Fault("valid_from", message, "past", fresh.valid_from.isoformat())
    return None


def same_date(fresh: Dated, history: Collection[D]) -> D | None:
    """Return the row that starts on the same date, if any."""
    return next((row for row in history if row.valid_from == fresh.valid_from), None)


def put_dated(fresh: D, owner: str, *, today: date) -> D:
    """Save a dated row and return it, unless it would rewrite the past; see `dated_fault`."""
    history = list(type(fresh)._default_manager.filter(**{owner: getattr(fresh, owner)}))
    fault = dated_fault(fresh, history, today=today)
    refuse([fault] if fault else [])
    before = same_date(fresh, history)
    if before is not None and figures(before) == figures(fresh):
        return before
    if before is not None:
        fresh.pk = before.pk
        fresh._state.adding = False
    fresh.save()
    return fresh


def figures(row: Dated) -> dict[str, Any]:
    """Return what a dated row says, without its key and bookkeeping."""
    fields = (field for field in row._meta.concrete_fields if field.name not in _BOOKKEEPING)
    return {field.attname: getattr(row, field.attname) for field in fields}
