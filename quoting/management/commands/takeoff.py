"""`manage.py takeoff SPEC.json [--json]`: quantities, hours, cure, handling and cautions of a piece."""

from __future__ import annotations

import json
from argparse import ArgumentParser
from datetime import date
from typing import Any

from django.core.management.base import BaseCommand

from quoting.engine.estimate.report import report
from quoting.management.spoken import read_document, refusals_said
from quoting.management.tables import takeoff_text
from quoting.selectors.estimates import estimate_document
from quoting.selectors.price_book import shop_terms


class Command(BaseCommand):
    help = "Take off a piece specification with the catalogue of this database."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Say what may stand on the command line."""
        parser.add_argument("spec", help="file of the specification, - for standard input")
        parser.add_argument("--json", action="store_true", help="print one JSON object")
        parser.add_argument("--on", type=date.fromisoformat, help="use the prices of this day (YYYY-MM-DD)")

    def handle(self, *args: Any, **options: Any) -> None:
        """Print the take-off, or what is wrong with the specification."""
        with refusals_said(self.stderr):
            made = estimate_document(read_document(options["spec"]), on=options["on"])
        if options["json"]:
            text = json.dumps(report(made), ensure_ascii=False, indent=2, allow_nan=False)
        else:
            text = takeoff_text(made, shop_terms().unit_system)
        self.stdout.write(text)
