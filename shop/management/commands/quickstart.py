"""`manage.py quickstart`: from an empty folder to a priced quote, its paper, and the site in a browser."""

from __future__ import annotations

import socket
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand
from django.utils import timezone

from catalog.services.starter import PACKS
from shop.demo import Demo, load_demo, refuse_in_production
from shop.jobs.selectors.jobs import jobs

PORTS_TRIED = 20


class Command(BaseCommand):
    help = "Set up the database with the starter catalogue and the demo, price the example, serve the site."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Say what may stand on the command line."""
        parser.add_argument("--no-serve", action="store_true", help="stop before serving the site")
        parser.add_argument(
            "--port", type=int, default=8000, help="port to serve on (next free one if taken)"
        )
        parser.add_argument("--pack", choices=PACKS, default="metric", help="starter catalogue to load")

    def handle(self, *args: Any, **options: Any) -> None:
        """Do it all, say where things are."""
        refuse_in_production()
        self.stdout.write("Bringing the database up to date ...")
        call_command("migrate", verbosity=0, interactive=False)
        self.stdout.write("Loading the starter catalogue and the demo, pricing the reading-room table ...")
        demo = load_demo(options["pack"], on=timezone.localdate(), work=True)
        self._tell(demo, self._write_paper(demo))
        if not options["no_serve"]:
            self._serve(options["port"], demo)

    def _write_paper(self, demo: Demo) -> Path:
        folder = Path(settings.MEDIA_ROOT)
        folder.mkdir(parents=True, exist_ok=True)
        file = folder / f"quote-{demo.issued.quote.number}.pdf"
        file.write_bytes(bytes(demo.issued.pdf))
        return file

    def _tell(self, demo: Demo, paper: Path) -> None:
        said = demo.issued.data
        item = said["items"][0]
        currency = said["currency"]
        rows = [
            ("Catalogue", f"{demo.catalogue.created} rows loaded, {demo.catalogue.kept} kept as they were"),
            ("Quote", f"{said['number']} for {said['client']['name']}"),
            ("Piece", f"{item['name']}, {item['size']}, {item['mass']}"),
            ("Net", f"{said['net']} {currency}"),
            *((f"Tax {tax['category']}", f"{tax['tax']} {currency}") for tax in said["tax"]),
            ("Total", f"{said['gross']} {currency}"),
            ("Deposit", f"{said['payments'][0]['amount']} {currency}"),
            ("Paper", str(paper)),
            *(("Job", f"{job.number}, {job.title}: {job.status}") for job in jobs()),
        ]
        for name, value in rows:
            self.stdout.write(f"  {name + ':':<14}{value}")

    def _serve(self, wanted: int, demo: Demo) -> None:
        port = _free_port(wanted)
        self.stdout.write(
            f"\nOpen http://127.0.0.1:{port}/ and sign in as {demo.username} with {demo.password}\n"
            "Stop with Ctrl-C.\n"
        )
        self.stdout.flush()
        call_command("runserver", f"127.0.0.1:{port}", use_reloader=False, skip_checks=True)


def _free_port(wanted: int) -> int:
    """The first port from `wanted` on that nobody listens on."""
    for port in range(wanted, wanted + PORTS_TRIED):
        with socket.socket() as probe:
            if probe.connect_ex(("127.0.0.1", port)):
                return port
    return wanted
