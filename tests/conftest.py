"""What every test gets."""

import pytest
from django.core.cache import cache
from pytest_django import Settings


@pytest.fixture(autouse=True)
def quick_passwords(settings: Settings) -> None:
    """Argon2 is slow on purpose; no test is about that."""
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]


@pytest.fixture(autouse=True)
def nobody_asked_before() -> None:
    """The API counts requests by person; a test's people are not those of the test before."""
    cache.clear()
