"""The locks: every package at one version with its hashes, fit for every Python we run on, installed here.

Advisories live elsewhere and change daily: `manage.py audit` asks, and `verify` with it.
"""

from __future__ import annotations

import re
import tomllib
from importlib.metadata import distribution
from pathlib import Path

import pytest
from django.conf import settings
from packaging.requirements import Requirement
from packaging.specifiers import SpecifierSet

LOCKS = ("requirements.lock", "requirements-dev.lock")
PYTHONS = ("3.11.0", "3.12.0", "3.13.0")
HASH = re.compile(r"--hash=sha256:[0-9a-f]{64}")


def locked(name: str) -> dict[Requirement, list[str]]:
    """Every requirement of a lock with its hashes."""
    text = Path(settings.BASE_DIR / name).read_text(encoding="utf-8").replace("\\\n", " ")
    lines = [line for line in text.splitlines() if line.strip() and not line.lstrip().startswith("#")]
    return {Requirement(line.split(" --hash", 1)[0].strip()): HASH.findall(line) for line in lines}


@pytest.mark.parametrize("lock", LOCKS)
def test_every_package_has_one_version_and_its_hashes(lock: str) -> None:
    found = locked(lock)
    assert len(found) > 30
    for requirement, hashes in found.items():
        (pin,) = requirement.specifier
        assert pin.operator == "==", requirement
        assert "*" not in pin.version
        assert hashes, f"{requirement} has no hash"
        assert len(set(hashes)) == len(hashes)
        assert requirement.url is None, f"{requirement} comes from an address"
    names = [requirement.name for requirement in found]
    assert len(set(names)) == len(names), "one version for every Python"


def test_what_runs_here_is_what_is_locked_and_runs_on_every_python() -> None:
    for requirement in locked("requirements-dev.lock"):
        wanted = [
            version
            for version in PYTHONS
            if requirement.marker is None
            or requirement.marker.evaluate({"python_full_version": version, "python_version": version[:4]})
        ]
        if requirement.marker is not None and not requirement.marker.evaluate():
            continue  # for another system or another Python than this one
        here = distribution(requirement.name)
        assert here.version in requirement.specifier, f"{requirement}: {here.version} is installed"
        fits = SpecifierSet(str(here.metadata.json.get("requires_python", "")))
        assert [version for version in wanted if version not in fits] == [], requirement


def test_the_locks_hold_what_the_project_asks_for() -> None:
    with (settings.BASE_DIR / "pyproject.toml").open("rb") as file:
        project = tomllib.load(file)
    for lock, asked in (
        ("requirements.lock", project["project"]["dependencies"]),
        ("requirements-dev.lock", project["dependency-groups"]["dev"]),
    ):
        pins = {one.name.lower().replace("_", "-"): one.specifier for one in locked(lock)}
        for wanted in map(Requirement, asked):
            (pin,) = pins[wanted.name.lower().replace("_", "-")]
            assert pin.version in wanted.specifier, wanted
