"""The library priced again: the same figures in one process and in several, after a price rise."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from io import StringIO

import pytest
from django.core.management import call_command

from catalog.services.materials import set_price
from quoting.models import SavedPiece
from quoting.selectors.library import reprice
from quoting.selectors.pieces import newest_revisions
from shop.demo import load_demo
from shop.scenario import specification

MONDAY = date(2026, 3, 2)
SPRING = date(2026, 4, 1)
HEARTH = specification("hearth")["name"]
pytestmark = pytest.mark.django_db


def test_same_figures_in_one_process_and_in_two_after_a_price_rise() -> None:
    issued = load_demo("metric", on=MONDAY).issued
    set_price("BAG-GREY", Decimal("19.00"), valid_from=SPRING, today=SPRING)
    pieces = list(newest_revisions())
    alone = list(reprice(pieces, on=SPRING))
    together = list(reprice(pieces, on=SPRING, workers=2))
    assert [row.outcome for row in alone] == [row.outcome for row in together]
    table = next(row for row in alone if row.last is not None)
    assert table.last is not None
    assert table.last.number == issued.quote.number
    assert table.last.unit_price == Decimal(issued.data["items"][0]["unit_price"])
    assert table.change is not None
    assert table.change > 0


def put_away_all_but(*names: str) -> None:
    SavedPiece.objects.exclude(name__in=names).update(archived=True)


def told(*options: str) -> tuple[str, str]:
    out, err = StringIO(), StringIO()
    call_command("reprice", *options, "--workers", "1", stdout=out, stderr=err)
    return out.getvalue(), err.getvalue()


def test_the_command_tells_every_piece_and_how_far_it_is() -> None:
    number = load_demo("metric", on=MONDAY).issued.quote.number
    put_away_all_but("Reading-room table", HEARTH)
    out, err = told("--on", "2026-03-02")
    assert f"+0.00 since {number} of" in out
    assert "never quoted" in out
    assert "2 pieces, 0 without a price" in out
    assert "2 of 2" in err


def test_a_piece_that_cannot_be_priced_says_why() -> None:
    load_demo("metric", on=MONDAY)
    put_away_all_but(HEARTH)
    out, _ = told("--on", "2020-01-01")
    assert f"{HEARTH}, revision 1: no price:" in out
    assert "1 piece, 1 without a price" in out
