"""The demo scenario: a made-up shop with people, clients, pieces, quotes and jobs. Never in production."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any

from django.conf import settings
from django.core.management.base import CommandError
from django.db import transaction

from catalog import selectors as catalogue
from catalog.models import Material, ShopTerms
from catalog.services.shelf import put_on_shelf
from catalog.services.starter import Loaded, load_starter
from catalog.services.terms import update_terms
from quoting.models import Client, IssuedQuote, PieceRevision, Quote, SavedPiece
from quoting.services.clients import create_client
from quoting.services.pieces import save_piece
from quoting.services.quotes import ItemWanted, draft_quote, issue_quote
from shop.accounts.models import User
from shop.demo_work import EARLIEST, load_work
from shop.scenario import DEMO_PASSWORD, scenario, specification


@dataclass(frozen=True)
class Demo:
    """What the scenario left in the database."""

    catalogue: Loaded
    issued: IssuedQuote
    username: str
    password: str


def refuse_in_production() -> None:
    """Raise CommandError where the site is in production: demo accounts have a known password."""
    if settings.PRODUCTION:
        raise CommandError(
            "The demo has sign-ins with a known password; it is refused in production.", returncode=2
        )


@transaction.atomic
def load_demo(pack: str, *, on: date, work: bool = False) -> Demo:
    """Load catalogue, people, clients, pieces and the issued quote; what is there already is left alone.

    With `work`, a shop that was empty has also done some: one job closed, one half done. Prices then begin
    early enough for it.
    """
    refuse_in_production()
    told = scenario()
    fresh_shop = not ShopTerms.objects.exists()
    loaded = load_starter(pack, on=on - EARLIEST if work else on)
    if fresh_shop:
        update_terms(told["shop"], who="quickstart")
    people = [_person(person) for person in told["people"]]
    for client in told["clients"]:
        if not Client.objects.filter(name=client["name"]).exists():
            create_client(**client)
    revisions = {name: _piece(specification(name), people[0]) for name in told["pieces"]}
    if work and fresh_shop:
        load_work(told["work"], revisions, people, on=on)
        _fill_shelf(told["shelf"], people[0])
    issued = _quote(told["quote"], revisions[told["quote"]["piece"]], on, people[0])
    return Demo(loaded, issued, people[0].username, DEMO_PASSWORD)


def _fill_shelf(things: list[dict[str, Any]], by: User) -> None:
    """What the starter catalogue in use knows of it."""
    known = set(Material.objects.values_list("code", flat=True))
    for thing in things:
        if thing["material"] in known:
            put_on_shelf(thing, who=by.username)


def _person(person: dict[str, str]) -> User:
    known = User.objects.filter(username=person["username"]).first()
    return known or User.objects.create_user(
        person["username"], DEMO_PASSWORD, name=person["name"], role=person["role"]
    )


def _piece(document: dict[str, Any], by: User) -> PieceRevision:
    known = SavedPiece.objects.filter(name=document["name"]).order_by("pk").first()
    if known is not None:
        return known.revisions.order_by("-number")[:1].get()
    return save_piece(document, by=by)


def _quote(wanted: dict[str, str], revision: PieceRevision, on: date, by: User) -> IssuedQuote:
    client = Client.objects.filter(name=wanted["client"]).order_by("pk")[:1].get()
    known = Quote.objects.filter(client=client, title=wanted["title"], issued__isnull=False)
    if quote := known.order_by("pk").first():
        return quote.issued
    draft = draft_quote(
        client,
        title=wanted["title"],
        quoted_on=on,
        items=(ItemWanted(revision),),
        valid_days=catalogue.shop_terms().validity_days,
        note=wanted["note"],
        by=by,
    )
    return issue_quote(draft, on=on, by=by)
