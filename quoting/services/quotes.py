"""The life of a quote, one door: drafting, issuing, answering.

    draft -> issued -> accepted | declined | withdrawn | superseded

A quote that is out past its last valid day has lapsed; that follows from the date and is written nowhere.
Every move holds the quote's row, is one transaction, and leaves an event.
"""

from quoting.services.answering import accept_quote, ask_about_quote, decline_quote, when_accepted
from quoting.services.drafting import (
    ItemWanted,
    LineWanted,
    change_draft,
    delete_draft,
    draft_quote,
    revise_quote,
)
from quoting.services.issuing import issue_quote, withdraw_quote

__all__ = [
    "ItemWanted",
    "LineWanted",
    "accept_quote",
    "ask_about_quote",
    "change_draft",
    "decline_quote",
    "delete_draft",
    "draft_quote",
    "issue_quote",
    "revise_quote",
    "when_accepted",
    "withdraw_quote",
]
