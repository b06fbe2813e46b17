"""The arrows of the house hold, and each contract bites when one is turned round."""

import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from django.conf import settings

LINTER = Path(sys.executable).parent / "lint-imports"

ROGUES = {
    "The shop knows quoting, quoting knows the catalogue, nothing looks up": ("catalog/rogue.py", "shop.env"),
    "The engine is pure": ("quoting/engine/solid/rogue.py", "django"),
    "Reckoning on jobs is pure": ("shop/jobs/beta.py", "django"),
    "Inside the engine, and every module of it has its place": ("quoting/engine/rogue.py", "decimal"),
    "Inside each application: doors, writes, papers, reads, rows": ("quoting/models/rogue.py", "quoting.web"),
    "The REST framework stays in the API and its error handler": ("shop/rogue.py", "rest_framework"),
    "One module prints": ("quoting/rogue.py", "weasyprint"),
    "No circles between neighbours": ("shop/accounts/rogue.py", "shop.urls"),
}


def verdicts(folder: Path) -> dict[str, str]:
    """Run the linter on a folder and return KEPT or BROKEN by contract."""
    command = [str(LINTER), "--no-cache", "--no-logo"]
    done = subprocess.run(command, cwd=folder, capture_output=True, text=True, check=False)
    found = re.findall(r"^(.+) (KEPT|BROKEN)\b", done.stdout, flags=re.MULTILINE)
    assert found, done.stdout + done.stderr
    return dict(found)


def test_every_arrow_points_down() -> None:
    assert set(verdicts(settings.BASE_DIR).values()) == {"KEPT"}


@pytest.fixture(scope="module")
def turned_round(tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    """Verdicts on a copy of the house with one forbidden import for each contract."""
    folder = tmp_path_factory.mktemp("house")
    shutil.copy(settings.BASE_DIR / "pyproject.toml", folder)
    for package in ("shop", "quoting", "catalog"):
        shutil.copytree(
            settings.BASE_DIR / package, folder / package, ignore=shutil.ignore_patterns("__pycache__")
        )
    for path, imported in ROGUES.values():
        (folder / path).write_text(f"import {imported}\n", encoding="utf-8")
    return verdicts(folder)


def test_there_is_a_rogue_for_every_contract(turned_round: dict[str, str]) -> None:
    assert set(turned_round) == set(ROGUES)


@pytest.mark.parametrize("contract", ROGUES)
def test_contract_bites(contract: str, turned_round: dict[str, str]) -> None:
    assert turned_round[contract] == "BROKEN"
