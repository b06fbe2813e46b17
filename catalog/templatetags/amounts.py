"""Numbers on pages."""

from __future__ import annotations

from decimal import Decimal

from django import template

from catalog.selectors import trimmed

register = template.Library()


@register.filter
def figure(value: float | None) -> str:
    """Return a number to six places of worth, without needless noughts; nothing for none."""
    return "" if value is None else f"{value:.6g}"


@register.filter
def percent(value: float | Decimal | None) -> str:
    """Return a fraction as per cent; nothing for none."""
    return "" if value is None else f"{float(value) * 100:.6g} %"


@register.filter
def amount(value: Decimal | None) -> str:
    """Return an amount with two places, more only where they say something; nothing for none."""
    return "" if value is None else f"{trimmed(value):f}"
