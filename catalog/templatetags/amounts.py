"""Amounts on pages."""

from __future__ import annotations

from decimal import Decimal

from django import template

from catalog.selectors import trimmed

register = template.Library()


@register.filter
def amount(value: Decimal | None) -> str:
    """Return an amount with two places, more only where they say something; nothing for none."""
    return "" if value is None else f"{trimmed(value):f}"
