"""What every test gets."""

import pytest
from django.db import connections
from pytest_django import Settings


@pytest.fixture(autouse=True)
def quick_passwords(settings: Settings) -> None:
    """Argon2 is slow on purpose; no test is about that."""
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]


@pytest.fixture(scope="session")
def django_db_modify_db_settings(tmp_path_factory: pytest.TempPathFactory) -> None:
    """SQLite in a file: a site served to a browser then has connections of its own, as it has at work.

    In memory every thread would share the test's one connection, and be in its transactions.
    """
    default = connections["default"]
    if default.vendor == "sqlite":
        default.settings_dict["TEST"]["NAME"] = str(tmp_path_factory.mktemp("database") / "test.sqlite3")
