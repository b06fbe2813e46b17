"""The whole library of saved pieces at the prices of a day, beside what each was last quoted at."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from functools import partial
from multiprocessing import get_context

from quoting.engine.estimate.repricing import OUTCOME, PRICES, Outcome, Prices, price_of
from quoting.models import PieceRevision, QuoteItem, SavedPiece
from quoting.selectors.price_book import price_book, shop_terms

Work = Callable[[object], Outcome]
Executor = Callable[[str, Sequence[str]], Iterator[str]]
"""Prices and documents as JSON in, an outcome as JSON for each document, in their order."""


@dataclass(frozen=True)
class LastQuoted:
    """What a piece was last issued at, and in which quote."""

    number: str
    on: date
    unit_price: Decimal


@dataclass(frozen=True)
class Repriced:
    """A saved piece's newest revision at today's prices."""

    revision: PieceRevision
    outcome: Outcome
    last: LastQuoted | None

    @property
    def change(self) -> Decimal | None:
        """Today's price less the last one quoted; None where one of the two is missing."""
        if self.last is None or self.outcome.unit_price is None:
            return None
        return self.outcome.unit_price - self.last.unit_price


def reprice(
    revisions: Sequence[PieceRevision], *, on: date, workers: int = 1, executor: Executor | None = None
) -> Iterator[Repriced]:
    """Price revisions with the prices of a day, one after another as they are ready, in the order given.

    With more than one worker they are worked out in so many processes of this machine, with an
    executor wherever it has them worked out; the results are the same.
    """
    book, terms = price_book(on), shop_terms()
    documents = [revision.document for revision in revisions]
    if executor is not None:
        prices = PRICES.dump_json(Prices(book, terms)).decode()
        texts = executor(prices, [json.dumps(document) for document in documents])
        for revision, text in zip(revisions, texts, strict=True):
            yield Repriced(revision, OUTCOME.validate_json(text), last_quoted(revision.piece))
        return
    work: Work = partial(price_of, book=book, terms=terms)
    with _outcomes(work, documents, workers) as outcomes:
        for revision, outcome in zip(revisions, outcomes, strict=True):
            yield Repriced(revision, outcome, last_quoted(revision.piece))


def last_quoted(piece: SavedPiece) -> LastQuoted | None:
    """The last issued quote that holds the piece, and its price there."""
    rows = QuoteItem.objects.filter(revision__piece=piece, quote__issued__isnull=False)
    row = rows.select_related("quote__issued").order_by("-quote__issued__issued_at", "-pk").first()
    if row is None:
        return None
    issued = row.quote.issued
    said, said_on = issued.data["items"][row.position - 1], issued.data["issued_on"]
    return LastQuoted(row.quote.number or "", date.fromisoformat(said_on), Decimal(said["unit_price"]))


@contextmanager
def _outcomes(work: Work, documents: list[object], workers: int) -> Iterator[Iterator[Outcome]]:
    if workers == 1:
        yield map(work, documents)
        return
    # Fresh processes: a copy of this one would carry its database connection along.
    with ProcessPoolExecutor(max_workers=workers, mp_context=get_context("spawn")) as pool:
        yield pool.map(work, documents)
