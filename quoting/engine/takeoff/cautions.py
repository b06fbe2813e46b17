"""Where the work can hurt someone or spoil a pour: when it applies, one plain sentence, what it defers to.

These are the usual cautions of the trade, never a substitute for local codes, a supplier's safety data
sheet or licensed practice. Cautions about the shape of a piece are in `spec.cautions`.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date

from quoting.engine.solid.measure import Geometry
from quoting.engine.spec.types import Finish, Inlay, Opening, Piece, Trough
from quoting.engine.takeoff.cure import temperatures_c
from quoting.engine.takeoff.lines import Caution, Weights
from quoting.engine.takeoff.weather import (
    COLD_C,
    DISCHARGE_MOST_C,
    EVAPORATION_MOST_KG_M2_H,
    HEAT_CURE_MOST_C,
    HOT_C,
    THIN_LEAST_C,
    Weather,
    evaporation_kg_m2_h,
    temperature,
)
from quoting.engine.takeoff.wording import figure
from quoting.engine.units import KG_PER_LB, M2_PER_SQ_FT, format_length, format_mass
from quoting.engine.values import ShopTerms

LONG_RUN_MM = 1200.0
"""From this length on, supports in use are worth an engineer's look (common practice)."""
_FIRST_DAYS = 3
"""Days from the pour whose cold and heat are told: the longest that unloaded concrete is to be protected for
(exposed, without acceleration; ACI 306R-88 table 5.1, from memory; C124)."""

# Given for every piece. Check values C111 to C118 of the project's collection; saws and vapours from memory.
_ALWAYS = (
    Caution(
        "silica_dust",
        "Dry mix, sanding, cutting and grinding give off silica dust that scars the lungs for good: "
        "work wet or with extraction, wear a fitted respirator, clean with water or a vacuum, never "
        "sweep or blow it dry.",
        "29 CFR 1910.1053, HSE EH40; your local exposure limit rules",
    ),
    Caution(
        "wet_cement",
        "Wet cement burns skin and eyes deeply before it hurts: waterproof gloves, boots and eye "
        "protection; wash splashes off at once, and get medical help for an eye or a burn.",
        "HSE CIS26, OSHA guidance; the supplier's safety data sheet",
    ),
    Caution(
        "chromium",
        "Chromium in cement can cause an allergy that stays: use bags within their date and keep "
        "cement off the skin.",
        "REACH Annex XVII entry 47; the supplier's safety data sheet",
    ),
    Caution(
        "blades",
        "Saws, grinders and polishers: guards on, eyes, ears and lungs covered, no loose sleeves, "
        "nobody new to them alone.",
        "the tool's manual; local rules for work equipment",
    ),
    Caution(
        "vapours",
        "Release agents, sealants and sealers give off vapours: air the shop, keep flames and sparks "
        "away, keep oily rags in a closed metal bin.",
        "the supplier's safety data sheet",
    ),
)


def cautions(
    piece: Piece,
    geometry: Geometry,
    weights: Weights,
    terms: ShopTerms,
    *,
    pour: date,
    forecast_c: Sequence[float] = (),
    weather: Weather | None = None,
) -> tuple[Caution, ...]:
    """Every caution about making, moving and using a piece, in the order of the work.

    `piece` with the shop's finish filled in; temperatures are the forecast's, then the shop's by month, from
    the day of the `pour`; `weather` (air over the fresh surface) adds the evaporation check.
    """
    return (
        *_ALWAYS,
        *of_weather(terms, pour, forecast_c, weather),
        *_lifting(weights, terms),
        *_edges(piece),
        *_electrics(piece),
        *_in_use(piece, geometry, terms),
    )


def of_weather(
    terms: ShopTerms, pour: date, forecast_c: Sequence[float] = (), weather: Weather | None = None
) -> Iterator[Caution]:
    """Cautions of a pour on a day: its cold or heat by the forecast in °C, then the shop's by month; how fast
    the surface dries in the air over it.
    """
    yield from _temperature(terms, pour, forecast_c)
    yield from _evaporation(weather, terms.unit_system)


def _temperature(terms: ShopTerms, pour: date, forecast_c: Sequence[float]) -> Iterator[Caution]:
    def said(celsius: float) -> str:
        return temperature(celsius, terms.unit_system)

    days = temperatures_c(terms, pour, forecast_c, _FIRST_DAYS)
    coldest, hottest = min(days), max(days)
    least = said(THIN_LEAST_C)
    if coldest < COLD_C:
        yield Caution(
            "cold_pour",
            f"At {said(coldest)} this is cold-weather concreting: do not pour on frozen or "
            f"frosty moulds, warm water and shop, keep the concrete at {least} or more until it is out "
            "of danger, and let it cool slowly.",
            "ACI 306R",
        )
    elif coldest < THIN_LEAST_C:
        yield Caution(
            "cold_pour",
            f"At {said(coldest)} thin concrete hardens slowly: keep it at {least} or more "
            "while it cures (cover, warm water, heat that does not dry it), and trust its strength, "
            "not the calendar.",
            "ACI 306R",
        )
    if hottest >= HOT_C:
        yield Caution(
            "hot_pour",
            f"At {said(hottest)} concrete sets fast and cracks as it dries: pour in the "
            f"cool of the day, chill the water, keep the mix below {said(DISCHARGE_MOST_C)} "
            f"and curing concrete below {said(HEAT_CURE_MOST_C)}, cover it at once.",
            "ACI 305R, ACI 305.1",
        )


def _evaporation(weather: Weather | None, system: str) -> Iterator[Caution]:
    if weather is not None and (rate := evaporation_kg_m2_h(weather)) >= EVAPORATION_MOST_KG_M2_H:
        water, area = f"{figure(rate, 2)} kg", "m²"
        if system == "us":
            water, area = f"{figure(rate * M2_PER_SQ_FT / KG_PER_LB, 2)} lb", "sq ft"
        yield Caution(
            "drying_surface",
            f"Some {water} of water would leave each {area} an hour, and the fresh surface "
            "would crack: shade it, stop the wind, mist and cover it.",
            "ACI 305R",
        )


def _lifting(weights: Weights, terms: ShopTerms) -> Iterator[Caution]:
    if weights.total_kg > terms.lift_limit_kg:
        mass = format_mass(weights.total_kg, terms.unit_system)
        yield Caution(
            "lifting",
            f"At {mass} it is beyond one person: follow the lifting plan, agree who calls the lift, "
            "keep hands and feet out from under it, and stand clear of anything on a hoist.",
            "NIOSH 94-110, HSE L23; local manual handling and lifting gear rules",
        )


def _edges(piece: Piece) -> Iterator[Caution]:
    eased = any(edge.at == "top" and edge.sides is None for edge in piece.edges)
    sheets = any(isinstance(feature, Inlay) for feature in piece.features)
    if not eased or sheets:
        what = "Sheet inlays and fresh concrete arrises" if sheets else "Fresh concrete arrises"
        yield Caution(
            "sharp_edges",
            f"{what} are sharp: wear cut-proof gloves in stripping and turning, and ease every edge a "
            "hand will meet.",
            "common practice",
        )


def _electrics(piece: Piece) -> Iterator[Caution]:
    finish = piece.finish or Finish()
    if finish.grits:
        yield Caution(
            "wet_tools",
            "Polishing brings water to power tools: feed them through ground-fault protection (GFCI, "
            "RCD of 30 mA), keep plugs and leads off the wet floor, use tools made for wet work.",
            "29 CFR 1926.404, IEC 61008; local electrical rules",
        )
    if piece.lighting is not None and any(isinstance(each, Opening | Trough) for each in piece.features):
        yield Caution(
            "light_near_water",
            "This piece carries light and may meet water: a licensed electrician must say where light and "
            "supply may be, and makes the fixed connection.",
            "NFPA 70 article 411, IEC 60364-7-701; local electrical rules",
        )


def _in_use(piece: Piece, geometry: Geometry, terms: ShopTerms) -> Iterator[Caution]:
    longest = max(geometry.envelope_mm[:2])  # the load on public benches below: check value C81
    if longest > LONG_RUN_MM:
        yield Caution(
            "supports",
            f"{format_length(longest, terms.unit_system)} of concrete needs a base that is stiff and "
            "level: leave no long run or overhang unsupported, and have an engineer check anything "
            "people sit, stand or lean on.",
            "local building code; UFGS 02870 asks 10 kPa of public benches",
        )
    finish = piece.finish or Finish()
    if finish.sealer and "show" in finish.faces:
        yield Caution(
            "food_contact",
            "If food will touch it, use a sealer its maker declares fit for food, fully hardened, and "
            "tell the client that boards and mats still belong under knives and hot pans.",
            "the sealer's declaration; local food contact rules",
        )
