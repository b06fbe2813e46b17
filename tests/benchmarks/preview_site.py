"""The site as it is served, with the floor's bare page beside it: for a server process of its own.

Each answer says how much of the processor's time it took, which other work on the machine counts little in.
"""

from __future__ import annotations

import time
from collections.abc import Iterable
from typing import Any

from django.conf import settings

settings.DEBUG, settings.ALLOWED_HOSTS = False, ["127.0.0.1"]
settings.ROOT_URLCONF = "tests.benchmarks.site_floor"

from shop.wsgi import application as site  # noqa: E402 - with these settings


def application(environ: Any, start_response: Any) -> Iterable[bytes]:
    """Answer, with the header."""
    begun = time.process_time()

    def started(status: str, headers: list[tuple[str, str]], *rest: Any) -> Any:
        took = 1000 * (time.process_time() - begun)
        return start_response(status, [*headers, ("Server-Timing", f"cpu;dur={took:.2f}")], *rest)

    return site(environ, started)
