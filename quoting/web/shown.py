"""Figures as the shop reads them: its units, its currency, its locale."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from babel.numbers import format_currency, format_decimal, format_percent

from catalog import selectors as catalogue
from catalog.models import ShopTerms
from quoting.engine.units import (
    KG_PER_LB,
    M2_PER_SQ_FT,
    MM_PER_INCH,
    format_area,
    format_length,
    format_mass,
    format_volume,
    format_volume_l,
)


@dataclass(frozen=True, slots=True)
class Figures:
    """Spells figures for one shop."""

    system: str
    currency: str
    locale: str

    def money(self, amount: Decimal | str) -> str:
        """An amount with its currency; the minus stands before it."""
        return format_currency(Decimal(amount), self.currency, locale=self.locale)

    def percent(self, share: Decimal | float | str) -> str:
        """A share, to a tenth of a percent."""
        return format_percent(Decimal(str(share)), format="#,##0.#%", locale=self.locale)

    def rate(self, share: Decimal | float | str) -> str:
        """A rate of tax, with all its decimals: 8.875 % is not 8.9 %."""
        return format_percent(Decimal(str(share)), format="#,##0.######%", locale=self.locale)

    def number(self, value: Decimal | float, places: int = 3) -> str:
        """A number with at most so many decimals."""
        return format_decimal(round(Decimal(str(value)), places), format="#,##0.######", locale=self.locale)

    def hours(self, hours: float) -> str:
        """Hours, to a tenth."""
        return f"{format_decimal(Decimal(str(hours)), format='#,##0.0', locale=self.locale)} h"

    def length(self, length_mm: float) -> str:
        """A length."""
        return format_length(length_mm, self.system)

    def mass(self, mass_kg: float) -> str:
        """A mass."""
        return format_mass(mass_kg, self.system)

    def area(self, area_m2: float) -> str:
        """An area."""
        return format_area(area_m2, self.system)

    def volume(self, volume_m3: float) -> str:
        """A volume of concrete."""
        return format_volume(volume_m3, self.system)

    def evaporation(self, rate_kg_m2_h: float) -> str:
        """Water that leaves a surface in an hour."""
        if self.system == "us":
            return f"{self.number(rate_kg_m2_h * M2_PER_SQ_FT / KG_PER_LB, 2)} lb a square foot an hour"
        return f"{self.number(rate_kg_m2_h, 2)} kg a m² an hour"

    def content(self, quantity: float, unit: str) -> str:
        """A quantity of a material in the shop's own unit: square feet for m², pounds for kg."""
        if self.system == "us":
            match unit:
                case "m²":
                    return format_area(quantity, "us")
                case "kg":
                    return format_mass(quantity, "us")
                case "L":
                    return format_volume_l(quantity, "us")
                case "mL":
                    return format_volume_l(quantity / 1000, "us")
                case "m":
                    return f"{self.number(quantity * 1000 / (12 * MM_PER_INCH), 2)} ft"
        return f"{self.number(quantity)} {unit}"


def figures(row: ShopTerms | None = None) -> Figures:
    """The shop's own way of writing figures, from the catalogue's row of its terms if it is at hand."""
    shop = row or catalogue.shop_terms()
    return Figures(shop.unit_system, shop.currency, shop.locale)
