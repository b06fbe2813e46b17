"""Numbers on pages."""

from __future__ import annotations

from decimal import Decimal

from django import template

from catalog.measures import CONTENT, measure_of
from catalog.models import Material
from catalog.selectors import PricedMaterial, trimmed

register = template.Library()


@register.filter
def figure(value: float | None) -> str:
    """Return a number to six places of worth, without needless noughts; nothing for none."""
    return "" if value is None else f"{value:.6g}"


@register.filter
def counted(value: float | None, column: str) -> str:
    """Return a column's figure with its unit; `column` is its name, a colon, the shop's unit system."""
    name, _, system = column.partition(":")
    measure = measure_of(name, system)
    return figure(value) if measure is None or value is None else measure.shown(value)


@register.filter
def content(row: Material, system: str) -> str:
    """Return what a pack holds, in the shop's unit.

    >>> content(Material(kind="bagged_mix", pack_size=36.28738959, pack_name="bag"), "us")
    'bag of 80 lb'
    """
    measure = CONTENT.get(row.kind) if system == "us" else None
    if measure is None:
        return f"{row.pack_name} of {figure(row.pack_size)} {row.content_unit}"
    return f"{row.pack_name} of {measure.shown(row.pack_size)} {measure.unit}"


@register.filter
def per_unit(row: PricedMaterial, system: str) -> str:
    """Return the price of one of the shop's units of content, to four places."""
    measure = CONTENT.get(row.material.kind) if system == "us" else None
    if row.price is None or row.unit_price is None:
        return ""
    if measure is None:
        return f"{trimmed(row.unit_price):f}"
    units = Decimal(repr(row.material.pack_size)) / Decimal(repr(float(measure.factor)))
    return f"{trimmed((row.price / units).quantize(Decimal('0.0001'))):f} / {measure.unit}"


@register.filter
def percent(value: float | Decimal | None) -> str:
    """Return a fraction as per cent; nothing for none."""
    return "" if value is None else f"{float(value) * 100:.6g} %"


@register.filter
def amount(value: Decimal | None) -> str:
    """Return an amount with two places, more only where they say something; nothing for none."""
    return "" if value is None else f"{trimmed(value):f}"
