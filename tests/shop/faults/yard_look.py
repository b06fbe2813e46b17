"""Whether everything is as it must be after a kill."""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path
from typing import Any

from django.db import connection

from catalog.models import Material
from catalog.price_list import export
from quoting.documents.client_quote import digest
from quoting.models import ClientLink, IssuedQuote, NumberSeries, OutgoingMail, Quote, QuoteAnswer
from quoting.services.outbox import LEASE, deliver_due
from shop.backup.archive import checked_manifest
from shop.backup.making import quote_hashes
from shop.backup.restoring import restore_backup
from tests.shop.faults.post_office import Office
from tests.shop.faults.yard_work import NOON, TODAY, Work


class Look:
    """Looks at what the workers left."""

    def __init__(self, work: Work, office: Office) -> None:
        self._work, self._office = work, office
        self._known = work.known
        self.twice = 0
        self._restored = checked_manifest(work.whole, "")["quotes"]

    def faults(self) -> Iterator[str]:
        """Yield what is wrong."""
        yield from self._file()
        yield from self._quotes()
        yield from self._mails()
        yield from self._prices()
        yield from self._backups()
        yield from self._restores()
        yield from self._results()

    def wait(self) -> None:
        """Wait until what the killed one held has been let go."""
        self._work.places.wait()

    def _file(self) -> Iterator[str]:
        if connection.vendor != "sqlite":
            return
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA integrity_check")
            if cursor.fetchone()[0] != "ok":
                yield "the database file is damaged"

    def _quotes(self) -> Iterator[str]:
        out = list(Quote.objects.exclude(number=None).select_related("issued", "answer").order_by("number"))
        numbers = [quote.number for quote in out]
        if numbers != [f"Q26-{number:04d}" for number in range(1, len(out) + 1)]:
            yield f"numbers have gaps or repeats: {numbers}"
        if NumberSeries.objects.get().last != len(out):
            yield "the series does not stand at the last number"
        lost = (self._known["issue"] | self._known["accept"]) - set(numbers)
        if lost:
            yield f"issued and lost: {sorted(lost)}"
        for quote in out:
            kinds = set(quote.events.values_list("kind", flat=True))
            answered = hasattr(quote, "answer")
            if answered != (quote.status == "accepted") or answered != ("accepted" in kinds):
                yield f"{quote.number} is half accepted"
            if quote.number in self._known["accept"] and not answered:
                yield f"{quote.number} was accepted, and that is lost"
            if digest(bytes(quote.issued.pdf)) != quote.issued.pdf_sha256 or "issued" not in kinds:
                yield f"{quote.number} is half issued"

    def _mails(self) -> Iterator[str]:
        """Once no claim holds any more, every mail has gone, and at most one of a kill has gone twice."""
        links = set(map(str, ClientLink.objects.filter(mail__isnull=False).values_list("pk", flat=True)))
        if self._known["send"] - links:
            yield "a mail is lost that was written"
        if ClientLink.objects.filter(mail=None).exists():
            yield "a link was made without its mail"
        deliver_due(NOON + timedelta(days=1) + LEASE)
        waits = OutgoingMail.objects.exclude(status="sent").count()
        if waits:
            yield f"{waits} mails do not go although the server is there"
        taken = self._office.taken()
        ids = set(OutgoingMail.objects.values_list("message_id", flat=True))
        if ids != set(taken):
            yield "what the server took and what is noted as sent are not the same"
        twice = taken.total() - len(taken)
        if twice > self.twice + 1:
            yield "one kill made more than one mail go twice"
        self.twice = twice
        written = sent = 0
        for quote in Quote.objects.filter(links__mail__isnull=False).distinct():
            kinds = list(quote.events.values_list("kind", flat=True))
            written, sent = written + kinds.count("mail written"), sent + kinds.count("sent")
        if not written == sent == len(ids):
            yield f"{len(ids)} mails, {written} noted as written, {sent} as sent"

    def _prices(self) -> Iterator[str]:
        plain = {row.split(",")[0] for row in export(TODAY).splitlines()[1:] if '"' not in row}
        found = set(Material.objects.filter(code__in=plain).values_list("supplier", flat=True))
        last = max(map(int, self._known["import"]))
        if len(found) != 1 or int(found.pop().split()[-1]) < last:
            yield "a price list is half taken in, or lost"

    def _backups(self) -> Iterator[str]:
        files = {file.name.partition(".")[0]: file for file in self._work.backups.glob("*.tar.gz")}
        if self._known["backup"] - set(files):
            yield "a backup is lost"
        for file in files.values():
            checked_manifest(file, "")  # raises where it is not whole
            file.unlink()
        self._known["backup"].clear()

    def _restores(self) -> Iterator[str]:
        """Each database holds all or nothing of the shop; where nothing, a second restore brings all."""
        names = self._work.places.names()
        if self._known["restore"] - names:
            yield "a restored database is lost"
        for name in names:
            with self._work.places.at(name):
                if self._is_empty():
                    if name in self._known["restore"]:
                        yield "a restore was done, and is lost"
                    restore_backup(self._work.whole, replace=True)
                if quote_hashes(IssuedQuote) != self._restored:
                    yield "a restored database is not whole"
        self._work.places.clear()
        self._known["restore"].clear()

    def _is_empty(self) -> bool:
        names = connection.introspection.table_names()
        return "quoting_quote" not in names or not IssuedQuote._base_manager.values("pk").exists()

    def _results(self) -> Iterator[str]:
        files = {file.stem: file for file in self._work.results.glob("*.json")}
        if self._known["reprice"] - set(files):
            yield "prices worked out are lost"
        for file in files.values():
            if not _is_whole(file):
                yield f"{file.name} is half written"
            file.unlink()
        self._known["reprice"].clear()

    def counts(self) -> dict[str, Any]:
        """What there is in the end."""
        return {
            "issued": Quote.objects.exclude(number=None).count(),
            "accepted": QuoteAnswer.objects.count(),
            "mails": OutgoingMail.objects.count(),
            "sent twice": self.twice,
        }


def _is_whole(file: Path) -> bool:
    try:
        return bool(json.loads(file.read_text(encoding="utf-8")))
    except ValueError:
        return False
