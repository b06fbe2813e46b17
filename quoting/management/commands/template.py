"""`manage.py template SPEC.json [--pdf FILE] [--svg DIR]`: full-size templates, and the drawings as files."""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from catalog import selectors as catalogue
from quoting.documents.drawings import KINDS, drawing
from quoting.documents.templates import PAPERS, paper_named, templates_pdf
from quoting.engine.drawing.template import Paper, tiles
from quoting.engine.estimate.build import Estimate
from quoting.management.spoken import read_document, refusals_said
from quoting.selectors.estimates import estimate_document
from quoting.selectors.price_book import names_of, shop_terms


class Command(BaseCommand):
    help = "Write the full-size templates of a piece, to print at 100 % and trace, and its drawings."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Say what may stand on the command line."""
        parser.add_argument("spec", help="file of the specification, - for standard input")
        parser.add_argument("--pdf", type=Path, metavar="FILE", help="write the templates as one PDF")
        parser.add_argument("--svg", type=Path, metavar="DIR", help="write templates and drawings as SVG")
        parser.add_argument("--paper", choices=list(PAPERS), help="the shop's own where left out")
        parser.add_argument(
            "--mirrored", action="store_true", help="turned over, for the base of a face-down mould"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """Write what was asked for, or say what is wrong with the specification."""
        if not options["pdf"] and not options["svg"]:
            raise CommandError("say where to write: --pdf FILE, --svg DIR, or both", returncode=2)
        paper = paper_named(options["paper"] or catalogue.shop_terms().paper_size)
        wanted = {"system": shop_terms().unit_system, "mirrored": options["mirrored"]}
        with refusals_said(self.stderr):
            made = estimate_document(read_document(options["spec"]))
            pdf = templates_pdf(made.solid, paper, **wanted) if options["pdf"] else b""
        try:
            if options["pdf"]:
                options["pdf"].write_bytes(pdf)
            if options["svg"]:
                _draw(made, paper, options["svg"], wanted)
        except OSError as reason:
            raise CommandError(f"{reason.filename}: {reason.strerror or reason}", returncode=2) from None
        written = " and ".join(str(options[key]) for key in ("pdf", "svg") if options[key])
        self.stdout.write(f"Templates of {made.piece.name} on {paper}: {written}; print at 100 %")


def _draw(made: Estimate, paper: Paper, folder: Path, wanted: dict[str, Any]) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    names = names_of()
    for kind in KINDS:
        text = drawing(made, kind, names, system=wanted["system"]).svg
        (folder / f"{kind}.svg").write_text(text, encoding="utf-8")
    for number, page in enumerate(tiles(made.solid, paper, **wanted), 1):
        (folder / f"template-{number:02d}.svg").write_text(page.svg, encoding="utf-8")
