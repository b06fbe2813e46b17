"""Ordering again: a new draft from an old quote, with the newest revisions at the prices of the day."""

from __future__ import annotations

from datetime import date

from django.core.exceptions import ValidationError
from django.db import transaction

from quoting.access import Person
from quoting.errors import IllegalMove
from quoting.models import Client, Quote
from quoting.selectors.pieces import newest_revision
from quoting.services.drafting import ItemWanted, LineWanted, draft_quote
from quoting.services.quote_events import record


@transaction.atomic
def quote_again(
    quote: Quote,
    *,
    on: date,
    client: Client | None = None,
    quantities: dict[int, int] | None = None,
    by: Person = None,
) -> Quote:
    """A draft of what an issued quote offered, for the same client or another; the old quote stays as it is.

    The newest revision of each piece is taken; `quantities` by position (1, 2 …) take the place of the old
    ones. Lines, discount, note and alternatives come with it. Raises IllegalMove for a draft, ValidationError
    with every fault by field.
    """
    if quote.status == Quote.Status.DRAFT:
        raise IllegalMove(
            quote.status, "quote again", "This quote was never issued; change the draft itself."
        )
    wanted = quantities or {}
    items = list(quote.items.select_related("revision__piece").order_by("position"))
    if strange := sorted(wanted.keys() - {item.position for item in items}):
        raise ValidationError({"quantities": f"{quote.number} has no piece at position {strange[0]}."})
    draft = draft_quote(
        client or quote.client,
        title=quote.title,
        quoted_on=on,
        items=[
            ItemWanted(
                newest_revision(item.revision.piece),
                wanted.get(item.position, item.quantity),
                item.option,
                item.tax_category,
            )
            for item in items
        ],
        lines=[
            LineWanted(line.text, line.unit_price, line.quantity, line.tax_category, line.option)
            for line in quote.lines.order_by("position")
        ],
        valid_days=quote.valid_days,
        discount=quote.discount,
        note=quote.note,
        by=by,
    )
    record(draft, "ordered again", by, f"after {quote.number}")
    return draft
