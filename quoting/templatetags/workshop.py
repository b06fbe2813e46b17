"""What the frame of every page says of the shop."""

from __future__ import annotations

from django import template

from catalog import selectors as catalogue

register = template.Library()


@register.simple_tag
def shop_name() -> str:
    """The shop's name as its terms have it."""
    return str(catalogue.shop_terms().name) or "Concrete to commission"
