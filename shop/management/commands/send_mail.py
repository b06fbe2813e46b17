"""`manage.py send_mail`: try the mail to clients that is due. Meant to be run every minute."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand
from django.utils import timezone

from quoting.services.outbox import deliver_due


class Command(BaseCommand):
    help = "Try every mail to a client that waits and is due; run it every minute."

    def handle(self, *args: Any, **options: Any) -> None:
        """Send, and say how many went where there was anything to do."""
        went, stayed = deliver_due(timezone.now())
        if (went or stayed) and options["verbosity"]:
            self.stdout.write(f"{went} sent, {stayed} not taken")
