"""`manage.py quote SPEC.json --client NAME --pdf FILE [--json]`: a priced quote, saved and issued."""

from __future__ import annotations

import json
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import transaction
from django.utils import timezone

from quoting.management.spoken import read_document, refusals_said
from quoting.models import Client, IssuedQuote
from quoting.services.clients import create_client
from quoting.services.pieces import save_piece
from quoting.services.quotes import ItemWanted, draft_quote, issue_quote


class Command(BaseCommand):
    help = "Price a piece specification for a client, issue the quote and write its paper."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Say what may stand on the command line."""
        parser.add_argument("spec", help="file of the specification, - for standard input")
        parser.add_argument("--client", required=True, help="name of the client, new or known")
        parser.add_argument(
            "--pdf", required=True, type=Path, metavar="FILE", help="where to write the paper"
        )
        parser.add_argument("--json", action="store_true", help="print what the client is told as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        """Save, issue, write the paper and say the total; a paper that cannot be written leaves no quote."""
        with refusals_said(self.stderr), transaction.atomic():
            issued = self._issue(read_document(options["spec"]), options["client"])
            try:
                options["pdf"].write_bytes(issued.pdf)
            except OSError as reason:
                raise CommandError(f"{options['pdf']}: {reason.strerror or reason}", returncode=2) from None
        if options["json"]:
            shown = {"pdf_sha256": issued.pdf_sha256, "data_sha256": issued.data_sha256, "quote": issued.data}
            self.stdout.write(json.dumps(shown, ensure_ascii=False, indent=2))
        else:
            data = issued.data
            self.stdout.write(
                f"Quote {data['number']} for {data['client']['name']}: net {data['net']}, "
                f"total {data['gross']} {data['currency']}, valid until {data['valid_until']}; "
                f"{options['pdf']}"
            )

    def _issue(self, document: object, client_name: str) -> IssuedQuote:
        revision = save_piece(document)
        client = Client.objects.filter(name=client_name).first() or create_client(name=client_name)
        today = timezone.localdate()
        quote = draft_quote(client, title=revision.piece.name, quoted_on=today, items=(ItemWanted(revision),))
        return issue_quote(quote, on=today)
