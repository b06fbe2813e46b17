"""A full disk and a clock set back: nothing is half done, numbers and the order of events stay right."""

from __future__ import annotations

import os
import subprocess
import sys
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from pathlib import Path
from unittest.mock import patch

import pytest
from django.conf import settings

from quoting.models import Quote
from quoting.services.clients import create_client
from quoting.services.drafting import LineWanted, draft_quote
from quoting.services.issuing import issue_quote, withdraw_quote

TODAY = datetime(2026, 3, 2, 9, tzinfo=UTC)

FILL_THE_DISK = """
import resource, sys
import django
django.setup()
from django.conf import settings
from django.core.management import call_command
from django.db import OperationalError
from catalog.services.starter import load_starter
from quoting.models import Client
from quoting.services.clients import create_client
from datetime import date, datetime, UTC
from pathlib import Path
from shop.backup.making import make_backup
from shop.storage_faults import is_storage_fault
import signal

call_command("migrate", verbosity=0)
load_starter("metric", on=date(2026, 1, 1))
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
limit = max(file.stat().st_size for file in settings.VAR_DIR.glob("workshop*")) + (1 << 17)
resource.setrlimit(resource.RLIMIT_FSIZE, (limit, resource.RLIM_INFINITY))
kept = 0
try:
    while True:
        create_client(name=f"Client {kept}", note="x" * 4000)
        kept += 1
except Exception as fault:
    assert is_storage_fault(fault), repr(fault)
resource.setrlimit(resource.RLIMIT_FSIZE, (1 << 14, resource.RLIM_INFINITY))
file = Path(sys.argv[1])
try:
    make_backup(file, at=datetime.now(UTC))
    raise SystemExit("a backup fitted where there was no room")
except Exception as fault:
    assert is_storage_fault(fault), repr(fault)
assert not list(file.parent.glob("*backup*")), "a torn backup was left"
assert not list(file.parent.glob(".*backup*")), "a torn backup was left"
resource.setrlimit(resource.RLIMIT_FSIZE, (resource.RLIM_INFINITY, resource.RLIM_INFINITY))
assert Client.objects.count() == kept, (Client.objects.count(), kept)
create_client(name="Room again")
print(kept)
"""


def test_a_full_disk_stops_the_write_and_nothing_else(tmp_path: Path) -> None:
    """The limit on the size of a file stands for a full disk: the database meets it in the same call."""
    kept = {name: value for name, value in os.environ.items() if name in {"PATH", "HOME", "LD_LIBRARY_PATH"}}
    done = subprocess.run(
        [sys.executable, "-c", FILL_THE_DISK, str(tmp_path / "a.backup")],
        cwd=settings.BASE_DIR,
        env={**kept, "DJANGO_SETTINGS_MODULE": "shop.settings", "VAR_DIR": str(tmp_path / "var")},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert int(done.stdout) > 0


@pytest.mark.django_db
def test_a_clock_set_back_changes_no_order() -> None:
    from catalog.services.starter import load_starter

    load_starter("metric", on=TODAY.date() - timedelta(days=60))
    client = create_client(name="Village library")
    numbers = []
    for hours in (0, -30):
        now = TODAY + timedelta(hours=hours)
        with patch("django.utils.timezone.now", return_value=TODAY):
            draft = draft_quote(
                client, title="Survey", quoted_on=TODAY.date(), lines=[LineWanted("Survey", Decimal(80))]
            )
        with patch("django.utils.timezone.now", return_value=now):
            issued = issue_quote(draft, on=TODAY.date())
        with patch("django.utils.timezone.now", return_value=now - timedelta(minutes=1)):
            withdraw_quote(issued.quote)
        numbers.append(issued.quote.number)
    assert numbers == ["Q26-0001", "Q26-0002"]
    for quote in Quote.objects.all():
        assert [event.kind for event in quote.events.all()] == ["drafted", "issued", "withdrawn"]
