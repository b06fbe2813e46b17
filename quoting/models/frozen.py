"""Triggers that keep what was issued as it was, whoever writes: a page, a shell, another program.

They refuse, in the database itself:

- changing or removing an issued paper, an answer, or an event of an issued quote;
- removing an issued quote, changing what it says, or taking it back to a state before;
- adding, changing or removing its pieces and lines;
- removing a number series or counting it back.

Called by a migration. One that remakes these tables on SQLite drops their triggers and has to `install` them
again; `tests/quoting/models/test_frozen.py` fails until it does.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from django.db.backends.base.base import BaseDatabaseWrapper

_SAID = (
    "number client_id title quoted_on valid_days discount note revises_id created_at".split()  # noqa: SIM905
)
_IS_DRAFT = "(SELECT status FROM quoting_quote WHERE id = {row}.quote_id) = 'draft'"
_AGAIN = "({new}.status <> {old}.status AND {old}.status <> 'issued')"


@dataclass(frozen=True, slots=True)
class Guard:
    """One trigger: before `event` on `table`, refuse when `when` holds."""

    name: str
    table: str
    event: str
    when: str = "1 = 1"


def guards() -> Iterator[Guard]:
    """Every trigger there should be."""
    for table in ("quoting_issuedquote", "quoting_quoteanswer"):
        for event in ("UPDATE", "DELETE"):
            yield Guard(f"{table}_no_{event.lower()}", table, event)
    changed = " OR ".join(f"NEW.{name} IS DISTINCT FROM OLD.{name}" for name in _SAID)
    moved = _AGAIN.format(new="NEW", old="OLD")
    issued = f"OLD.status <> 'draft' AND ({changed} OR {moved} OR NEW.status = 'draft')"
    yield Guard("quoting_quote_no_change", "quoting_quote", "UPDATE", issued)
    yield Guard("quoting_quote_no_delete", "quoting_quote", "DELETE", "OLD.status <> 'draft'")
    for table in ("quoting_quoteitem", "quoting_quoteline"):
        for event, row in (("INSERT", "NEW"), ("UPDATE", "NEW"), ("UPDATE", "OLD"), ("DELETE", "OLD")):
            name = f"{table}_no_{event.lower()}_{row.lower()}"
            yield Guard(name, table, event, f"NOT {_IS_DRAFT.format(row=row)}")
    said = ("kind", "detail", "at", "quote_id")
    what = " OR ".join(f"NEW.{name} IS DISTINCT FROM OLD.{name}" for name in said)
    yield Guard("quoting_quoteevent_no_update", "quoting_quoteevent", "UPDATE", what)
    kept = f"NOT {_IS_DRAFT.format(row='OLD')}"
    yield Guard("quoting_quoteevent_no_delete", "quoting_quoteevent", "DELETE", kept)
    yield Guard("quoting_numberseries_no_back", "quoting_numberseries", "UPDATE", "NEW.last < OLD.last")
    yield Guard("quoting_numberseries_no_delete", "quoting_numberseries", "DELETE")


def install(connection: BaseDatabaseWrapper) -> None:
    """Put every trigger in place, whatever is there of them."""
    remove(connection)
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute(_REFUSE)
        for guard in guards():
            cursor.execute(_postgresql(guard) if connection.vendor == "postgresql" else _sqlite(guard))


def remove(connection: BaseDatabaseWrapper) -> None:
    """Take every trigger away."""
    with connection.cursor() as cursor:
        for guard in guards():
            table = f" ON {guard.table}" if connection.vendor == "postgresql" else ""
            cursor.execute(f"DROP TRIGGER IF EXISTS {guard.name}{table}")


_MESSAGE = "issued and answered quotes are never changed or removed"
_REFUSE = f"""
CREATE OR REPLACE FUNCTION quoting_refuse() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    RAISE EXCEPTION '{_MESSAGE}' USING ERRCODE = 'integrity_constraint_violation';
END $$
"""


def _sqlite(guard: Guard) -> str:
    when = guard.when.replace("IS DISTINCT FROM", "IS NOT")
    return (
        f"CREATE TRIGGER {guard.name} BEFORE {guard.event} ON {guard.table} FOR EACH ROW WHEN {when} "
        f"BEGIN SELECT RAISE(ABORT, '{_MESSAGE}'); END"
    )


def _postgresql(guard: Guard) -> str:
    # A trigger's WHEN takes no query there: what asks the quote's status does it in a function of its own.
    if "SELECT" not in guard.when:
        return (
            f"CREATE TRIGGER {guard.name} BEFORE {guard.event} ON {guard.table} FOR EACH ROW "
            f"WHEN ({guard.when}) EXECUTE FUNCTION quoting_refuse()"
        )
    result = "OLD" if guard.event == "DELETE" else "NEW"
    return (
        f"CREATE OR REPLACE FUNCTION {guard.name}() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN "
        f"IF {guard.when} THEN RAISE EXCEPTION '{_MESSAGE}' "
        f"USING ERRCODE = 'integrity_constraint_violation'; END IF; RETURN {result}; END $$; "
        f"CREATE TRIGGER {guard.name} BEFORE {guard.event} ON {guard.table} FOR EACH ROW "
        f"EXECUTE FUNCTION {guard.name}()"
    )
