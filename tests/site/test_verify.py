"""The check command runs every step, tells what failed, and does not hide it in its exit status."""

import os
import shutil
import sys

import pytest
from django.conf import settings
from django.core.management import call_command
from django.core.management.base import CommandError

from shop import postgres
from shop.management.commands import openapi_snapshot, verify

missing_programs = verify.missing_programs


@pytest.fixture(autouse=True)
def nothing_missing(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(verify, "missing_programs", lambda postgres_too: [])


def use_steps(monkeypatch: pytest.MonkeyPatch, quick: list[verify.Step], tests: list[verify.Step]) -> None:
    monkeypatch.setattr(verify, "quick_steps", lambda: quick)
    monkeypatch.setattr(verify, "steps_of_tests", lambda words, postgres_too: tests)


def fake_steps(*statuses: int) -> list[verify.Step]:
    return [
        verify.Step(f"Step {n}", (sys.executable, "-c", f"raise SystemExit({s})"))
        for n, s in enumerate(statuses)
    ]


def test_tests_come_last_with_their_arguments() -> None:
    (only,) = verify.steps_of_tests(["tests/site", "-x"], postgres_too=False)
    assert only.command[1:] == ("-m", "pytest", "tests/site", "-x")


def test_the_whole_runs_on_both_databases_where_asked() -> None:
    assert not any("shop.postgres" in step.command for step in verify.steps_of_tests([], postgres_too=False))
    last = verify.steps_of_tests([], postgres_too=True)[-1]
    assert last.command[1:5] == ("-m", "shop.postgres", sys.executable, "-m")
    rooms = {word for word in last.command[6:] if not word.startswith("--")}
    assert {"tests/postgres", "tests/catalog", "tests/quoting/api", "tests/shop/jobs"} <= rooms
    assert all((settings.BASE_DIR / room).exists() for room in rooms)


def test_all_passed(monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]) -> None:
    use_steps(monkeypatch, fake_steps(0), fake_steps(0))
    call_command("verify")
    assert "All 2 checks passed." in capfd.readouterr().out


@pytest.mark.parametrize(("quick", "tests"), [((0, 3), (0,)), ((0,), (3, 0))])
def test_one_failure_does_not_stop_the_rest(
    monkeypatch: pytest.MonkeyPatch,
    capfd: pytest.CaptureFixture[str],
    quick: tuple[int, ...],
    tests: tuple[int, ...],
) -> None:
    use_steps(monkeypatch, fake_steps(*quick), fake_steps(*tests))
    with pytest.raises(SystemExit) as left:
        call_command("verify")
    assert left.value.code == 1
    lines = capfd.readouterr().out.splitlines()
    assert [line.split()[2] for line in lines if line.startswith("  Step")] == ["passed", "FAILED", "passed"]
    assert lines[-1] == "1 of 3 checks failed."


def test_options_for_pytest_follow_two_dashes(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[list[str]] = []

    def steps(words: list[str], postgres_too: bool) -> list[verify.Step]:
        asked.append(words)
        return fake_steps(0)

    monkeypatch.setattr(verify, "quick_steps", lambda: fake_steps(0))
    monkeypatch.setattr(verify, "steps_of_tests", steps)
    verify.Command().run_from_argv(["manage.py", "verify", "--", "-k", "word"])
    verify.Command().run_from_argv(["manage.py", "verify", "tests/site", "-x"])
    assert asked == [["-k", "word"], ["tests/site", "-x"]]


def test_steps_side_by_side_show_their_output_whole(capfd: pytest.CaptureFixture[str]) -> None:
    talk = "import sys; print('one', flush=True); print('two', file=sys.stderr)"
    steps = [verify.Step(f"Talk {n}", (sys.executable, "-c", talk)) for n in range(3)]
    assert [outcome.name for outcome in verify.run_together(steps, [])] == ["Talk 0", "Talk 1", "Talk 2"]
    said = capfd.readouterr().out
    assert all(f"--- Talk {n}\none\ntwo\n" in said for n in range(3))


def test_what_is_missing_is_installed_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[list[str]] = []
    monkeypatch.setattr(
        verify, "missing_programs", lambda postgres_too: ["chromium-headless-shell", "postgresql"]
    )
    monkeypatch.setattr(verify, "may_install", lambda packages: None)
    monkeypatch.setattr(verify, "install_packages", asked.append)
    use_steps(monkeypatch, fake_steps(0), fake_steps(0))
    call_command("verify")
    assert asked == [["chromium-headless-shell", "postgresql"]]


@pytest.mark.parametrize(
    ("there", "postgres_too", "missing"),
    [
        ((), True, ["chromium-headless-shell", "redis-server", "postgresql"]),
        ((), False, ["chromium-headless-shell", "redis-server"]),
        (("chromium",), False, ["redis-server"]),
        (("chromium-headless-shell", "valkey-server"), True, ["postgresql"]),
    ],
)
def test_one_program_of_each_kind_is_enough(
    monkeypatch: pytest.MonkeyPatch, there: tuple[str, ...], postgres_too: bool, missing: list[str]
) -> None:
    monkeypatch.setattr(verify, "missing_programs", missing_programs)
    monkeypatch.setattr(shutil, "which", lambda name: name if name in there else None)
    monkeypatch.setattr(postgres, "programs", lambda: None)
    assert verify.missing_programs(postgres_too) == missing


def test_without_a_program_the_line_is_told_before_anything_runs(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(
        verify, "missing_programs", lambda postgres_too: ["chromium-headless-shell", "redis-server"]
    )
    monkeypatch.setattr(shutil, "which", lambda name: name if name == "apt-get" else None)
    monkeypatch.setattr(os, "geteuid", lambda: 1000)
    monkeypatch.setattr(verify, "run_together", lambda *_: pytest.fail("something ran"))
    with pytest.raises(
        CommandError, match="--no-install-recommends chromium-headless-shell redis-server"
    ) as told:
        call_command("verify")
    assert told.value.returncode == 2


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
    assert script.splitlines()[-1] == "exec python3 manage.py verify --postgres"
