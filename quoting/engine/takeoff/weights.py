"""What one piece weighs."""

from __future__ import annotations

from quoting.engine.solid.build import Solid
from quoting.engine.solid.measure import Geometry
from quoting.engine.takeoff.fitted import fitted_kg
from quoting.engine.takeoff.lines import Weights
from quoting.engine.takeoff.reinforcement import steel_kg
from quoting.engine.takeoff.stock import mix_of
from quoting.engine.values import PriceBook, ShopTerms


def weights(solid: Solid, geometry: Geometry, book: PriceBook, terms: ShopTerms) -> Weights:
    """Mass of one piece: Σ volume of each mix × its hardened density, mesh and bars, inlays and inserts.

    Base and packing are not in. The steel's volume is not taken out of the concrete's (it is some 0.1 % of
    it). Raises Refused for codes or figures the price list lacks. Hardened density, not the dry mass in the
    bags per m³, which is some 8 % less (check value C3).
    """
    concrete_kg = sum(
        volume_m3 * mix_of(book, code or solid.piece.mix, terms).density_kg_m3
        for code, volume_m3 in geometry.volume_by_mix
    )
    steel, fitted = steel_kg(solid, book), fitted_kg(solid, book)
    return Weights(concrete_kg, steel, fitted, concrete_kg + steel + fitted)
