"""The command that writes full-size templates and drawings."""

from __future__ import annotations

from pathlib import Path

import pytest
from django.conf import settings
from django.core.management.base import CommandError

from tests.quoting.commands.test_commands import leaves_with, run

SPECIFICATIONS = settings.BASE_DIR / "fixtures" / "specifications"
COUNTER = str(SPECIFICATIONS / "cafe-counter.json")


def test_it_writes_the_templates_and_every_drawing(starter: None, tmp_path: Path) -> None:
    said = run("template", COUNTER, "--pdf", str(tmp_path / "t.pdf"), "--svg", str(tmp_path / "drawn"))
    assert "print at 100 %" in said
    assert (tmp_path / "t.pdf").read_bytes().startswith(b"%PDF")
    names = {path.name for path in (tmp_path / "drawn").iterdir()}
    assert {"plan.svg", "section.svg", "isometric.svg", "mould.svg", "template-01.svg"} <= names


def test_it_says_where_nothing_needs_a_template(starter: None, tmp_path: Path) -> None:
    target = tmp_path / "t.pdf"
    said = leaves_with(1, "template", str(SPECIFICATIONS / "drop-edge.json"), "--pdf", str(target))
    assert said.startswith("outline: nothing here needs a template")
    assert not target.exists()


def test_it_wants_to_know_where_to_write(starter: None, tmp_path: Path) -> None:
    with pytest.raises(CommandError, match="say where to write"):
        run("template", COUNTER)
    with pytest.raises(CommandError, match="No such file"):
        run("template", COUNTER, "--pdf", str(tmp_path / "nowhere" / "t.pdf"))
