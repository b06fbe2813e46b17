"""The traveller: the paper that goes with a piece through the shop, from the first board to the last lift.

Made from the same estimate as the price; it carries no money and no pay, since it hangs where anybody reads.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

import segno
from babel.dates import format_date

from quoting.documents.client_quote import LEAST_SHARE, ROOM_MM
from quoting.documents.cut_sheets import cut_sheets
from quoting.documents.quoted_piece import drawings
from quoting.documents.render import pdf
from quoting.engine.drawing.mould_view import exploded
from quoting.engine.drawing.values import Drawing
from quoting.engine.estimate.build import Estimate
from quoting.engine.takeoff.calendar import on_calendar
from quoting.engine.takeoff.lines import BatchPlan, LabourLine, Lift, MouldPart
from quoting.engine.units import format_length, format_mass, format_volume
from quoting.engine.values import PriceBook, ShopTerms

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


@dataclass(frozen=True)
class Work:
    """What a traveller is made for."""

    title: str
    number: str
    """Of the quote or job; `draft` before there is one."""
    pour: date
    address: str
    """Where the QR code leads: the bench page of the job, or the page of the quote."""
    shop_name: str
    locale: str
    paper: str


def traveller_pdf(
    work: Work, pieces: Sequence[Estimate], book: PriceBook, terms: ShopTerms, names: Mapping[str, str]
) -> bytes:
    """The traveller of one or several pieces, PDF/UA-1."""
    context = {
        "work": work,
        "language": work.locale.replace("_", "-") if work.locale.startswith("en") else "en-GB",
        "cells": (
            ("Workshop", work.shop_name),
            ("Document", f"Traveller {work.number}"),
            ("Commission", work.title),
            ("Pour from", _day(work.pour, work)),
        ),
        "code": _qr(work.address),
        "pieces": [
            _piece(made, work, book, terms, names, str(at)) | {"number": at}
            for at, made in enumerate(pieces, start=1)
        ],
    }
    return pdf("quoting/papers/traveller.html", context, paper=work.paper)


def _piece(
    made: Estimate, work: Work, book: PriceBook, terms: ShopTerms, names: Mapping[str, str], suffix: str
) -> dict[str, Any]:
    system = terms.unit_system
    views = drawings(made, names, system, suffix)
    length, width, height = made.geometry.envelope_mm
    carried = made.handling
    return {
        "name": made.piece.name,
        "quantity": made.quantity,
        "size": " × ".join(format_length(side, system) for side in (length, width, height)),
        "mass": format_mass(made.weights.total_kg, system),
        "people": f"{carried.people} people" if carried.people else "lifting gear, not hands",
        "cautions": made.cautions,
        "sheets": _sized((views["plan"], views["section"]), work.paper),
        "mould": exploded(made.solid, made.mould, system=system, prefix=f"mould-{suffix}"),
        "parts": [_part(part, system, names) for part in made.mould.parts],
        "cuts": list(cut_sheets(made, book, system, suffix)),
        "notes": made.mould.notes,
        "batches": [_batch(batch, made.quantity, system) for batch in made.batches],
        "steps": [_step(line) for line in made.labour],
        "cure": [
            {"name": step.name, "day": _day(step.day, work), "why": step.why}
            for step in on_calendar(made.cure, work.pour, terms)
        ],
        "lifts": [_lift(lift, system) for lift in carried.lifts if lift.advised],
        "disclaimer": carried.disclaimer,
    }


def _sized(made: Sequence[Drawing], paper: str) -> list[dict[str, Any]]:
    """Drawings that share a sheet, made smaller together where they would not fit."""
    room = ROOM_MM[paper] - 12.0 * len(made)
    share = max(min(1.0, room / sum(one.height_mm for one in made)), LEAST_SHARE)
    return [{"svg": one.svg, "printed_mm": round(one.width_mm * share, 1)} for one in made]


def _part(part: MouldPart, system: str, names: Mapping[str, str]) -> dict[str, Any]:
    bend = f", bent to {format_length(part.bend_radius_mm, system)}" if part.bend_radius_mm else ""
    return {
        "mark": part.drawing,
        "name": part.name,
        "quantity": part.quantity,
        "length": format_length(part.length_mm, system),
        "width": format_length(part.width_mm, system),
        "edges": f"{part.edges}{bend}",
        "material": names.get(part.material, part.material),
    }


def _batch(batch: BatchPlan, pieces: int, system: str) -> dict[str, Any]:
    return {
        "mix": batch.name,
        "batches": batch.batches,
        "all": batch.batches * pieces,
        "volume": format_volume(batch.volume_m3, system),
        "parts": [{"name": part.name, "mass": format_mass(part.kg, system)} for part in batch.parts],
        "notes": batch.notes,
        "working": batch.working,
        "ticks": range(1, min(batch.batches * pieces, 24) + 1),
    }


def _step(line: LabourLine) -> dict[str, Any]:
    return {
        "stage": STAGES.get(line.stage, line.stage.capitalize()),
        "name": line.name,
        "crew": line.crew,
        "hours": f"{line.elapsed_hours:.1f}",
    }


def _lift(lift: Lift, system: str) -> dict[str, Any]:
    return {
        "name": lift.name,
        "span": lift.span,
        "age": f"{lift.age_days:g} days",
        "people": lift.people or "gear",
        "used": f"{100 * lift.utilisation:.0f} %",
        "weakest": f"{format_length(lift.weakest_at_mm, system)} along {lift.axis}",
        "advice": lift.advice,
    }


def _day(day: date, work: Work) -> str:
    return format_date(day, "EEE d MMM y", locale=work.locale if work.locale.startswith("en") else "en_GB")


def _qr(address: str) -> str:
    """The address as a QR code (ISO/IEC 18004), a drawing with its address for alternative text."""
    code = segno.make(address, error="m", micro=False)
    return str(code.svg_inline(border=4, omitsize=True, title=f"QR code: {address}"))
