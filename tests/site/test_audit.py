"""The audit of packages against a service of our own that speaks the OSV query interface.

Source: OSV schema 1.6.0 (Open Source Security Foundation), fields `id`, `aliases`, `affected`.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from threading import Thread
from typing import Any

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError

from shop.management.commands import audit, verify
from tests.site.test_locks import locked

ADVISORY: dict[str, Any] = {
    "schema_version": "1.6.0",
    "id": "EXAMPLE-2026-1",
    "aliases": ["CVE-2026-00001"],
    "modified": "2026-01-02T00:00:00Z",
    "published": "2026-01-02T00:00:00Z",
    "summary": "An example.",
    "affected": [
        {
            "package": {"ecosystem": "PyPI", "name": "pillow"},
            "ranges": [
                {"type": "ECOSYSTEM", "events": [{"introduced": "0"}, {"fixed": "9999.0"}]},
            ],
        }
    ],
}


@contextmanager
def service(status: int = 200, against: str = "") -> Iterator[tuple[str, list[dict[str, Any]]]]:
    """Answer every query, one package's with the advisory; yield the address and what came."""
    came: list[dict[str, Any]] = []

    class Answers(BaseHTTPRequestHandler):
        def do_POST(self) -> None:
            asked = json.loads(self.rfile.read(int(self.headers["Content-Length"])))
            came.append(asked)
            hit = asked["package"]["name"] == against
            body = json.dumps({"vulns": [ADVISORY]} if hit else {}).encode()
            self.send_response(status)
            self.send_header("Content-Length", str(len(body)))
            self.end_headers()
            self.wfile.write(body)

        def log_message(self, *_: object) -> None:
            """Keep quiet."""

    with ThreadingHTTPServer(("127.0.0.1", 0), Answers) as server:
        Thread(target=server.serve_forever, daemon=True).start()
        yield f"http://127.0.0.1:{server.server_port}/v1/query", came
        server.shutdown()


def test_every_locked_package_is_asked_about(capsys: pytest.CaptureFixture[str]) -> None:
    with service() as (address, came):
        call_command("audit", service=address)
    wanted = {
        (requirement.name, next(iter(requirement.specifier)).version)
        for requirement in locked("requirements.lock")
        if requirement.marker is None or requirement.marker.evaluate()
    }
    assert {(one["package"]["name"], one["version"]) for one in came} == wanted
    assert f"No advisory is out against the {len(wanted)} packages" in capsys.readouterr().out


def test_an_advisory_is_named_and_fails(capsys: pytest.CaptureFixture[str]) -> None:
    with (
        service(against="pillow") as (address, _),
        pytest.raises(CommandError, match=r"against 1 of \d+ packages") as left,
    ):
        call_command("audit", service=address)
    assert left.value.returncode == 1
    said = capsys.readouterr().out
    assert said.startswith("pillow ")
    assert "CVE-2026-00001 (EXAMPLE-2026-1)" in said


def test_one_that_does_not_touch_us_is_left_out(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(audit, "ACCEPTED", {"EXAMPLE-2026-1": "an example touches nobody"})
    with service(against="pillow") as (address, _):
        call_command("audit", service=address)
    assert "No advisory" in capsys.readouterr().out


def test_nobody_there_is_no_pass() -> None:
    with service() as (address, _):
        pass
    with pytest.raises(CommandError, match=r"Not asked: .*refused") as left:
        call_command("audit", service=address)
    assert left.value.returncode == audit.NOT_ASKED


def test_a_service_that_fails_is_no_pass() -> None:
    with service(status=503) as (address, _), pytest.raises(CommandError, match="Not asked") as left:
        call_command("audit", service=address)
    assert left.value.returncode == audit.NOT_ASKED


def test_packages_left_out_are_no_pass(monkeypatch: pytest.MonkeyPatch) -> None:
    """An index that knows no package says so row by row, and the tool ends well."""
    monkeypatch.setattr(audit, "ask", lambda service: audit.Answer(known=52, unknown=("pillow",)))
    with pytest.raises(CommandError, match="Not asked: 1 of 53 packages") as left:
        call_command("audit")
    assert left.value.returncode == audit.NOT_ASKED


def test_an_answer_that_does_not_come_is_no_pass(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(audit, "TOOL", ("-c", "import time; time.sleep(60)"))
    monkeypatch.setattr(audit, "LONGEST_S", 0.2)
    with pytest.raises(audit.Unanswered, match=r"within 0\.2 s"):
        audit.ask()


@pytest.mark.parametrize(
    ("status", "state", "verdict"),
    [
        (0, "passed", "All 2 checks passed."),
        (audit.NOT_ASKED, "not asked", "All 1 checks passed."),
        (1, "FAILED", "1 of 2 checks failed."),
    ],
)
def test_verify_tells_the_three_apart(status: int, state: str, verdict: str) -> None:
    leave = (sys.executable, "-c", f"raise SystemExit({status})")
    asked = verify.Step("Advisories", leave, not_asked=audit.NOT_ASKED)
    outcomes = [verify.run(verify.Step("Lint", (sys.executable, "-c", ""))), verify.run(asked)]
    assert outcomes[1].state == state
    said = verify.table(outcomes).splitlines()
    assert said[-1] == verdict
    assert ("Advisories: nobody answered; ask again." in said) == (state == "not asked")


def test_only_a_step_that_asks_somebody_may_go_unanswered() -> None:
    """pytest's own status 3 is a failure."""
    steps = [*verify.quick_steps(), *verify.steps_of_tests([], postgres_too=True)]
    assert [step.name for step in steps if step.not_asked is not None] == ["Advisories"]
    broken = verify.run(verify.Step("Tests", (sys.executable, "-c", "raise SystemExit(3)")))
    assert broken.state == "FAILED"
