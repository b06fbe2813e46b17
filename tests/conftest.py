"""What every test gets."""

import os

import pytest
from django.utils import timezone
from hypothesis import settings as hypothesis_settings
from pytest_django import Settings

from tests.clock import Clock

# The check draws the same examples each time, so that a green run stays green;
# HYPOTHESIS_PROFILE=search draws new ones.
hypothesis_settings.register_profile("same", derandomize=True, database=None, deadline=None)
hypothesis_settings.register_profile("search", deadline=None)
hypothesis_settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "same"))


@pytest.fixture(autouse=True)
def quick_passwords(settings: Settings) -> None:
    """Argon2 is slow on purpose; no test is about that."""
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> Clock:
    """Sets the time that the site takes it to be; noon of the tests' day until told otherwise."""
    kept = Clock()
    monkeypatch.setattr(timezone, "now", lambda: kept.now)
    return kept
