"""Run by the tests in processes of their own: many people issue at once, or one is killed in the middle.

python -m tests.quoting.services.issuing_program prepare COUNT | together | die POINT | state
"""

from __future__ import annotations

import json
import os
import sys
import threading
import time
from collections.abc import Callable
from datetime import date
from decimal import Decimal
from typing import Any
from unittest import mock

import django

TODAY = date(2026, 3, 2)


def prepare(count: str) -> None:
    """An empty shop with so many drafts."""
    from django.core.management import call_command

    from catalog.services.terms import update_terms
    from quoting.services.clients import create_client
    from quoting.services.quotes import LineWanted, draft_quote

    call_command("migrate", verbosity=0)
    update_terms({"name": "Workshop"})
    client = create_client(name="Village library")
    for number in range(int(count)):
        lines = [LineWanted("Survey", Decimal(100 + number))]
        draft_quote(client, title=f"Survey {number}", quoted_on=TODAY, lines=lines)


def together() -> None:
    """Every draft issued at the same moment, each by a thread; what matters is numbers, not print."""
    from django.db import connection

    from quoting.documents import printer
    from quoting.models import Quote
    from quoting.services.quotes import issue_quote

    drafts = list(Quote.objects.filter(status="draft"))
    ready = threading.Barrier(len(drafts))
    mock.patch.object(printer, "printed", lambda words, paper, logo: words.encode()).start()
    wrong: list[str] = []

    def one(draft: Quote) -> None:
        ready.wait()
        try:
            issue_quote(draft, on=TODAY)
        except Exception as error:
            wrong.append(repr(error))
        finally:
            connection.close()

    threads = [threading.Thread(target=one, args=(draft,)) for draft in drafts]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    print(json.dumps({"wrong": wrong}))


def die(point: str) -> None:
    """Start to issue and stop at `point` of it, inside the transaction, until somebody kills this process."""
    from quoting.models import IssuedQuote, Quote
    from quoting.services import issuing

    def wait(*args: Any, **kwargs: Any) -> Any:
        print("in the middle", flush=True)
        while True:
            time.sleep(60)

    if point == "paper":
        mock.patch.object(issuing, "quote_pdf", wait).start()
    else:
        mock.patch.object(IssuedQuote.objects, "create", wait).start()
    issuing.issue_quote(Quote.objects.get(status="draft"), on=TODAY)


def state() -> None:
    """What is kept."""
    from quoting.models import IssuedQuote, NumberSeries, Quote

    print(
        json.dumps(
            {
                "numbers": sorted(Quote.objects.exclude(number=None).values_list("number", flat=True)),
                "drafts": Quote.objects.filter(status="draft").count(),
                "papers": IssuedQuote.objects.count(),
                "said": sorted(row.data["number"] for row in IssuedQuote.objects.all()),
                "last": dict(NumberSeries.objects.values_list("name", "last")),
            }
        )
    )


COMMANDS: dict[str, Callable[..., None]] = {
    "prepare": prepare,
    "together": together,
    "die": die,
    "state": state,
}

if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shop.settings")
    django.setup()
    COMMANDS[sys.argv[1]](*sys.argv[2:])
