"""What the frame of every page says of the shop."""

from __future__ import annotations

from django import template

from catalog import selectors as catalogue
from catalog.models import ShopTerms

register = template.Library()


@register.simple_tag
def shop_terms() -> ShopTerms:
    """The shop's terms: its name, and what it measures, reckons and prints in."""
    return catalogue.shop_terms()
