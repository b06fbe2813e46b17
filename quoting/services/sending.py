"""Sending a quote to its client by e-mail, with the paper and a link to answer by."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

from django.core.exceptions import ValidationError
from django.core.mail import EmailMultiAlternatives
from django.core.validators import validate_email
from django.db import transaction
from django.template.loader import render_to_string

from quoting.access import Person
from quoting.documents.client_quote import page
from quoting.errors import IllegalMove
from quoting.models import ClientLink, Quote
from quoting.services.links import create_link
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
    """Send an issued quote to `to`, by default the client's address, with a link of its own.

    `address_of` makes the full address of a token. Raises IllegalMove when the quote cannot be answered any
    more, ValidationError for an address that is none; what the mail server refuses is raised as it comes, and
    then nothing was written.
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
    link, token = create_link(out, now=now, by=by)
    link.sent_to = receiver
    link.save(update_fields=("sent_to",))
    record(out, "sent", by, receiver)
    _mail(out, receiver, address_of(token), message.strip()).send()
    return link


def _mail(quote: Quote, receiver: str, address: str, message: str) -> EmailMultiAlternatives:
    said = page(quote.issued.data)
    context = said | {"address": address, "message": message}
    shop = quote.issued.data["shop"]
    title = " ".join(f"Quote {quote.number}: {quote.title}".split())
    mail = EmailMultiAlternatives(
        subject=title,
        body=render_to_string("quoting/client/mail.txt", context),
        to=[receiver],
        reply_to=[shop["email"]] if shop["email"] else None,
    )
    mail.attach_alternative(render_to_string("quoting/client/mail.html", context), "text/html")
    mail.attach(f"quote-{quote.number}.pdf", bytes(quote.issued.pdf), "application/pdf")
    return mail
