"""The site as it is served, with the floor's bare page beside it: for a server process of its own.

Each answer says how much of the processor's time it took, which other work on the machine counts little in.
"""

from __future__ import annotations

import time
from collections.abc import Iterable
from typing import Any

import django
from django.conf import settings
from django.core.handlers.wsgi import WSGIHandler

django.setup(set_prefix=False)
settings.DEBUG, settings.ALLOWED_HOSTS = False, ["127.0.0.1"]
settings.ROOT_URLCONF = "tests.benchmarks.site_floor"


class Timed(WSGIHandler):
    """Adds the header."""

    def __call__(self, environ: Any, start_response: Any) -> Iterable[bytes]:
        """Answer."""
        begun = time.process_time()

        def started(status: str, headers: list[tuple[str, str]], *rest: Any) -> Any:
            took = 1000 * (time.process_time() - begun)
            return start_response(status, [*headers, ("Server-Timing", f"cpu;dur={took:.2f}")], *rest)

        return super().__call__(environ, started)


application = Timed()
