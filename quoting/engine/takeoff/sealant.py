"""The fillet of sealant along every inner arris of the mould, and the cartridges it takes."""

from __future__ import annotations

import math

from quoting.engine.takeoff.lines import MaterialLine, Mould
from quoting.engine.takeoff.stock import of_role, packed_line
from quoting.engine.takeoff.wording import figure, quantity
from quoting.engine.units import ML_PER_US_FL_OZ
from quoting.engine.values import PriceBook, ShopTerms


def concave_fillet_mm2(radius_mm: float) -> float:
    """Section of a concave quarter-round fillet: r²·(1 − π/4) in mm², which is mL per metre (C143).

    >>> round(concave_fillet_mm2(6), 2)
    7.73
    """
    return radius_mm**2 * (1 - math.pi / 4)


def triangular_fillet_mm2(leg_mm: float) -> float:
    """Section of a flat fillet with legs a: a²/2 in mm², which is mL per metre (C142).

    >>> triangular_fillet_mm2(6)
    18.0
    """
    return leg_mm**2 / 2


def run_m(cartridge_ml: float, section_mm2: float) -> float:
    """Length of bead from one cartridge in m: content ÷ section (C144).

    >>> round(run_m(310, concave_fillet_mm2(6)), 1)
    40.1
    """
    return cartridge_ml / section_mm2


def sealant(mould: Mould, book: PriceBook, terms: ShopTerms, pieces: int = 1) -> tuple[MaterialLine, ...]:
    """Sealant for all castings: the mould is cleaned out and beaded again for every one.

    Σ over joint kinds of length × r²·(1 − π/4), r the shop's fillet (or the piece's rounded edge, where the
    bead makes it). Raises Refused when the price list has no `fillet_sealant`.
    """
    if not mould.bead_m:
        return ()
    material = of_role(book, "fillet_sealant")
    system = terms.unit_system
    need_ml = pieces * sum(length * concave_fillet_mm2(radius) for _, length, radius in mould.bead_m)
    kinds = []
    for kind, length_m, radius_mm in mould.bead_m:
        run = f"{kind} {quantity(length_m, 'm', system)}"
        kinds.append(f"{run} × {_rate(concave_fillet_mm2(radius_mm), system)}")
    total = " + ".join(kinds)
    lead = f"{pieces} × ({total})" if pieces > 1 else total
    return (packed_line(material, "mould", need_ml, terms, lead=lead),)


def _rate(ml_per_m: float, system: str) -> str:
    if system == "us":
        return f"{figure(ml_per_m / ML_PER_US_FL_OZ * 0.3048)} fl oz/ft"
    return f"{figure(ml_per_m)} mL/m"
