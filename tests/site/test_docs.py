"""The two pages a newcomer reads say what is so."""

import re

from django.conf import settings
from django.core.management import get_commands

README = settings.BASE_DIR / "README.md"
DEVELOPERS = settings.BASE_DIR / "DEVELOPERS.md"
MOST_LINES = 150
COMMAND = re.compile(r"python3 manage\.py ([a-z_]+)")
BACKTICKED_PATH = re.compile(r"`((?:shop|quoting|catalog|tests|fixtures)/[\w./-]*)`")


def test_readme_starts_with_the_two_commands() -> None:
    named = COMMAND.findall(README.read_text(encoding="utf-8"))
    assert {"quickstart", "verify"} <= set(named)


def test_every_command_named_exists() -> None:
    text = README.read_text(encoding="utf-8") + DEVELOPERS.read_text(encoding="utf-8")
    assert set(COMMAND.findall(text)) <= set(get_commands())


def test_every_path_named_exists() -> None:
    text = README.read_text(encoding="utf-8") + DEVELOPERS.read_text(encoding="utf-8")
    assert [path for path in BACKTICKED_PATH.findall(text) if not (settings.BASE_DIR / path).exists()] == []


def test_contributor_page_is_short() -> None:
    assert len(DEVELOPERS.read_text(encoding="utf-8").splitlines()) <= MOST_LINES
