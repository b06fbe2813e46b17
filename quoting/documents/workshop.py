"""What the shop's own papers of a quote say, as plain data: written down at issue with everything else.

Traveller and buying list are made of it alone, so that a price, a rule of ours or a program of next year
changes neither. The days of the cure follow from the day of the pour and are not in it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict
from typing import Any

from quoting.documents.buying_list import buying_object
from quoting.documents.cut_sheets import cut_sheets
from quoting.documents.quoted_piece import drawings, mould_in_words, stock_in_words
from quoting.engine.drawing.mould_view import exploded
from quoting.engine.drawing.values import Drawing
from quoting.engine.takeoff.buying import buying_list
from quoting.engine.takeoff.lines import BatchPlan, LabourLine, Lift, MouldPart
from quoting.engine.takeoff.wording import count_of, hands, in_shop_units
from quoting.engine.units import format_length, format_mass, format_volume
from quoting.engine.values import PriceBook
from quoting.selectors.quotes import PricedItem, PricedQuote

Data = dict[str, Any]

STAGES = {
    "mould": "Build the mould",
    "reinforcement": "Reinforce",
    "cast": "Pour day",
    "strip": "Strip",
    "turn": "Turn",
    "fill": "Fill",
    "polish": "Polish",
    "seal": "Seal",
    "fit": "Fit",
    "light": "Light",
    "deliver": "Deliver",
}
"""Names of the stages; one of the shop's own stands under its name."""


def workshop_data(priced: PricedQuote, book: PriceBook, names: Mapping[str, str]) -> Data:
    """Every piece as the traveller tells of it, and what to order for each choice the client has.

    `orders` has the choice for its key: empty for all pieces together, else the name of the option.
    """
    system = priced.terms.unit_system
    choices = ["", *(option.name for option in priced.options if option.name)]
    return {
        "format": 1,
        "pieces": [
            _piece(item, book, names, system, str(position))
            for position, item in enumerate(priced.items, start=1)
        ],
        "orders": {choice: _orders(priced, book, choice) for choice in choices},
    }


def chosen_pieces(workshop: Mapping[str, Any], choice: str) -> list[Data]:
    """The pieces of a choice: all of them before there is one."""
    return [one for one in workshop["pieces"] if not choice or one["option"] in ("", choice)]


def _orders(priced: PricedQuote, book: PriceBook, choice: str) -> list[Data]:
    wanted = [item for item in priced.items if not choice or item.item.option in ("", choice)]
    return buying_object(buying_list([item.estimate.materials for item in wanted], book, priced.terms))


def _drawn(made: Drawing) -> Data:
    return {"title": made.title, "width_mm": made.width_mm, "height_mm": made.height_mm, "svg": made.svg}


def _piece(item: PricedItem, book: PriceBook, names: Mapping[str, str], system: str, suffix: str) -> Data:
    made = item.estimate
    views = drawings(made, names, system, suffix)
    length, width, height = made.geometry.envelope_mm
    carried, stock = made.handling, stock_in_words(made.mould, names)
    return {
        "name": made.piece.name,
        "option": item.item.option,
        "quantity": made.quantity,
        "size": " × ".join(format_length(side, system) for side in (length, width, height)),
        "mass": format_mass(made.weights.total_kg, system),
        "people": hands(carried.people) or "lifting gear, not hands",
        "cautions": [{"text": caution.text, "source": caution.source} for caution in made.cautions],
        "sheets": [_drawn(views["plan"]), _drawn(views["section"])],
        "mould": _drawn(
            exploded(made.solid, mould_in_words(made.mould, names), system=system, prefix=f"mould-{suffix}")
        ),
        "parts": [_part(part, system, stock) for part in made.mould.parts],
        "cuts": [_drawn(sheet) for sheet in cut_sheets(made, book, system, suffix)],
        "notes": list(made.mould.notes),
        "steel": [
            {"name": line.name, "working": line.working}
            for line in made.materials
            if line.stage == "reinforcement"
        ],
        "batches": [_batch(batch, made.quantity, system) for batch in made.batches],
        "steps": [_step(line) for line in made.labour],
        "cure": [asdict(step) for step in made.cure],
        "lifts": [_lift(lift, system) for lift in carried.lifts if lift.advised],
        "disclaimer": carried.disclaimer,
    }


def _part(part: MouldPart, system: str, stock: Mapping[str, str]) -> Data:
    bend = f", bent to {format_length(part.bend_radius_mm, system)}" if part.bend_radius_mm else ""
    return {
        "mark": part.drawing,
        "name": part.name,
        "quantity": part.quantity,
        "length": format_length(part.length_mm, system),
        "width": format_length(part.width_mm, system),
        "edges": f"{part.edges}{bend}",
        "material": stock[part.drawing],
    }


def _batch(batch: BatchPlan, pieces: int, system: str) -> Data:
    return {
        "mix": batch.name,
        "batches": batch.batches,
        "all": batch.batches * pieces,
        "volume": format_volume(batch.volume_m3, system),
        "parts": [{"name": part.name, "mass": _weight(part.kg, system)} for part in batch.parts],
        "notes": list(batch.notes),
        "working": batch.working,
    }


def _weight(kg: float, system: str) -> str:
    """What the scale is to show: the fine scale's step too, which a mass told to a tenth would hide.

    >>> _weight(20.45, "metric"), _weight(0.0165, "metric"), _weight(0.01632932532, "us")
    ('20.45 kg', '0.0165 kg', '0.036 lb')
    """
    value, unit = in_shop_units(kg, "kg", system)
    return f"{f'{value:.4f}'.rstrip('0').rstrip('.')} {unit}"


def _step(line: LabourLine) -> Data:
    return {
        "stage": STAGES.get(line.stage, line.stage.capitalize()),
        "name": line.name,
        "crew": line.crew,
        "hours": f"{line.elapsed_hours:.1f}",
    }


def _lift(lift: Lift, system: str) -> Data:
    return {
        "name": lift.name,
        "span": lift.span,
        "age": count_of(round(lift.age_days), "day"),
        "people": lift.people or "gear",
        "used": f"{100 * lift.utilisation:.0f} %",
        "weakest": f"{format_length(lift.weakest_at_mm, system)} along {lift.axis}",
        "advice": lift.advice,
    }
