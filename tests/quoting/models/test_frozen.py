"""Nothing about an issued quote changes: not by its rows, their querysets, SQL or the catalogue."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.db import IntegrityError, connection, transaction
from django.db.models import ProtectedError

from catalog.models import MaterialPrice
from quoting.errors import Frozen
from quoting.models import (
    Client,
    IssuedQuote,
    NumberSeries,
    Quote,
    QuoteAnswer,
    QuoteEvent,
    QuoteItem,
    QuoteLine,
)
from quoting.models.frozen import guards
from quoting.services.clients import update_client
from quoting.services.pieces import revise_piece, save_piece
from quoting.services.quotes import ItemWanted, LineWanted, accept_quote, draft_quote, issue_quote
from tests.quoting.conftest import TODAY, specification


@pytest.fixture
def issued(starter: None, library: Client) -> IssuedQuote:
    """A quote that is out."""
    draft = draft_quote(
        library,
        title="Round tables",
        quoted_on=TODAY,
        items=[ItemWanted(save_piece(specification("round-table-top")))],
        lines=[LineWanted("Survey", Decimal(120))],
    )
    return issue_quote(draft, on=TODAY)


def _accepted(issued: IssuedQuote) -> QuoteAnswer:
    return accept_quote(issued.quote, name="Ada", data_sha256=issued.data_sha256, on=TODAY)


def _image() -> dict[str, Any]:
    """Everything kept of quotes, row by row."""
    tables = (Quote, QuoteItem, QuoteLine, IssuedQuote, QuoteAnswer, QuoteEvent, NumberSeries)
    return {model.__name__: list(model._base_manager.order_by("pk").values()) for model in tables}


def _refused(attempt: Callable[[], object], *errors: type[Exception]) -> None:
    before = _image()
    with pytest.raises(errors or (IntegrityError,)), transaction.atomic():
        attempt()
    assert _image() == before


def test_every_guard_stands_in_the_migrated_database(db: None) -> None:
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT tgname FROM pg_trigger"
            if connection.vendor == "postgresql"
            else "SELECT name FROM sqlite_master WHERE type = 'trigger'"
        )
        standing = {name for (name,) in cursor.fetchall()}
    assert {guard.name for guard in guards()} <= standing


def test_a_draft_changes_freely(starter: None, library: Client) -> None:
    draft = draft_quote(library, title="Survey", quoted_on=TODAY, lines=[LineWanted("Survey", Decimal(1))])
    Quote.objects.filter(pk=draft.pk).update(title="Two surveys", note="more")
    draft.lines.update(text="Survey, twice")
    draft.lines.all().delete()
    draft.delete()
    assert not Quote.objects.exists() and not QuoteEvent.objects.exists()


def test_the_frozen_row_refuses_to_be_saved_or_removed(issued: IssuedQuote) -> None:
    issued.data["gross"] = "1.00"
    _refused(issued.save, Frozen)
    _refused(issued.delete, Frozen)


def test_its_queryset_refuses(issued: IssuedQuote) -> None:
    rows = IssuedQuote.objects.all()
    _refused(lambda: rows.update(pdf=b""), Frozen)
    _refused(lambda: rows.bulk_update([issued], ["pdf"]), Frozen)
    _refused(rows.delete, Frozen)


def test_sql_cannot_change_any_column_of_the_frozen_row(issued: IssuedQuote) -> None:
    columns = [field.column for field in IssuedQuote._meta.fields if field.column != "id"]
    with connection.cursor() as cursor:
        for column in columns:
            change = f"UPDATE quoting_issuedquote SET {column} = {column}"  # noqa: S608 - names of our own
            _refused(lambda said=change: cursor.execute(said))  # type: ignore[misc]


def test_sql_cannot_remove_it(issued: IssuedQuote) -> None:
    with connection.cursor() as cursor:
        _refused(lambda: cursor.execute("DELETE FROM quoting_issuedquote"))


def test_what_an_issued_quote_says_is_fixed(issued: IssuedQuote) -> None:
    changes: dict[str, Any] = {
        "number": "Q26-9999",
        "title": "Another",
        "note": "cheaper",
        "discount": Decimal("0.5"),
        "valid_days": 365,
        "quoted_on": TODAY + timedelta(1),
        "status": "draft",
        "client": Client.objects.create(name="Somebody else"),
        "revises": issued.quote,
    }
    for name, value in changes.items():
        rows = Quote.objects.filter(pk=issued.quote.pk)
        _refused(lambda rows=rows, name=name, value=value: rows.update(**{name: value}))  # type: ignore[misc]
        quote = rows.get()
        setattr(quote, name, value)
        _refused(quote.save)


def test_an_issued_quote_stays(issued: IssuedQuote) -> None:
    _refused(issued.quote.delete, ProtectedError)
    with connection.cursor() as cursor:
        _refused(lambda: cursor.execute("DELETE FROM quoting_quote"))


def test_an_answer_is_final(issued: IssuedQuote) -> None:
    answer = _accepted(issued)
    answer.name = "Eve"
    _refused(answer.save, Frozen)
    _refused(answer.delete, Frozen)
    _refused(lambda: QuoteAnswer.objects.update(name="Eve"), Frozen)
    with connection.cursor() as cursor:
        _refused(lambda: cursor.execute("UPDATE quoting_quoteanswer SET name = 'Eve'"))
        _refused(lambda: cursor.execute("DELETE FROM quoting_quoteanswer"))
    for status in ("issued", "withdrawn", "declined", "superseded", "draft"):
        _refused(lambda to=status: Quote.objects.update(status=to))  # type: ignore[misc]


def test_its_pieces_and_lines_are_fixed(issued: IssuedQuote) -> None:
    quote = issued.quote
    item, line = quote.items.get(), quote.lines.get()
    other = draft_quote(
        quote.client, title="Other", quoted_on=TODAY, lines=[LineWanted("Credit", Decimal(-9))]
    )
    _refused(lambda: quote.items.update(quantity=9))
    _refused(lambda: quote.items.update(tax_category="exempt"))
    _refused(lambda: quote.lines.update(unit_price=1))
    _refused(item.delete)
    _refused(line.delete)
    _refused(lambda: QuoteLine.objects.create(quote=quote, position=2, text="More", unit_price=1))
    _refused(lambda: quote.lines.update(quote=other, position=7))
    _refused(lambda: other.lines.update(quote=quote, position=7))
    _refused(lambda: QuoteItem.objects.create(quote=quote, position=2, revision=item.revision, quantity=1))


def test_its_history_is_fixed(issued: IssuedQuote) -> None:
    event = issued.quote.events.get(kind="issued")
    _refused(lambda: QuoteEvent.objects.filter(pk=event.pk).update(detail="Q26-0002"))
    _refused(event.delete)
    _refused(lambda: NumberSeries.objects.update(last=0))
    _refused(lambda: NumberSeries.objects.all().delete())


def test_prices_terms_client_and_piece_may_change_without_it(issued: IssuedQuote) -> None:
    before = _image()["IssuedQuote"]
    MaterialPrice.objects.update(price=Decimal(999))
    update_client(issued.quote.client, name="Another name", address="Elsewhere")
    piece = issued.quote.items.get().revision.piece
    revise_piece(piece, specification("round-table-top") | {"thickness": "3 in"})
    assert _image()["IssuedQuote"] == before
    fresh = IssuedQuote.objects.get()
    assert fresh.data["client"]["name"] == "Village library"
