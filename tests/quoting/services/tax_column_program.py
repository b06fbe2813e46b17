"""Run by a test in a process of its own: the tables go back to the program before, are used by it, and forth.

python -m tests.quoting.services.tax_column_program
"""

from __future__ import annotations

import json
import os
from datetime import date

import django

TODAY = date(2026, 3, 2)


def main() -> None:
    """Print what is kept, and which guard is missing, on every step of the way."""
    from django.core.management import call_command
    from django.db import Error, connection, transaction

    from catalog.services.starter import load_starter
    from quoting.models import IssuedQuote, Quote, QuoteItem
    from quoting.services.clients import create_client
    from quoting.services.pieces import save_piece
    from quoting.services.quotes import ItemWanted, draft_quote, issue_quote
    from tests.quoting.conftest import PRICES_FROM, specification

    call_command("migrate", verbosity=0)
    load_starter("metric", on=PRICES_FROM)
    client, top = create_client(name="Village library"), save_piece(specification("round-table-top"))
    for title in ("Out", "Draft"):
        draft = draft_quote(client, title=title, quoted_on=TODAY, items=[ItemWanted(top, 2)])
        if title == "Out":
            issue_quote(draft, on=TODAY)
    kept = [(row.data_sha256, row.pdf_sha256) for row in IssuedQuote.objects.all()]
    before, missing = _categories(), {"with it": _missing()}

    call_command("migrate", "quoting", "0006", verbosity=0)
    missing["without it"] = _missing()
    call_command("migrate", verbosity=0)
    missing["with it again"] = _missing()
    with connection.cursor() as cursor:  # as the program before writes: without the column it does not know
        cursor.execute(
            "INSERT INTO quoting_quoteitem (quote_id, position, revision_id, option, quantity) "
            "VALUES (%s, 2, %s, '', 1)",
            [Quote.objects.get(title="Draft").pk, top.pk],
        )
    refused = False
    try:
        with transaction.atomic():
            QuoteItem.objects.filter(quote__title="Out").update(tax_category="exempt")
    except Error:
        refused = True
    assert kept == [(row.data_sha256, row.pdf_sha256) for row in IssuedQuote.objects.all()]
    print(json.dumps({"before": before, "after": _categories(), "missing": missing, "refused": refused}))


def _categories() -> list[str]:
    from quoting.models import QuoteItem

    return list(QuoteItem.objects.order_by("pk").values_list("tax_category", flat=True))


def _missing() -> list[str]:
    from django.db import connection

    from quoting.models.frozen import guards

    postgresql = "SELECT tgname FROM pg_trigger"
    sqlite = "SELECT name FROM sqlite_master WHERE type = 'trigger'"
    with connection.cursor() as cursor:
        cursor.execute(postgresql if connection.vendor == "postgresql" else sqlite)
        standing = {name for (name,) in cursor.fetchall()}
    return sorted({guard.name for guard in guards()} - standing)


if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shop.settings")
    django.setup()
    main()
