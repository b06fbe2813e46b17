"""What must not be in the project: foreign hosts, one machine's paths, dead tests, long files."""

import re
from collections.abc import Iterator
from pathlib import Path

from django.conf import settings

FOLDERS = ("shop", "quoting", "catalog", "tests", "fixtures")
TOP_LEVEL = {
    *FOLDERS,
    *("README.md", "DEVELOPERS.md", "LICENSE", "manage.py", "pyproject.toml"),
    *("requirements.lock", "requirements-dev.lock"),
    *("var", "staticfiles"),  # made by running, ignored by git
}
TEXT = {".py", ".html", ".css", ".js", ".md", ".toml", ".txt", ".svg", ".yaml", ".json", ".csv", ".lock", ""}
MOST_LINES = 350

# Spelled in two halves, so that this page does not find itself.
REGISTRIES = re.compile(
    "|".join(("py" + r"pi\.org", "python" + "hosted", "npm" + r"js\.(org|com)", "deb" + r"\.debian"))
)
MACHINE_PATHS = re.compile("(?<![\\w.<])/" + "(work|farm|tmp|home|root|Users|opt)/")
NOT_RUN = re.compile(
    "mark" + r"\.(skip|xfail)|pytest" + r"\.(skip|xfail|importorskip)\b|unittest" + r"\.skip"
)
UNFINISHED = re.compile(
    r"\b(TO" + r"DO|FIX" + r"ME)\b|# *X" + r"XX|raise Not" + r"ImplementedError|assert " + r"True\b"
)
ADDRESS = re.compile(r"https?://([\w.-]+)")


def texts(*suffixes: str) -> Iterator[tuple[str, str]]:
    """Yield name and content of the project's text files, those with one of ``suffixes`` where given."""
    top = [path for path in settings.BASE_DIR.iterdir() if path.is_file() and path.name in TOP_LEVEL]
    inside = (
        path for folder in FOLDERS for path in (settings.BASE_DIR / folder).rglob("*") if path.is_file()
    )
    for path in sorted([*top, *inside, *(settings.BASE_DIR / ".ci").iterdir()]):
        wanted = path.suffix in (suffixes or TEXT)
        if wanted and "__pycache__" not in path.parts:
            yield str(path.relative_to(settings.BASE_DIR)), path.read_text(encoding="utf-8")


def places(pattern: re.Pattern[str], *suffixes: str) -> list[str]:
    """Return ``file:line: text`` for every line that matches."""
    return [
        f"{name}:{number}: {line.strip()[:80]}"
        for name, text in texts(*suffixes)
        for number, line in enumerate(text.splitlines(), start=1)
        if pattern.search(line)
    ]


def test_patterns_find_what_they_are_for() -> None:
    assert MACHINE_PATHS.search('open("/' + 'work/main/x")')
    assert NOT_RUN.search("@pytest.mark" + ".skip")
    assert UNFINISHED.search("# TO" + "DO later")
    assert REGISTRIES.search("https://py" + "pi.org/simple")


def test_no_package_registry_is_named() -> None:
    assert places(REGISTRIES) == []


def test_lock_files_carry_no_address() -> None:
    assert places(ADDRESS, ".lock") == []


def test_no_path_of_one_machine() -> None:
    assert places(MACHINE_PATHS) == []


def test_every_test_runs() -> None:
    assert places(NOT_RUN, ".py", ".toml") == []


def test_nothing_is_left_unfinished() -> None:
    assert places(UNFINISHED) == []


def test_files_are_short_enough_to_read() -> None:
    counts = {name: len(text.splitlines()) for name, text in texts(".py") if "/migrations/" not in name}
    assert {name: count for name, count in counts.items() if count > MOST_LINES} == {}


def test_top_level_holds_nothing_else() -> None:
    found = {path.name for path in settings.BASE_DIR.iterdir() if not path.name.startswith((".", "__"))}
    assert found <= TOP_LEVEL


def test_runtime_lock_is_part_of_the_development_lock() -> None:
    pins = [
        {line.split(" \\")[0] for line in _lines(settings.BASE_DIR / name) if line[:1].isalnum()}
        for name in ("requirements.lock", "requirements-dev.lock")
    ]
    assert pins[0]
    assert pins[0] <= pins[1]


def _lines(path: Path) -> list[str]:
    return path.read_text(encoding="utf-8").splitlines()
