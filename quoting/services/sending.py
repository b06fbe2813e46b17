"""Sending a quote to its client by e-mail, with the paper and a link to answer by."""

from __future__ import annotations

import secrets
from collections.abc import Callable
from datetime import datetime

from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.validators import validate_email
from django.db import transaction

from quoting.access import Person
from quoting.errors import IllegalMove
from quoting.models import ClientLink, OutgoingMail, Quote
from quoting.services.links import create_link
from quoting.services.outbox import TOKEN, deliver_after_commit, token_of
from quoting.services.quote_events import held, record


@transaction.atomic
def send_quote(
    quote: Quote,
    *,
    address_of: Callable[[str], str],
    now: datetime,
    to: str = "",
    message: str = "",
    by: Person = None,
) -> ClientLink:
    """Write the mail that brings an issued quote to `to`, by default the client's address, with its own link.

    It goes out as soon as the transaction is over; where the mail server is away it waits in the outbox, and
    `link.mail` says so. `address_of` makes the full address of a token. Raises IllegalMove when the quote
    cannot be answered any more, ValidationError for an address that is none.
    """
    out = held(quote)
    state = out.state(now.date())
    if state != Quote.Status.ISSUED:
        raise IllegalMove(state, "send", "Only a quote that is out and still valid can be sent.")
    receiver = to.strip() or out.client.email
    try:
        validate_email(receiver)
    except ValidationError:
        raise ValidationError({"to": "Give the e-mail address to send it to."}) from None
    message_id = f"<{secrets.token_hex(16)}@{settings.DEFAULT_FROM_EMAIL.rpartition('@')[2].rstrip('>')}>"
    token = token_of(message_id)
    link, _ = create_link(out, now=now, by=by, token=token)
    link.sent_to = receiver
    link.save(update_fields=("sent_to",))
    mail = OutgoingMail.objects.create(
        link=link,
        message_id=message_id,
        page=address_of(token).replace(token, TOKEN),
        message=message.strip(),
        next_try_at=now,
    )
    record(out, "mail written", by, receiver)
    deliver_after_commit(mail.pk)
    return link
