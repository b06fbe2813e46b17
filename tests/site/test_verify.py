"""The check command runs every step, tells what failed, and does not hide it in its exit status."""

import os
import shutil
import sys

import pytest
from django.conf import settings
from django.core.management import call_command
from django.core.management.base import CommandError

from shop.management.commands import openapi_snapshot, verify


@pytest.fixture
def browser(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(verify, "ensure_browser", lambda: None)
    monkeypatch.setattr(verify, "ensure_queue", lambda: None)
    monkeypatch.setattr(verify, "ensure_postgres", lambda: None)


def fake_steps(*statuses: int) -> list[verify.Step]:
    return [
        verify.Step(f"Step {n}", (sys.executable, "-c", f"raise SystemExit({s})"))
        for n, s in enumerate(statuses)
    ]


def test_tests_come_last_with_their_arguments() -> None:
    last = verify.steps(["tests/site", "-x"])[-1]
    assert last.command[1:] == ("-m", "pytest", "tests/site", "-x")


def test_the_whole_runs_on_both_databases() -> None:
    last = verify.steps([])[-1]
    assert last.command[1:5] == ("-m", "shop.postgres", sys.executable, "-m")
    rooms = {word for word in last.command[6:] if not word.startswith("--")}
    assert {"tests/postgres", "tests/catalog", "tests/quoting/api", "tests/shop"} <= rooms
    assert all((settings.BASE_DIR / room).is_dir() for room in rooms)


@pytest.mark.usefixtures("browser")
def test_all_passed(monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]) -> None:
    monkeypatch.setattr(verify, "steps", lambda _: fake_steps(0, 0))
    call_command("verify")
    assert "All 2 checks passed." in capfd.readouterr().out


@pytest.mark.usefixtures("browser")
def test_one_failure_does_not_stop_the_rest(
    monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(verify, "steps", lambda _: fake_steps(0, 3, 0))
    with pytest.raises(SystemExit) as left:
        call_command("verify")
    assert left.value.code == 1
    lines = capfd.readouterr().out.splitlines()
    assert [line.split()[2] for line in lines if line.startswith("  Step")] == ["passed", "FAILED", "passed"]
    assert lines[-1] == "1 of 3 checks failed."


@pytest.mark.usefixtures("browser")
def test_options_for_pytest_follow_two_dashes(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[list[str]] = []

    def steps(words: list[str]) -> list[verify.Step]:
        asked.append(words)
        return fake_steps(0)

    monkeypatch.setattr(verify, "steps", steps)
    verify.Command().run_from_argv(["manage.py", "verify", "--", "-k", "word"])
    verify.Command().run_from_argv(["manage.py", "verify", "tests/site", "-x"])
    assert asked == [["-k", "word"], ["tests/site", "-x"]]


def test_without_a_browser_the_line_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(shutil, "which", lambda name: name if name == "apt-get" else None)
    monkeypatch.setattr(os, "geteuid", lambda: 1000)
    with pytest.raises(CommandError, match="--no-install-recommends chromium") as told:
        call_command("verify")
    assert told.value.returncode == 2


def test_a_browser_that_is_there_is_enough(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(shutil, "which", lambda name: name if name == "chromium" else None)
    monkeypatch.setattr(verify, "install_packages", lambda names: pytest.fail("installed again"))
    verify.ensure_browser()


def test_a_changed_api_is_shown_as_a_difference() -> None:
    assert openapi_snapshot.difference("a\nb\n", "a\nb\n") == ""
    assert openapi_snapshot.difference("a\nb\n", "a\nc\n").splitlines()[-2:] == ["-b", "+c"]


def test_snapshot_check_fails_on_a_difference(monkeypatch: pytest.MonkeyPatch) -> None:
    published = openapi_snapshot.SNAPSHOT.read_text(encoding="utf-8")
    monkeypatch.setattr(openapi_snapshot, "described", lambda: published)
    call_command("openapi_snapshot", check=True, verbosity=0)
    monkeypatch.setattr(openapi_snapshot, "described", lambda: published + "more: 1\n")
    with pytest.raises(CommandError, match=r"\+more: 1"):
        call_command("openapi_snapshot", check=True)


def test_ci_runs_the_same_command_as_everybody() -> None:
    script = (settings.BASE_DIR / ".ci" / "run").read_text(encoding="utf-8")
    assert script.splitlines()[-1] == "exec python3 manage.py verify"


def test_without_a_redis_the_line_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    there = {"apt-get", "chromium"}
    monkeypatch.setattr(shutil, "which", lambda name: name if name in there else None)
    monkeypatch.setattr(os, "geteuid", lambda: 1000)
    with pytest.raises(CommandError, match="--no-install-recommends redis-server"):
        call_command("verify")
