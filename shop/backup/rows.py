"""Rows to lines of JSON and back, exactly; what one database wrote another takes in."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from graphlib import TopologicalSorter
from itertools import islice
from typing import Any

from django.apps.registry import Apps
from django.db import connection, models, transaction

LEFT_OUT = frozenset({"sessions.session"})
"""Sign-ins end with the machine they were made on."""

MADE_BY_MIGRATING = ("auth.permission", "contenttypes.contenttype")
"""Tables that setting up a database fills; their rows are taken from the backup all the same."""

BATCH, WITH_DOCUMENTS = 200, 10
"""Rows held in memory at once; fewer where each holds a paper or a picture."""

Model = type[models.Model]


def tables(registry: Apps) -> dict[str, Model]:
    """Return every table to keep, by label: what refers to another stands before it.

    The database checks references when the transaction ends; guards on the pieces, lines and events of an
    issued quote look for the quote at once. This order lets them in, and a restore only ever adds rows.
    """
    found = {
        model._meta.label_lower: model
        for model in registry.get_models(include_auto_created=True)
        if model._meta.managed and not model._meta.proxy and model._meta.label_lower not in LEFT_OUT
    }
    order = TopologicalSorter(
        {
            label: sorted(
                field.related_model._meta.label_lower
                for field in model._meta.local_concrete_fields
                if isinstance(field.related_model, type) and field.related_model is not model
            )
            for label, model in sorted(found.items())
        }
    )
    return {label: found[label] for label in reversed(tuple(order.static_order())) if label in found}


@contextmanager
def snapshot() -> Iterator[None]:
    """Read one state of the whole database, while others go on writing."""
    if connection.vendor == "sqlite":
        # `atomic` takes the lock for writing at once; a plain BEGIN reads beside writers (write-ahead log).
        with connection.cursor() as cursor:
            cursor.execute("BEGIN")
        try:
            yield
        finally:
            with connection.cursor() as cursor:
                cursor.execute("ROLLBACK")
        return
    with transaction.atomic():
        with connection.cursor() as cursor:
            cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY")
        yield


def _batch(model: Model) -> int:
    heavy = any(isinstance(field, models.BinaryField) for field in model._meta.local_concrete_fields)
    return WITH_DOCUMENTS if heavy else BATCH


def dumped(model: Model) -> Iterator[bytes]:
    """Yield the rows of a table by primary key, one line each."""
    fields = model._meta.local_concrete_fields
    for row in model._base_manager.order_by("pk").iterator(chunk_size=_batch(model)):
        values = {field.attname: _spelled(field, row) for field in fields}
        yield json.dumps(values, ensure_ascii=False, separators=(",", ":")).encode() + b"\n"


def _spelled(field: models.Field[Any, Any], row: models.Model) -> Any:
    value = field.value_from_object(row)
    if value is None or isinstance(field, models.JSONField) or type(value) in (bool, int, float, str):
        return value
    return field.value_to_string(row)


def load(model: Model, lines: Iterable[bytes]) -> int:
    """Add rows to a table as they were, times of change included; return how many.

    `model` is one of a migration's state, so that no code of today runs on rows of another day.
    """
    fields = {field.attname: field for field in model._meta.local_concrete_fields}
    for field in fields.values():
        if isinstance(field, models.DateField):
            field.auto_now = field.auto_now_add = False
    count, rest = 0, iter(lines)
    while batch := list(islice(rest, _batch(model))):
        rows = [
            model(**{name: fields[name].to_python(value) for name, value in json.loads(line).items()})
            for line in batch
        ]
        model._base_manager.bulk_create(rows)
        count += len(rows)
    return count


def count_on(registered: Iterable[Model]) -> None:
    """Let PostgreSQL's counters go on after the highest number of each table."""
    from django.core.management.color import no_style

    with connection.cursor() as cursor:
        for statement in connection.ops.sequence_reset_sql(no_style(), list(registered)):
            cursor.execute(statement)
