"""Mail on its way: each waits in a row of its own until the mail server has taken it.

A row is claimed by one conditional update, so that no two processes send it at once; the server is spoken to
with no transaction open. A process that dies between the server's yes and our note of it leaves its claim,
and after `LEASE` the mail goes out once more, with the same Message-ID, by which a receiver knows it again.

The client's link holds a secret of which only the hash is kept, and so the mail's text is not kept either:
token and text are made anew at each try, the token from the site's `SECRET_KEY` and the Message-ID.
"""

from __future__ import annotations

import logging
import smtplib
from base64 import urlsafe_b64encode
from datetime import datetime, timedelta
from email.utils import format_datetime

from django.core.mail import EmailMultiAlternatives
from django.db import transaction
from django.db.models import F, Q
from django.template.loader import render_to_string
from django.utils import timezone
from django.utils.crypto import salted_hmac

from quoting.access import Person
from quoting.documents.client_quote import page
from quoting.errors import IllegalMove
from quoting.models import OutgoingMail, Quote
from quoting.services.links import hashed
from quoting.services.quote_events import record

LEASE = timedelta(minutes=10)
"""Longer than a sending takes: the server has 15 s for each of its dozen answers."""
FIRST_WAIT, LONGEST_WAIT = timedelta(minutes=1), timedelta(hours=4)
GIVE_UP_AFTER = timedelta(days=5)
"""RFC 5321, section 4.5.4.1: "the give-up time generally needs to be at least 4-5 days"."""
TOKEN = "{token}"  # noqa: S105 - its place in an address
MOST_AT_ONCE = 50

Status = OutgoingMail.Status
log = logging.getLogger(__name__)


class Undeliverable(ValueError):
    """A mail that trying again does not help; a person has to see to it."""


def token_of(message_id: str) -> str:
    """The secret of a mail's link: an HMAC-SHA-256 of 256 bits, which nobody makes without the site's key."""
    secret = salted_hmac("quoting.outbox", message_id, algorithm="sha256").digest()
    return urlsafe_b64encode(secret).decode().rstrip("=")


def wait_after(tries: int) -> timedelta:
    """How long to wait after so many tries in vain: a minute, doubled each time, four hours at most.

    >>> [str(wait_after(tries)) for tries in (1, 2, 5, 9, 400)]
    ['0:01:00', '0:02:00', '0:16:00', '4:00:00', '4:00:00']
    """
    return min(FIRST_WAIT * (1 << min(tries - 1, 20)), LONGEST_WAIT)


def deliver_due(now: datetime) -> tuple[int, int]:
    """Try every mail that is due, the longest waiting first; return how many went and how many did not.

    The first that finds no server ends the round: the others would find none either.
    """
    due = OutgoingMail.objects.filter(status=Status.WAITING, next_try_at__lte=now)
    went = stayed = 0
    for pk in list(due.order_by("next_try_at", "pk").values_list("pk", flat=True)[:MOST_AT_ONCE]):
        fault = deliver(pk, now)
        went, stayed = went + (fault is None), stayed + (fault is not None)
        if fault is not None and _is_away(fault):
            break
    return went, stayed


def deliver(pk: int, now: datetime) -> Exception | None:
    """Try one mail that is due and in nobody else's hands; return the fault that kept it here, if any."""
    mail = _claimed(pk, now)
    if mail is None:
        return None
    reason = _overtaken(mail, now)
    if reason:
        _settle(mail, Status.DROPPED, now, reason, None)
        return None
    try:
        letter(mail).send()
    except (OSError, ValueError) as fault:  # SMTPException is an OSError
        _put_back(mail, fault, now)
        return fault
    _settle(mail, Status.SENT, now, mail.link.sent_to, mail.link.created_by)
    return None


def deliver_after_commit(pk: int) -> None:
    """Try a mail and all others due as soon as the present transaction is over."""

    def now_or_later() -> None:
        if deliver(pk, timezone.now()) is None:
            deliver_due(timezone.now())

    transaction.on_commit(now_or_later)


@transaction.atomic
def try_again(mail: OutgoingMail, now: datetime) -> None:
    """Make a waiting mail due, whatever its next try was. Raises IllegalMove for one that is settled."""
    waiting = OutgoingMail.objects.filter(pk=mail.pk, status=Status.WAITING)
    if not waiting.update(next_try_at=now):
        raise IllegalMove(_status(mail), "try again", "Only a mail that waits can be tried again.")
    deliver_after_commit(mail.pk)


@transaction.atomic
def drop(mail: OutgoingMail, now: datetime, by: Person = None) -> None:
    """Give a waiting mail up and take its link back.

    Raises IllegalMove for one that is settled, or that a process has in hand just now.
    """
    settled = {"status": Status.DROPPED, "settled_at": now, "next_try_at": None}
    if not OutgoingMail.objects.filter(_free(now), pk=mail.pk, status=Status.WAITING).update(**settled):
        raise IllegalMove(_status(mail), "drop", "Only a mail that waits can be dropped.")
    link = mail.link
    type(link).objects.filter(pk=link.pk, revoked_at=None).update(revoked_at=now)
    record(link.quote, "mail dropped", by, link.sent_to)


def letter(mail: OutgoingMail) -> EmailMultiAlternatives:
    """The mail as it goes out: text, HTML and paper, from what was issued. Raises Undeliverable."""
    quote = mail.link.quote
    token = token_of(mail.message_id)
    if hashed(token) != mail.link.token_sha256:
        raise Undeliverable("The site's secret key is not the one it was written with: drop it, send anew.")
    context = page(quote.issued.data) | {
        "address": mail.page.replace(TOKEN, token),
        "message": mail.message,
    }
    shop = quote.issued.data["shop"]
    written = EmailMultiAlternatives(
        subject=" ".join(f"Quote {quote.number}: {quote.title}".split()),
        body=render_to_string("quoting/client/mail.txt", context),
        to=[mail.link.sent_to],
        reply_to=[shop["email"]] if shop["email"] else None,
        headers={"Message-ID": mail.message_id, "Date": format_datetime(mail.link.created_at)},
    )
    written.attach_alternative(render_to_string("quoting/client/mail.html", context), "text/html")
    written.attach(f"quote-{quote.number}.pdf", bytes(quote.issued.pdf), "application/pdf")
    return written


def _free(now: datetime) -> Q:
    """In nobody's hands: not claimed, or so long ago (or, the clock set back, so far ahead) that he died."""
    return Q(claimed_at=None) | Q(claimed_at__lte=now - LEASE) | Q(claimed_at__gt=now + LEASE)


def _claimed(pk: int, now: datetime) -> OutgoingMail | None:
    due = OutgoingMail.objects.filter(_free(now), pk=pk, status=Status.WAITING, next_try_at__lte=now)
    if not due.update(claimed_at=now, tries=F("tries") + 1):
        return None
    return OutgoingMail.objects.select_related("link__quote__issued", "link__created_by").get(pk=pk)


def _overtaken(mail: OutgoingMail, now: datetime) -> str:
    """Why a mail is of no use any more, empty where it is."""
    if mail.link.revoked_at is not None or mail.link.expires_at <= now:
        return "its link was taken back or has ended"
    state = mail.link.quote.state(now.date())
    return "" if state == Quote.Status.ISSUED else f"the quote is {state}"


@transaction.atomic
def _settle(mail: OutgoingMail, status: Status, now: datetime, detail: str, by: Person) -> None:
    waiting = OutgoingMail.objects.filter(pk=mail.pk, status=Status.WAITING)
    settled = {"status": status, "settled_at": now, "claimed_at": None, "next_try_at": None, "last_error": ""}
    if waiting.update(**settled):
        record(mail.link.quote, "sent" if status == Status.SENT else "mail dropped", by, detail)


def _put_back(mail: OutgoingMail, fault: Exception, now: datetime) -> None:
    late = now - mail.link.created_at > GIVE_UP_AFTER
    after = None if late or _is_final(fault) else now + wait_after(mail.tries)
    # The words may name the receiver: they are for the page, the log has the kind and the code alone.
    code = getattr(fault, "smtp_code", "")
    log.warning("mail %s was not taken: %s %s", mail.pk, type(fault).__name__, code)
    said = f"{type(fault).__name__}: {_words(fault)}"[:500]
    held = OutgoingMail.objects.filter(pk=mail.pk, tries=mail.tries, status=Status.WAITING)
    held.update(claimed_at=None, next_try_at=after, last_error=said)


def _words(fault: Exception) -> str:
    said = getattr(fault, "smtp_error", None)
    if isinstance(fault, smtplib.SMTPRecipientsRefused):
        said = "; ".join(f"{code} {_plain(words)}" for code, words in fault.recipients.values())
    elif said is not None:
        said = f"{getattr(fault, 'smtp_code', '')} {_plain(said)}"
    return (said or str(fault)).replace("\0", "")


def _plain(words: bytes | str) -> str:
    return words.decode("utf-8", "replace") if isinstance(words, bytes) else words


def _is_final(fault: Exception) -> bool:
    """Whether the same mail is refused for good (RFC 5321, section 4.2.1: 5yz); a sign-in may be mended."""
    if isinstance(fault, smtplib.SMTPRecipientsRefused):
        return all(code >= 500 for code, _ in fault.recipients.values())
    if isinstance(fault, (smtplib.SMTPSenderRefused, smtplib.SMTPDataError)):
        return fault.smtp_code >= 500
    return isinstance(fault, ValueError)


def _is_away(fault: Exception) -> bool:
    refused = (smtplib.SMTPSenderRefused, smtplib.SMTPDataError, smtplib.SMTPRecipientsRefused)
    return isinstance(fault, OSError) and not isinstance(fault, refused)


def _status(mail: OutgoingMail) -> str:
    return OutgoingMail.objects.values_list("status", flat=True).get(pk=mail.pk)
