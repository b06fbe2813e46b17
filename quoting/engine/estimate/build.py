"""From a piece to its estimate: solid, quantities, hours, cure, handling, price, in that order."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from quoting.engine.errors import Fault, Refused
from quoting.engine.pricing.build_up import Price, price
from quoting.engine.solid.build import Solid, build
from quoting.engine.solid.measure import Geometry, measure
from quoting.engine.spec.cautions import cautions as piece_cautions
from quoting.engine.spec.types import Finish, Piece
from quoting.engine.takeoff.calendar import Promise, first_pour, promise
from quoting.engine.takeoff.cautions import cautions as work_cautions
from quoting.engine.takeoff.cure import cure_plan
from quoting.engine.takeoff.handling import handling, turn_strength_mpa
from quoting.engine.takeoff.labour import labour
from quoting.engine.takeoff.lines import (
    BatchPlan,
    Caution,
    CureStep,
    Handling,
    LabourLine,
    MaterialLine,
    Mould,
    Weights,
)
from quoting.engine.takeoff.materials import MaterialsTakeoff, materials
from quoting.engine.takeoff.mould import makes
from quoting.engine.takeoff.stock import of_role
from quoting.engine.takeoff.weather import Weather
from quoting.engine.takeoff.weights import weights
from quoting.engine.values import Mix, PriceBook, ShopTerms


@dataclass(frozen=True, slots=True)
class Estimate:
    """Everything that follows from one piece, a quantity, the prices of a day and the shop's terms.

    Geometry, weights, cure and handling are of one piece; mould, materials, labour and price serve the
    whole `quantity`.
    """

    piece: Piece
    """With the shop's default mix and finish filled in."""
    quantity: int
    on: date
    solid: Solid
    geometry: Geometry
    weights: Weights
    mould: Mould
    moulds: int
    """How many moulds the quantity wears out."""
    materials: tuple[MaterialLine, ...]
    batches: tuple[BatchPlan, ...]
    drivers: Mapping[str, float]
    labour: tuple[LabourLine, ...]
    cure: tuple[CureStep, ...]
    promise: Promise
    """The day each step falls on, and the day all can be ready, if nothing else is in hand."""
    handling: Handling
    cautions: tuple[Caution, ...]
    price: Price


def with_defaults(piece: Piece, terms: ShopTerms) -> Piece:
    """The piece with the shop's mix and finish where the specification leaves them open."""
    finish = piece.finish or Finish(
        fill=terms.finish_fill,  # type: ignore[arg-type]
        grits=terms.finish_grits,
        sealer=terms.finish_sealer,
        coats=terms.finish_coats,
        faces=terms.finish_faces,  # type: ignore[arg-type]
    )
    return replace(piece, mix=piece.mix or terms.default_mix, finish=finish)


def estimate(
    piece: Piece,
    book: PriceBook,
    terms: ShopTerms,
    *,
    quantity: int | None = None,
    tax_category: str = "standard",
    start: date | None = None,
    forecast_c: Sequence[float] = (),
    weather: Weather | None = None,
) -> Estimate:
    """Take off and price `quantity` pieces (by default the specification's own quantity), taxed in one of the
    categories that the terms have a rate for.

    Work starts on `start` (by default the price book's day); the pour follows the mould. `forecast_c` are
    mean temperatures in °C day by day from the pour, in place of the shop's by month; `weather` is the air
    over the fresh concrete. Raises Refused for a quantity below 1, a tax category without a rate, and
    when the catalogue lacks something the piece needs, with every such fault.
    """
    whole = with_defaults(piece, terms)
    mix = _mix(whole, book)
    count = piece.quantity if quantity is None else quantity
    if count < 1:
        raise Refused([Fault("quantity", "at least one piece", "out_of_range", str(count))])
    solid = build(whole)
    geometry = measure(solid)
    sold = priced(solid, geometry, book, terms, count, tax_category)
    weighed = weights(solid, geometry, book, terms)
    begin = start or book.on
    pour = first_pour(sold.labour, begin, terms)
    turn_mpa = turn_strength_mpa(solid, geometry, weighed, mix, terms)
    cure = cure_plan(mix, terms, pour=pour, finish=whole.finish, forecast_c=forecast_c, turn_mpa=turn_mpa)
    said = work_cautions(whole, geometry, weighed, terms, pour=pour, forecast_c=forecast_c, weather=weather)
    return Estimate(
        piece=whole,
        quantity=count,
        on=book.on,
        solid=solid,
        geometry=geometry,
        weights=weighed,
        mould=sold.taken.mould,
        moulds=sold.moulds,
        materials=sold.taken.lines,
        batches=sold.taken.batches,
        drivers=sold.taken.drivers_part,
        labour=sold.labour,
        cure=cure,
        promise=promise(sold.labour, cure, begin, terms, casts=count),
        handling=handling(solid, geometry, weighed, mix, cure, terms),
        cautions=_all_cautions(whole, terms.unit_system, sold.taken.cautions, said),
        price=sold.price,
    )


@dataclass(frozen=True, slots=True)
class Priced:
    """What a number of pieces takes and sells for: the part of an estimate that changes with the number."""

    taken: MaterialsTakeoff
    moulds: int
    labour: tuple[LabourLine, ...]
    price: Price


def priced(
    solid: Solid,
    geometry: Geometry,
    book: PriceBook,
    terms: ShopTerms,
    quantity: int,
    tax_category: str = "standard",
) -> Priced:
    """Materials, hours and price of a number of one piece, whose mix and finish are filled in."""
    taken = materials(solid, geometry, book, terms, quantity)
    moulds = makes(of_role(book, "mould_board"), quantity)
    hours = labour(book, taken.drivers_part, quantity, terms, moulds=moulds)
    asked = price(
        taken.lines,
        hours,
        terms=terms,
        quantity=quantity,
        moulds=moulds,
        delivery=solid.piece.delivery,
        tax_category=tax_category,
    )
    return Priced(taken, moulds, hours, asked)


def _mix(piece: Piece, book: PriceBook) -> Mix:
    code = piece.mix or ""
    if code not in book.mixes:
        known = ", ".join(sorted(book.mixes)) or "none yet"
        raise Refused(
            [Fault("mix", f"the catalogue has no mix {code!r}; it has {known}", "unknown_code", code)]
        )
    return book.mixes[code]


def _all_cautions(piece: Piece, system: str, *groups: tuple[Caution, ...]) -> tuple[Caution, ...]:
    """The piece's own cautions first; one sentence is said once."""
    said = [
        Caution(code=caution.code, text=caution.text, source=caution.source)
        for caution in piece_cautions(piece, system)
    ]
    said += [caution for group in groups for caution in group]
    return tuple(dict.fromkeys(said))
