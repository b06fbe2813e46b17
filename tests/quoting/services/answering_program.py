"""Run by the tests in a process of its own: many browsers answer a quote at the same moment.

python -m tests.quoting.services.answering_program BROWSERS DECLINING LINKS

So many browsers press at once; the last DECLINING of them decline. With LINKS `own` each has an address of
its own, with `one` they share it. Prints what was answered and what is kept.
"""

from __future__ import annotations

import faulthandler
import json
import os
import sys
import threading
from datetime import timedelta
from decimal import Decimal

import django

PATIENCE_S = 240
"""A program that waits for ever says where, and ends."""


def _press(pages: list[str], said: list[dict[str, str]]) -> list[int]:
    """The page is read, then every browser presses at the same moment, each on a connection of its own."""
    from django.db import connection
    from django.test import Client

    assert {Client().get(page).status_code for page in pages} == {200}
    ready, codes = threading.Barrier(len(pages)), [0] * len(pages)

    def one(number: int) -> None:
        ready.wait()
        try:
            codes[number] = Client().post(pages[number], said[number]).status_code
        finally:
            connection.close()

    threads = [threading.Thread(target=one, args=(number,)) for number in range(len(pages))]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return codes


def main(browsers: int, declining: int, links: str) -> None:
    """An empty shop, a quote that is out, and everybody at once."""
    from django.core.management import call_command
    from django.utils import timezone

    from catalog.services.terms import update_terms
    from quoting.models import Quote, QuoteAnswer
    from quoting.services.clients import create_client
    from quoting.services.links import create_link
    from quoting.services.quotes import LineWanted, draft_quote, issue_quote
    from shop.jobs.models import Job

    call_command("migrate", verbosity=0)
    update_terms({"name": "Workshop"})
    now = timezone.now()
    client, lines = create_client(name="Village library"), [LineWanted("Survey", Decimal(120))]
    draft = draft_quote(client, title="Survey", quoted_on=now.date(), lines=lines)
    out = issue_quote(draft, on=now.date() - timedelta(days=1))
    pages = [f"/q/{create_link(out.quote, now=now)[1]}/" for _ in range(browsers)]
    said = [
        {
            "do": "accept" if number < browsers - declining else "decline",
            "name": f"Reader {number}",
            "agree": "yes",
            "data_sha256": out.data_sha256,
        }
        for number in range(browsers)
    ]
    codes = _press(pages if links == "own" else pages[:1] * browsers, said)
    answers = list(QuoteAnswer.objects.values_list("kind", "name"))
    events = Quote.objects.get().events.filter(kind__in=("accepted", "declined"))
    kept = {
        "codes": codes,
        "status": Quote.objects.get().status,
        "answers": answers,
        "events": list(events.values_list("kind", "detail")),
        "jobs": Job.objects.count(),
    }
    print(json.dumps(kept))


if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shop.settings")
    django.setup()
    from django.test.utils import setup_test_environment

    setup_test_environment()
    faulthandler.dump_traceback_later(PATIENCE_S, exit=True)
    main(int(sys.argv[1]), int(sys.argv[2]), sys.argv[3])
