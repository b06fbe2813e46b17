"""`/admin/` shows the catalogue and changes nothing; the command loads a first one."""

from __future__ import annotations

from collections.abc import Callable
from io import StringIO

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError
from django.test import Client

from catalog.models import Material, Operation
from catalog.services.starter import load_starter
from catalog.services.terms import update_terms
from tests.catalog.conftest import TODAY

Browser = Callable[[str], Client]
PLACES = ("material", "mix", "role", "operation", "shopterms")


@pytest.mark.parametrize("place", PLACES)
def test_the_owner_looks_and_nobody_changes(db: None, browser: Browser, place: str) -> None:
    load_starter("metric", on=TODAY)
    client = browser("owner")
    assert client.get(f"/admin/catalog/{place}/").status_code == 200
    assert client.get(f"/admin/catalog/{place}/add/").status_code == 403
    keys = {"material": Material, "operation": Operation}
    if place in keys:
        row = keys[place]._default_manager.order_by("pk").first()
        assert row is not None
        assert client.get(f"/admin/catalog/{place}/{row.pk}/change/").status_code == 200
        assert client.post(f"/admin/catalog/{place}/{row.pk}/change/", {"name": "X"}).status_code == 403
        assert client.post(f"/admin/catalog/{place}/{row.pk}/delete/", {"post": "yes"}).status_code == 403


@pytest.mark.parametrize("role", ["estimator", "bench", ""])
def test_others_do_not_get_in(db: None, browser: Browser, role: str) -> None:
    assert browser(role).get("/admin/catalog/material/").status_code == 302


def test_the_command_loads_and_loads_again(db: None) -> None:
    out = StringIO()
    call_command("starter_catalogue", "metric", on=TODAY, stdout=out)
    call_command("starter_catalogue", "metric", on=TODAY, stdout=out)
    first, second = out.getvalue().splitlines()
    assert first.endswith(" rows added, 0 kept as they were.")
    assert second.startswith("0 rows added, ")


def test_the_command_refuses_another_currency(db: None) -> None:
    update_terms({"currency": "GBP"})
    with pytest.raises(CommandError, match="EUR"):
        call_command("starter_catalogue", "metric", on=TODAY)
