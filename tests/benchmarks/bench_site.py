"""Pages, API and papers against the framework's barest answers, in the same run and process.

`python -m tests.benchmarks` (some minutes). Makes a database of its own in a temporary folder, with 100,000
quotes and 1,000,000 entries of time; `--quotes` and `--hours` ask for fewer. Prints for each address the
median in milliseconds, how many times the floor that is, and the number of queries at a small and at the full
number of rows: the two must be the same.
"""

from __future__ import annotations

import argparse
import os
import resource
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import date
from typing import Any

REPEATS = 7
OTHER_JOBS = 999
EMPTY_AT_FIRST = ("quotes, searched", "quotes by API, half-way", "quotes as a table, searched")
"""Lists that show nothing before there are many rows, and then ask less."""


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description="Measures the site.")
    parser.add_argument("--quotes", type=int, default=100_000)
    parser.add_argument("--hours", type=int, default=1_000_000)
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        kept = {"VAR_DIR": folder, "DJANGO_SETTINGS_MODULE": "shop.settings", "API_PER_MINUTE": "1000000"}
        os.environ.pop("DATABASE_URL", None)
        os.environ.update(kept)
        run(asked.quotes, asked.hours)


def run(quotes: int, hours: int) -> None:
    """Set up, measure small, fill, measure large."""
    import django
    from django.conf import settings

    django.setup()
    settings.DEBUG = False
    settings.ALLOWED_HOSTS = ["testserver"]
    settings.ROOT_URLCONF = "tests.benchmarks.site_floor"
    from django.core.management import call_command

    from shop.accounts.models import User
    from shop.demo import load_demo
    from shop.jobs.services.jobs import open_from_quote
    from tests.benchmarks.site_rows import many_hours, many_quotes

    call_command("migrate", verbosity=0)
    demo = load_demo("metric", on=date(2026, 3, 2))
    job = open_from_quote(demo.issued.quote, on=date(2026, 3, 2))
    owner = User.objects.get(username=demo.username)
    asks = addresses(owner, job.pk)
    started = peak_mib()
    few = {name: queries(ask) for name, ask in asks.items()}
    say(f"filling: {quotes:,} quotes, {hours:,} entries of time")
    many_quotes(quotes)
    many_hours(job.pk, owner.pk, hours, OTHER_JOBS)
    many = {name: queries(ask) for name, ask in asks.items()}
    took = {name: median_ms(ask) for name, ask in asks.items()}
    print_table(took, few, many)
    lists = peak_mib()
    papers(demo)
    paper = peak_mib()
    nesting()
    print(
        f"\npeak memory: {started:.0f} MiB with the program loaded, {lists:.0f} after the lists, "
        f"{paper:.0f} after the papers; Python {sys.version.split()[0]}, {os.cpu_count()} cores"
    )
    differ = [name for name in few if few[name] != many[name] and name not in EMPTY_AT_FIRST]
    if differ:
        raise SystemExit(f"asks more often of more rows: {', '.join(differ)}")


def addresses(owner: Any, job: int) -> dict[str, Callable[[], object]]:
    """What is asked, by name; every answer is checked to be one."""
    from django.test import Client

    from shop.scenario import specification

    browser = Client()
    browser.force_login(owner)
    document = specification("reading-room-table")

    def get(address: str) -> Callable[[], object]:
        return lambda: _sound(browser.get(address))

    def post(address: str) -> Callable[[], object]:
        return lambda: _sound(browser.post(address, document, content_type="application/json"))

    return {
        "bare Django page (floor)": get("/floor/page"),
        "bare DRF view (floor)": get("/api/v1/floor"),
        "health": get("/healthz"),
        "quotes, first page": get("/quotes/"),
        "quotes, searched": get("/quotes/?search=counter+9999"),
        "quotes by API": get("/api/v1/quotes"),
        "quotes by API, half-way": get("/api/v1/quotes?offset=50000"),
        "take-off and price by API": post("/api/v1/takeoff"),
        "quotes as a table, searched": get("/quotes/list.csv?search=counter+9999"),
        "clients by API": get("/api/v1/clients"),
        "materials by API": get("/api/v1/materials"),
        "pieces": get("/pieces/"),
        "a piece's page": get("/pieces/1/"),
        "cost report by API": get(f"/api/v1/jobs/{job}/report"),
        "jobs by API": get("/api/v1/jobs"),
    }


def _sound(answer: Any) -> object:
    if answer.status_code != 200:
        raise SystemExit(f"{answer.request['PATH_INFO']} answered {answer.status_code}")
    return answer


def queries(ask: Callable[[], object]) -> int:
    """How often the database is asked."""
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    ask()
    with CaptureQueriesContext(connection) as seen:
        ask()
    return len(seen)


def median_ms(ask: Callable[[], object]) -> float:
    """The median of several, in milliseconds."""
    times = []
    for _ in range(REPEATS):
        begun = time.perf_counter()
        ask()
        times.append(time.perf_counter() - begun)
    return 1000 * statistics.median(times)


def print_table(took: dict[str, float], few: dict[str, int], many: dict[str, int]) -> None:
    """One line an address."""
    page, api = (took[name] for name in ("bare Django page (floor)", "bare DRF view (floor)"))
    print(f"{'':32}{'ms':>10}{'× floor':>10}{'queries':>9}{'full':>6}")
    for name, ms in took.items():
        floor = api if "API" in name or "DRF" in name else page
        print(f"{name:32}{ms:>10.1f}{ms / floor:>10.1f}{few[name]:>9}{many[name]:>6}")


def papers(demo: Any) -> None:
    """The client's paper against the same HTML and styles through the library alone."""
    from unittest.mock import patch

    from weasyprint import CSS, HTML
    from weasyprint.text.fonts import FontConfiguration

    from quoting.documents import printer
    from quoting.documents.client_quote import quote_pdf

    held: dict[str, Any] = {}

    class Keeping(HTML):  # type: ignore[misc]
        def __init__(self, *args: Any, **options: Any) -> None:
            held["html"] = options["string"]
            super().__init__(*args, **options)

    data = demo.issued.data
    with patch.object(printer, "HTML", Keeping):
        quote_pdf(data)

    def bare() -> object:
        fonts, fetcher = FontConfiguration(), printer.OwnAssets()
        own = {"url_fetcher": fetcher, "font_config": fonts, "base_url": "asset:"}
        sheets = [
            CSS(string="@page { size: A4 }", **own),
            CSS(filename=str(printer.ASSETS / "print.css"), **own),
        ]
        html = HTML(string=held["html"], base_url="asset:", url_fetcher=fetcher)
        return html.write_pdf(stylesheets=sheets, font_config=fonts, pdf_variant="pdf/ua-1")

    ours: list[float] = []
    floor: list[float] = []
    for _ in range(REPEATS):  # in turns, so that a busy machine weighs on both alike
        for times, make in ((ours, lambda: quote_pdf(data)), (floor, bare)):
            begun = time.process_time()
            make()
            times.append(time.process_time() - begun)
    mine, theirs = (1000 * statistics.median(times) for times in (ours, floor))
    print(
        f"\nclient's paper, CPU: {mine:.0f} ms; the same HTML by the library alone {theirs:.0f} ms; "
        f"ratio {mine / theirs:.2f}"
    )


def nesting() -> None:
    """Ten lists of the published classes laid out: ours against the best of a library's settings."""
    from tests.benchmarks.bench_cutting import STEPS, Row, measure
    from tests.benchmarks.cutting_instances import instances

    total = Row()
    for one in instances(range(1, 11), [40], each=1):
        total.add(measure(one, STEPS, library=True))
    print(
        f"\nnesting, {total.lists} lists of 40 parts: {total.ours} sheets in {total.seconds:.1f} s; "
        f"the best of 324 settings of a general library {total.library} in {total.library_seconds:.1f} s; "
        f"bound {total.bound}; time ratio {total.seconds / total.library_seconds:.2f}"
    )


def peak_mib() -> float:
    """The most memory this process has held so far."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def say(message: str) -> None:
    """Tell how far it is."""
    print(message, file=sys.stderr, flush=True)


if __name__ == "__main__":
    main()
