"""What every test gets."""

import os
from functools import lru_cache
from pathlib import Path

import pytest
from django.utils import timezone
from hypothesis import settings as hypothesis_settings
from pytest_django import Settings

from quoting.documents import printer
from tests.clock import Clock

# The check draws the same examples each time, so that a green run stays green;
# HYPOTHESIS_PROFILE=search draws new ones.
hypothesis_settings.register_profile("same", derandomize=True, database=None, deadline=None)
hypothesis_settings.register_profile("search", deadline=None)
hypothesis_settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "same"))


PAPERS = Path(__file__).parent / "quoting" / "documents"
remembered = lru_cache(maxsize=64)(printer.printed)


@pytest.fixture(autouse=True)
def quick_passwords(settings: Settings) -> None:
    """Argon2 is slow on purpose; no test is about that."""
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]


@pytest.fixture(autouse=True)
def printed_once(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """The same words on the same paper are printed once for many tests; tests of papers print each time."""
    if not request.path.is_relative_to(PAPERS):
        monkeypatch.setattr(printer, "printed", remembered)


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> Clock:
    """Sets the time that the site takes it to be; noon of the tests' day until told otherwise."""
    kept = Clock()
    monkeypatch.setattr(timezone, "now", lambda: kept.now)
    return kept
