"""The traveller: the paper that goes with a piece through the shop, from the first board to the last lift.

Made from what `workshop_data` wrote down; it carries no money and no pay, since it hangs where anybody reads.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

import segno
from babel.dates import format_date, get_date_format

from catalog.selectors import Logo
from quoting.documents.client_quote import sized
from quoting.documents.render import pdf
from quoting.engine.takeoff.calendar import on_calendar
from quoting.engine.takeoff.lines import CureStep
from quoting.engine.values import ShopTerms

MOST_TICKS = 24
"""Boxes to tick for batches done; more are counted in the head."""


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
    logo: Logo | None = None


def traveller_pdf(work: Work, pieces: Sequence[Mapping[str, Any]], terms: ShopTerms) -> bytes:
    """The traveller of one or several pieces, PDF/UA-1; `terms` give the days that the shop works."""
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
        "pieces": [_shown(piece, work, terms) | {"number": at} for at, piece in enumerate(pieces, start=1)],
    }
    return pdf("quoting/papers/traveller.html", context, paper=work.paper, logo=work.logo)


def _shown(piece: Mapping[str, Any], work: Work, terms: ShopTerms) -> dict[str, Any]:
    """A piece with its days from the pour on, its drawings sized for the paper, its batches to tick."""
    steps = [CureStep(**step) for step in piece["cure"]]
    return {
        **piece,
        "cure": [
            {"name": step.name, "day": _day(step.day, work), "why": step.why}
            for step in on_calendar(steps, work.pour, terms)
        ],
        "sheets": sized(piece["sheets"], work.paper),
        "mould": sized([piece["mould"]], work.paper)[0],
        "batches": [
            batch | {"ticks": range(1, min(batch["all"], MOST_TICKS) + 1)} for batch in piece["batches"]
        ],
    }


def _day(day: date, work: Work) -> str:
    locale = work.locale if work.locale.startswith("en") else "en_GB"
    month_first = get_date_format("long", locale=locale).pattern.startswith("M")
    return format_date(day, "EEE, MMM d, y" if month_first else "EEE d MMM y", locale=locale)


def _qr(address: str) -> str:
    """The address as a QR code (ISO/IEC 18004), a drawing with its address for alternative text."""
    code = segno.make(address, error="m", micro=False)
    return str(code.svg_inline(border=4, omitsize=True, title=f"QR code: {address}"))
