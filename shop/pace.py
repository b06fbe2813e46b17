"""How often one person may ask the API: so many requests in each minute of the clock, whoever answers them.

The count is a row of the database, raised by one statement, so that workers and machines share it and none is
lost between them. It stands on its own, outside the transaction of any request.
"""

from __future__ import annotations

import logging
import time
from collections.abc import Callable
from http import HTTPStatus

from django.conf import settings
from django.db import Error, connection
from django.http import HttpRequest, HttpResponse
from django.urls import Resolver404, resolve

from shop.error_pages import API_PREFIX, problem_answer
from shop.storage_faults import is_storage_fault, short_wait

WINDOW_S = 60

# The minute that stands is kept where it is one ahead: clocks of two machines differ a little. Further ahead
# it was written before a clock was set back.
COUNT = """
INSERT INTO accounts_requestcount (user_id, pace, minute, count) VALUES (%s, %s, %s, 1)
ON CONFLICT (user_id, pace) DO UPDATE SET
    count = CASE WHEN accounts_requestcount.minute IN (excluded.minute, excluded.minute + 1)
        THEN accounts_requestcount.count + 1 ELSE 1 END,
    minute = CASE WHEN accounts_requestcount.minute = excluded.minute + 1
        THEN accounts_requestcount.minute ELSE excluded.minute END
RETURNING count
"""

log = logging.getLogger(__name__)


class PaceMiddleware:
    """Answers 429 to a person who asks the API too often, and says where the count stands.

    A view that works hard for its answer says `pace = "heavy"`, an action `@action(pace="heavy")`. Headers
    are those of draft-ietf-httpapi-ratelimit-headers: `RateLimit-Policy: "default";q=600;w=60` and
    `RateLimit: "default";r=599;t=42`.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Count the request; pass it on, or refuse it until the next minute of the clock."""
        pace = pace_of(request)
        if pace is None or request.user.pk is None:
            return self.get_response(request)
        minute, into = divmod(int(time.time()), WINDOW_S)
        quota, seconds = settings.API_PACE[pace], WINDOW_S - into
        count = counted(request.user.pk, pace, minute)
        if count is None:
            return self.get_response(request)
        if count > quota:
            said = f"More than {quota} requests in this minute. Ask again in {seconds} s."
            answer: HttpResponse = problem_answer(HTTPStatus.TOO_MANY_REQUESTS, "throttled", said)
            answer["Retry-After"] = str(seconds)
        else:
            answer = self.get_response(request)
        answer["RateLimit-Policy"] = f'"{pace}";q={quota};w={WINDOW_S}'
        answer["RateLimit"] = f'"{pace}";r={max(0, quota - count)};t={seconds}'
        return answer


def pace_of(request: HttpRequest) -> str | None:
    """Return the name of the limit that an address of the API counts towards, None for any other address."""
    if not request.path_info.startswith(API_PREFIX):
        return None
    try:
        view = resolve(request.path_info).func
    except Resolver404:
        return None
    return pace_of_view(view)


def pace_of_view(view: object) -> str:
    """Return the name of the limit that a view counts towards: what its @action says, else its class."""
    of_action = getattr(view, "initkwargs", {}).get("pace")
    return str(of_action or getattr(getattr(view, "cls", view), "pace", "default"))


def counted(person: int, pace: str, minute: int) -> int | None:
    """Count one request and return how many it makes in this minute; None where the store takes no count.

    A store that is full, read-only or held by a long write must not shut out those who only read.
    """
    try:
        with short_wait(), connection.cursor() as cursor:
            cursor.execute(COUNT, (person, pace, minute))
            ((count,),) = cursor.fetchall()  # all of it: only then is it written
            return int(count)
    except Error as fault:
        if not is_storage_fault(fault):
            raise
        log.warning("a request was not counted: %s", fault)
        return None
