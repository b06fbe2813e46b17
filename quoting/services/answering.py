"""The client's answer to an issued quote: accepted once, or declined, or a question."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from decimal import Decimal

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from quoting.access import Person
from quoting.errors import IllegalMove
from quoting.models import LAPSED, Quote, QuoteAnswer
from quoting.services.quote_events import held, move, record

Status = Quote.Status
_WHEN_ACCEPTED: list[Callable[[Quote], None]] = []


def when_accepted(call: Callable[[Quote], None]) -> None:
    """Have `call` run in the transaction of every acceptance, after it is written: the shop opens a job."""
    if call not in _WHEN_ACCEPTED:
        _WHEN_ACCEPTED.append(call)


@transaction.atomic
def accept_quote(
    quote: Quote,
    *,
    name: str,
    data_sha256: str,
    on: date,
    option: str = "",
    note: str = "",
    by: Person = None,
) -> QuoteAnswer:
    """Write down that the client accepts, by the name typed, what hashes to `data_sha256`.

    `by` is who wrote it down for the client; None when the client did. Raises IllegalMove when the quote is
    not out, has lapsed, or is not the one that was read; ValidationError by field for what was typed.
    """
    out = _answerable(quote, "accept", on)
    said = out.issued.data
    if data_sha256 != out.issued.data_sha256:
        raise IllegalMove(out.status, "accept", "What was read is not what was issued; read it again.")
    sums = {one["name"]: one["gross"] for one in said["options"]} or {"": said["gross"]}
    faults = {} if name.strip() else {"name": "Type your name to accept."}
    if option not in sums:
        faults["option"] = "Choose one of the options." if said["options"] else "This quote has no options."
    if faults:
        raise ValidationError(faults)
    answer = _answered(out, Status.ACCEPTED, name, note, by, option=option, gross=Decimal(sums[option]))
    for call in _WHEN_ACCEPTED:
        call(out)
    return answer


@transaction.atomic
def decline_quote(quote: Quote, *, name: str, on: date, note: str = "", by: Person = None) -> QuoteAnswer:
    """Write down that the client declines. Raises as `accept_quote` does."""
    out = _answerable(quote, "decline", on)
    if not name.strip():
        raise ValidationError({"name": "Type your name to decline."})
    return _answered(out, Status.DECLINED, name, note, by)


@transaction.atomic
def ask_about_quote(quote: Quote, *, question: str, name: str = "") -> None:
    """Keep a client's question with the quote. Raises ValidationError when there is none, IllegalMove for a
    draft.
    """
    out = held(quote)
    if out.status == Status.DRAFT:
        raise IllegalMove(out.status, "ask", "A draft has not been sent to anybody.")
    if not question.strip():
        raise ValidationError({"question": "Write your question."})
    asked = f"{name.strip()[:200]}: {question.strip()}" if name.strip() else question.strip()
    record(out, "asked", None, asked)


def _answerable(quote: Quote, wanted: str, on: date) -> Quote:
    out = held(quote)
    state = out.state(on)
    if state == Status.ISSUED:
        return out
    reasons = {
        Status.DRAFT: "This quote has not been issued.",
        LAPSED: "This quote has lapsed; ask for a new one.",
        Status.ACCEPTED: "This quote was accepted already.",
        Status.DECLINED: "This quote was declined already.",
        Status.WITHDRAWN: "This quote was withdrawn.",
        Status.SUPERSEDED: "Another quote took the place of this one.",
    }
    raise IllegalMove(state, wanted, reasons[state])


def _answered(
    out: Quote,
    status: Quote.Status,
    name: str,
    note: str,
    by: Person,
    *,
    option: str = "",
    gross: Decimal | None = None,
) -> QuoteAnswer:
    typed = name.strip()[:200]
    answer = QuoteAnswer.objects.create(
        quote=out,
        kind=status.value,
        at=timezone.now(),
        name=typed,
        option=option,
        gross=gross,
        data_sha256=out.issued.data_sha256,
        note=note.strip()[:2000],
        by=by,
    )
    chosen = f", option {option}" if option else ""
    move(out, status, by, f"{typed}{chosen}{': ' + answer.note if answer.note else ''}")
    return answer
