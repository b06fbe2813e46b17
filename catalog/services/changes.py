"""The record of what was changed: the services write it in the transaction of the change itself."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from datetime import date
from decimal import Decimal
from typing import Any

from django.db import models

from catalog.models import CatalogueChange
from catalog.models.changes import ChangedKind
from catalog.selectors import trimmed

Said = dict[str, Any]
_IN_WORDS = 200
"""Characters of a value that a search looks in."""


def said(row: models.Model, names: Collection[str]) -> Said:
    """Return what a row says in some columns, as JSON; another row by its code, a picture by its hash."""
    return {name: _as_json(getattr(row, name)) for name in names}


def _as_json(value: Any) -> Any:
    if isinstance(value, models.Model):
        return getattr(value, "code", None) or getattr(value, "sha256", None) or str(value.pk)
    if isinstance(value, Decimal):
        return f"{trimmed(value):f}"
    if isinstance(value, str):
        return value.replace("\r\n", "\n")  # a form sends line ends of its own: they change nothing
    return value.isoformat() if isinstance(value, date) else value


def change_of(
    kind: ChangedKind, code: str, before: Mapping[str, Any], after: Mapping[str, Any], *, who: str, new: bool
) -> CatalogueChange | None:
    """Return the row to note, not yet saved; None where nothing changed.

    Of what is `new`, `before` is what an empty row says: only what differs from that is told.
    """
    cells = [
        {"column": name, "before": None if new else before[name], "after": value}
        for name, value in after.items()
        if value != before[name]
    ]
    if not cells:
        return None
    return CatalogueChange(
        by=who, kind=kind, code=code, new=new, columns=cells, words=_words(kind, cells, new=new)
    )


def _words(kind: ChangedKind, cells: list[dict[str, Any]], *, new: bool) -> str:
    told = [str(kind.label), "new" if new else "changed"]
    for cell in cells:
        told += [cell["column"], cell["column"].replace("_", " ")]
        told += [str(cell[side])[:_IN_WORDS] for side in ("before", "after") if cell[side] not in (None, "")]
    return "\n".join(told)


def note_change(
    kind: ChangedKind,
    code: str,
    before: Mapping[str, Any],
    after: Mapping[str, Any],
    *,
    who: str,
    new: bool = False,
) -> None:
    """Note who changed what, if anything did change. Call it in the transaction of the change."""
    change = change_of(kind, code, before, after, who=who, new=new)
    if change is not None:
        change.save(force_insert=True)
