"""The commands: what they print, what they refuse, how they leave."""

from __future__ import annotations

import json
from io import BytesIO, StringIO, TextIOWrapper
from pathlib import Path

import pytest
from django.conf import settings
from django.core.management import call_command
from django.core.management.base import CommandError

from quoting.models import IssuedQuote, Quote
from tests.quoting.malformed import MALFORMED, RAW

TABLE = str(settings.BASE_DIR / "fixtures" / "specifications" / "reading-room-table.json")
CUT_LIST = {
    "kerf_mm": 3.2,
    "trim_mm": 0,
    "stock": [{"code": "S", "length_mm": 2440, "width_mm": 1220, "price": 50}],
    "parts": [{"name": "side", "length_mm": 600, "width_mm": 150, "quantity": 9}],
}


def run(*words: str) -> str:
    out = StringIO()
    call_command(*words, stdout=out)
    return out.getvalue()


def leaves_with(status: int, *words: str) -> str:
    """Run a command that must refuse, and return what it says on standard error."""
    err = StringIO()
    with pytest.raises(SystemExit) as left:
        call_command(*words, stdout=StringIO(), stderr=err)
    assert left.value.code == status
    return err.getvalue()


def test_takeoff_prints_the_contract(starter: None) -> None:
    made = json.loads(run("takeoff", TABLE, "--json"))
    assert {"volume_m3", "volume_by_mix", "show_area_m2", "centroid_mm", "total_kg"} <= set(made["geometry"])
    assert {"name", "length_mm", "width_mm", "thickness_mm", "quantity", "material"} <= set(
        made["mould"]["parts"][0]
    )
    assert {"step", "earliest_day", "equivalent_age_h", "why"} <= set(made["cure"][0])
    assert {"total_kg", "people", "utilisation", "weakest_x_mm"} <= set(made["handling"])


def test_takeoff_reads_well_on_a_terminal(starter: None) -> None:
    text = run("takeoff", TABLE)
    assert "Reading-room table × 1" in text
    assert "buy 7 bags" in text


def test_takeoff_reads_standard_input(starter: None, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.stdin", TextIOWrapper(BytesIO(Path(TABLE).read_bytes())))
    assert json.loads(run("takeoff", "-", "--json"))["name"] == "Reading-room table"


def test_takeoff_refuses_what_is_malformed(starter: None, tmp_path: Path) -> None:
    file = tmp_path / "spec.json"
    untold = {}
    for name, document, path in MALFORMED:
        file.write_text(json.dumps(document), encoding="utf-8")
        said = leaves_with(1, "takeoff", str(file))
        if not any(line.startswith(path) and ": " in line for line in said.splitlines()):
            untold[name] = said
    assert untold == {}


def test_takeoff_refuses_what_is_no_document(starter: None, tmp_path: Path) -> None:
    file = tmp_path / "spec.json"
    for name, body in RAW:
        file.write_bytes(body())
        assert leaves_with(1, "takeoff", str(file)), name


def test_a_file_that_is_not_there_is_a_matter_of_usage(starter: None, tmp_path: Path) -> None:
    with pytest.raises(CommandError) as left:
        run("takeoff", str(tmp_path / "nowhere.json"))
    assert left.value.returncode == 2


def test_quote_issues_and_writes_the_paper(starter: None, tmp_path: Path) -> None:
    paper = tmp_path / "quote.pdf"
    told = json.loads(run("quote", TABLE, "--client", "Village library", "--pdf", str(paper), "--json"))
    issued = IssuedQuote.objects.get()
    assert paper.read_bytes() == bytes(issued.pdf)
    assert told["pdf_sha256"] == issued.pdf_sha256
    assert told["quote"]["client"]["name"] == "Village library"


def test_a_paper_that_cannot_be_written_leaves_no_quote(starter: None, tmp_path: Path) -> None:
    with pytest.raises(CommandError) as left:
        run("quote", TABLE, "--client", "Village library", "--pdf", str(tmp_path / "no" / "quote.pdf"))
    assert left.value.returncode == 2
    assert not Quote.objects.exists()


def test_cutlist_lays_out_and_draws(starter: None, tmp_path: Path) -> None:
    file = tmp_path / "list.json"
    file.write_text(json.dumps(CUT_LIST), encoding="utf-8")
    plan = json.loads(run("cutlist", str(file), "--json", "--svg", str(tmp_path / "svg")))
    assert len(plan["sheets"]) == plan["lower_bound_sheets"] == 1
    assert plan["proven_optimal"] is True
    assert len(plan["sheets"][0]["placed"]) == 9
    assert (tmp_path / "svg" / "sheet-01.svg").read_text(encoding="utf-8").startswith("<svg")
    assert run("cutlist", str(file)).splitlines()[-1].startswith("1 sheet, ")


def test_cutlist_refuses_with_paths(starter: None, tmp_path: Path) -> None:
    file = tmp_path / "list.json"
    wrong = CUT_LIST | {"kerf_mm": -1, "parts": [{"name": "x", "length_mm": 0, "width_mm": 1, "quantity": 1}]}
    file.write_text(json.dumps(wrong), encoding="utf-8")
    said = leaves_with(1, "cutlist", str(file))
    assert "kerf_mm: " in said
    assert "parts[0].length_mm: " in said
