"""What is typed into the small forms of jobs, read with a maker's message where it cannot be read."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
from decimal import Decimal, InvalidOperation
from typing import Any

from django.db import models
from django.utils import timezone
from django.utils.dateparse import parse_datetime

from quoting.engine.errors import Fault, Refused

MOST = Decimal(10) ** 8
"""No figure of a job is as large."""


class Typed:
    """A form's texts, read field by field. What cannot be read is noted, and refused with all the rest."""

    def __init__(self, texts: Mapping[str, str]) -> None:
        self._texts = texts
        self._faults: list[Fault] = []

    def checked(self) -> None:
        """Raise Refused with everything that could not be read; call it before anything is written."""
        if self._faults:
            raise Refused(self._faults)

    def wrong(self, name: str, message: str, code: str) -> None:
        """Note what is wrong with a field."""
        self._faults.append(Fault(name, message, code, self.text(name)[:80]))

    def has(self, name: str) -> bool:
        """Whether the form has this field at all."""
        return name in self._texts

    def text(self, name: str) -> str:
        """A text, trimmed."""
        return str(self._texts.get(name, "")).strip()

    def needed(self, name: str, message: str) -> str:
        """A text that has to be there."""
        if not self.text(name):
            self.wrong(name, message, "required")
        return self.text(name)

    def number(self, name: str, what: str) -> Decimal:
        """A number; a comma does for a point."""
        try:
            found = Decimal(self.text(name).replace(",", "."))
        except InvalidOperation:
            found = Decimal("NaN")
        if found.is_finite() and abs(found) < MOST:
            return found
        self.wrong(name, f"{what}: write a number such as 12.5.", "invalid")
        return Decimal(0)

    def maybe_number(self, name: str, what: str) -> Decimal | None:
        """A number, or nothing where nothing was typed."""
        return self.number(name, what) if self.text(name) else None

    def whole(self, name: str, what: str) -> int:
        """A whole number."""
        found = self.number(name, what)
        if found != int(found):
            self.wrong(name, f"{what}: write a whole number.", "invalid")
        return int(found)

    def day(self, name: str) -> date:
        """A day; today where nothing was typed."""
        return self.maybe_day(name) or timezone.localdate()

    def maybe_day(self, name: str) -> date | None:
        """A day, or nothing where nothing was typed."""
        typed = self.text(name)
        try:
            return date.fromisoformat(typed) if typed else None
        except ValueError:
            self.wrong(name, "Write a date as YYYY-MM-DD.", "invalid")
            return None

    def maybe_instant(self, name: str) -> datetime | None:
        """An instant in the site's zone, or nothing where nothing was typed."""
        typed = self.text(name)
        try:
            found = parse_datetime(typed)
        except ValueError:
            found = None
        if typed and found is None:
            self.wrong(name, "Write a time as YYYY-MM-DD HH:MM.", "invalid")
        return timezone.make_aware(found) if found is not None and timezone.is_naive(found) else found

    def chosen(self, name: str, rows: models.QuerySet[Any], what: str) -> Any:
        """The row whose key was chosen."""
        typed = self.text(name)
        known = typed.isascii() and typed.isdecimal() and len(typed) < 19
        found = rows.filter(pk=int(typed)).first() if known else None
        if found is None:
            self.wrong(name, f"{what}: choose one of the list.", "unknown")
        return found

    def maybe_chosen(self, name: str, rows: models.QuerySet[Any], what: str) -> Any:
        """The row whose key was chosen, or nothing where none was."""
        return self.chosen(name, rows, what) if self.text(name) else None
