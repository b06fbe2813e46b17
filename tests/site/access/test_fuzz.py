"""The API against its own description: whatever is sent, no failure and nothing that is not described.

`schemathesis` makes requests from the description, seeded; a few for each operation and role, one where each
takes a while. Deeper by hand, for what time there is:
FUZZ_EXAMPLES=100 .venv/bin/python -m pytest tests/site/access/test_fuzz.py
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from functools import cache
from typing import Any

import pytest
import schemathesis
from django.core.signals import request_finished, request_started
from django.core.wsgi import get_wsgi_application
from django.db import close_old_connections, transaction
from django.utils import timezone
from drf_spectacular.generators import SchemaGenerator
from hypothesis import HealthCheck, given, settings
from hypothesis import seed as seeded
from pytest_django import Settings
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_schema_conformance,
    status_code_conformance,
)

from shop.accounts.keys import make_token
from tests.site.access.conftest import World

pytestmark = pytest.mark.django_db
CHECKS = [
    not_a_server_error,
    status_code_conformance,
    content_type_conformance,
    response_schema_conformance,
]
EXAMPLES = int(os.environ.get("FUZZ_EXAMPLES", "3"))
SLOW = ("pdf", "traveller", "templates", "issue", "again", "bridge", "what_if", "send")
"""Words in the names of operations that print a paper or price a quote: a tenth of the examples."""


@cache
def operations() -> list[Any]:
    described = SchemaGenerator().get_schema(request=None, public=True)  # type: ignore[no-untyped-call]
    schema = schemathesis.openapi.from_dict(described)
    schema.app = get_wsgi_application()
    read: list[Any] = list(schema.get_all_operations())
    return [found.ok() for found in read]


@pytest.fixture
def kept_open() -> Iterator[None]:
    """The connection that the test's transaction is on outlives each request, as with Django's own client."""
    signals = (request_started, request_finished)
    for signal in signals:
        signal.disconnect(close_old_connections)
    yield
    for signal in signals:
        signal.connect(close_old_connections)


def faults_of(operation: Any, headers: dict[str, str], real: dict[str, str], examples: int) -> str:
    """Send so many requests, each undone, and return what was wrong, if anything."""

    @seeded(20260302)
    @settings(
        max_examples=examples,
        deadline=None,
        database=None,
        suppress_health_check=list(HealthCheck),
        print_blob=False,
    )
    @given(case=operation.as_strategy())
    def send(case: Any) -> None:
        for name in case.path_parameters or {}:
            if name in real:
                case.path_parameters[name] = real[name]
        with transaction.atomic():
            answer = case.call(headers=headers)
            transaction.set_rollback(True)
        case.validate_response(answer, checks=CHECKS)

    try:
        send()
    except (Exception, BaseExceptionGroup) as fault:  # whatever it was, the others are tried too
        return f"{operation.label}: {fault!r}\n{fault}"
    return ""


@pytest.mark.parametrize(("who", "share"), [("o", 1), ("e", 2), ("b", 4)])
def test_nothing_undescribed(world: World, settings: Settings, kept_open: None, who: str, share: int) -> None:
    settings.API_PACE = {"default": 1_000_000, "heavy": 1_000_000}
    settings.ALLOWED_HOSTS = ["*"]
    _, secret = make_token(world.people[who], name="fuzz", scope="write", days=1, now=timezone.now())
    headers = {"Authorization": f"Bearer {secret}", "If-Match": "*"}
    found = []
    each = max(1, EXAMPLES // share)
    for operation in operations():
        place = next((step for step in operation.path.split("/") if f"{step}.pk" in world.values), "")
        real = {name: world.values[f"{place}.{key}"] for name, key in (("id", "pk"),) if place}
        real |= {"code": world.values.get(f"{operation.path.split('/')[3]}.code", "CUT-MOULD")}
        slow = any(word in operation.definition.raw["operationId"] for word in SLOW)
        found.append(faults_of(operation, headers, real, max(1, each // 10) if slow else each))
    assert not any(found), "\n\n".join(filter(None, found))
