"""Shares on pages."""

from __future__ import annotations

from decimal import Decimal

from django import template

register = template.Library()


@register.filter
def plain_percent(share: float | Decimal | str | None) -> str:
    """Return a share as a percentage with one decimal; nothing for none."""
    return "" if share is None or share == "" else f"{float(share) * 100:.1f} %"


@register.filter
def signed_percent(share: float | str | None) -> str:
    """Return a share as a percentage that says which way; nothing for none."""
    if share is None or share == "":
        return ""
    percent = round(float(share) * 100, 1)
    return f"{percent:+.1f} %".replace("-", "−") if percent else "0.0 %"
