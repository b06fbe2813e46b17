"""Three people signed in, and a saved piece."""

from __future__ import annotations

import pytest
from django.test import Client as Browser

from quoting.models import PieceRevision
from quoting.services.pieces import save_piece
from quoting.web.examples import examples
from shop.accounts.models import Role, User


def _signed_in(role: Role) -> Browser:
    browser = Browser()
    browser.force_login(User.objects.create_user(f"the-{role.value}", role=role))
    return browser


@pytest.fixture
def owner(starter: None) -> Browser:
    return _signed_in(Role.OWNER)


@pytest.fixture
def estimator(starter: None) -> Browser:
    return _signed_in(Role.ESTIMATOR)


@pytest.fixture
def bench(starter: None) -> Browser:
    return _signed_in(Role.BENCH)


@pytest.fixture
def hearth(starter: None) -> PieceRevision:
    return save_piece(examples()["hearth"])
