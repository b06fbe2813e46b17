"""How often one person may ask."""

from __future__ import annotations

import time
from typing import TYPE_CHECKING

from django.conf import settings
from django.core.cache import cache
from rest_framework.throttling import BaseThrottle

if TYPE_CHECKING:  # the framework reads its settings, and so this module, while its views are made
    from rest_framework.request import Request
    from rest_framework.views import APIView

WINDOW_S = 60


class Pace(BaseThrottle):
    """So many requests a person in each minute of the clock, counted in each worker's memory.

    A view that works hard for its answer says `pace = "heavy"`. Where the count stands is said in
    `RateLimit` and `RateLimit-Policy`, which `shop.limits.PaceHeadersMiddleware` puts on the answer.
    """

    seconds_left = 0

    def allow_request(self, request: Request, view: APIView) -> bool:
        """Count this request and return whether it is within the limit."""
        name: str = getattr(view, "pace", "default")
        quota: int = settings.API_PACE[name]
        minute, into = divmod(int(time.time()), WINDOW_S)
        key = f"pace:{name}:{request.user.pk}:{minute}"
        cache.add(key, 0, timeout=2 * WINDOW_S)
        count = cache.incr(key)
        self.seconds_left = WINDOW_S - into
        left = max(0, quota - count)
        request._request.pace = (name, quota, WINDOW_S, left, self.seconds_left)  # type: ignore[attr-defined]
        return count <= quota

    def wait(self) -> float:
        """Return the seconds to the next minute of the clock."""
        return self.seconds_left
