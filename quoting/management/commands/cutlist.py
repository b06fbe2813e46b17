"""`manage.py cutlist LIST.json [--json] [--svg DIR]`: any list of parts laid out on stock."""

from __future__ import annotations

import json
from argparse import ArgumentParser
from dataclasses import replace
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from quoting.engine.cutting.document import plan_document, read_request
from quoting.engine.cutting.sheets import lay_out_sheets
from quoting.engine.cutting.values import CutPlan, CutRequest
from quoting.engine.drawing.cut_diagram import cut_diagram
from quoting.engine.takeoff.wording import count_of
from quoting.engine.units import format_length
from quoting.management.spoken import read_document, refusals_said
from quoting.selectors.price_book import shop_terms


class Command(BaseCommand):
    help = "Lay out a list of rectangular parts on sheets, with edge-to-edge cuts."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Say what may stand on the command line."""
        parser.add_argument("list", help="file of the list, - for standard input")
        parser.add_argument("--json", action="store_true", help="print one JSON object")
        parser.add_argument("--svg", type=Path, metavar="DIR", help="draw every sheet into this folder")

    def handle(self, *args: Any, **options: Any) -> None:
        """Print the plan, or what is wrong with the list."""
        with refusals_said(self.stderr):
            request = read_request(read_document(options["list"]))
        plan = lay_out_sheets(request)
        system = shop_terms().unit_system
        if options["svg"]:
            self._draw(plan, request, options["svg"], system)
        if options["json"]:
            self.stdout.write(json.dumps(plan_document(plan), ensure_ascii=False, indent=2, allow_nan=False))
        else:
            self.stdout.write(_text(plan, system))

    def _draw(self, plan: CutPlan, request: CutRequest, folder: Path, system: str) -> None:
        try:
            folder.mkdir(parents=True, exist_ok=True)
            for number, sheet in enumerate(plan.sheets, start=1):
                alone = replace(plan, sheets=(sheet,))
                drawing = cut_diagram(alone, request.stock, system, title=f"Sheet {number}")
                (folder / f"sheet-{number:02d}.svg").write_text(drawing.svg, encoding="utf-8")
        except OSError as reason:
            raise CommandError(f"{folder}: {reason.strerror or reason}", returncode=2) from None


def _text(plan: CutPlan, system: str) -> str:
    lines = []
    for number, sheet in enumerate(plan.sheets, start=1):
        lines.append(f"Sheet {number}: {sheet.code}")
        lines += [
            f"  {part.name}: {format_length(part.length_mm, system)} × {format_length(part.width_mm, system)}"
            f" at {format_length(part.x_mm, system)}, {format_length(part.y_mm, system)}"
            f"{', turned' if part.turned else ''}"
            for part in sheet.placed
        ]
    proof = "proven cheapest" if plan.proven_optimal else "not proven cheapest"
    used, least = count_of(len(plan.sheets), "sheet"), plan.lower_bound_sheets
    lines.append(f"{used}, {plan.cost}; needed: {least} at least; {proof}")
    lines += [f"not placed: {name}" for name in plan.unplaced]
    return "\n".join(lines)
