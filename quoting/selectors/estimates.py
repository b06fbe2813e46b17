"""Estimates from documents: the catalogue on a day, the shop's terms, and the engine's one entry."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from typing import Any

from quoting.engine.errors import Fault, Refused
from quoting.engine.estimate.build import Estimate, estimate
from quoting.engine.estimate.outlook import breaks, risk
from quoting.engine.estimate.pour_day import PourDay, pour_day
from quoting.engine.estimate.side_report import breaks_report, risk_report, what_if_report
from quoting.engine.estimate.what_if import Change, what_if
from quoting.engine.spec.parse import parse_piece
from quoting.engine.spec.types import Piece
from quoting.engine.takeoff.weather import Weather
from quoting.engine.values import PriceBook, ShopTerms
from quoting.selectors.price_book import known_codes, price_book, shop_terms


def parse_document(
    document: object, *, book: PriceBook | None = None, terms: ShopTerms | None = None
) -> Piece:
    """The piece of a specification document, its codes held against today's catalogue.

    Raises Refused with every fault. Lengths in messages are in the shop's own system.
    """
    return parse_piece(
        document,
        codes=known_codes(book if book is not None else price_book(None)),
        system=(terms or shop_terms()).unit_system,
    )


def estimate_document(document: object, *, on: date | None = None, quantity: int | None = None) -> Estimate:
    """Take off and price a specification document with the prices of a day (today by default).

    Raises Refused with every fault of the document, or with what the catalogue lacks for it.
    """
    book, terms = price_book(on), shop_terms()
    return estimate(parse_document(document, book=book, terms=terms), book, terms, quantity=quantity)


def outlook_document(made: Estimate, *, on: date | None = None) -> dict[str, Any]:
    """What an estimate made on a day risks, and what more of the same would cost: plain objects."""
    book, terms = price_book(on), shop_terms()
    return {"risk": risk_report(risk(made, terms)), "breaks": breaks_report(breaks(made, book, terms))}


def pour_day_document(
    document: object, *, day: date, forecast_c: Sequence[float] = (), weather: Weather | None = None
) -> PourDay:
    """The pour of a specification's piece on a day, by the catalogue of today.

    Raises Refused with every fault of the document, or of the weather.
    """
    book, terms = price_book(None), shop_terms()
    made = estimate(parse_document(document, book=book, terms=terms), book, terms)
    return pour_day(made, book, terms, day=day, forecast_c=forecast_c, weather=weather)


def what_if_document(body: object, *, on: date | None = None) -> dict[str, Any]:
    """A specification and changes to it side by side: `{"specification", "changes": [{"name", "patch"}]}`.

    Without `changes` the usual ones. Raises Refused with every fault of the body or of the specification.
    """
    if not isinstance(body, Mapping) or not isinstance(body.get("specification"), Mapping):
        message = "give an object with the specification, and changes to it if you have your own"
        raise Refused([Fault("specification", message, "required")])
    changes = body.get("changes")
    wanted = None if changes is None else _changes(changes)
    book, terms = price_book(on), shop_terms()
    return what_if_report(what_if(body["specification"], wanted, book, terms, known_codes(book)))


def _changes(given: object) -> list[Change]:
    if not isinstance(given, list):
        raise Refused([Fault("changes", "a list of changes, each with a name and a patch", "wrong_type")])
    if faults := list(_faults_of(given)):
        raise Refused(faults)
    return [Change(each["name"], each["patch"]) for each in given]


def _faults_of(given: list[object]) -> Iterator[Fault]:
    for n, each in enumerate(given):
        named = isinstance(each, Mapping) and isinstance(each.get("name"), str) and each["name"].strip()
        if not named or not isinstance(each.get("patch"), Mapping):  # type: ignore[attr-defined]
            message = "a change has a name and a patch: the keys of the specification it sets"
            yield Fault(f"changes[{n}]", message, "required")
