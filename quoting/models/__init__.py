"""What quoting keeps: clients, saved pieces, quotes and what became of them. Imports run in that order."""

from quoting.models.clients import Client
from quoting.models.issued import IssuedQuote, QuoteAnswer
from quoting.models.links import CalendarFeed, ClientLink, LinkAttempt
from quoting.models.mails import OutgoingMail
from quoting.models.pieces import PieceRevision, SavedPiece
from quoting.models.quotes import LAPSED, NumberSeries, Quote, QuoteEvent, QuoteItem, QuoteLine

__all__ = [
    "LAPSED",
    "CalendarFeed",
    "Client",
    "ClientLink",
    "IssuedQuote",
    "LinkAttempt",
    "NumberSeries",
    "OutgoingMail",
    "PieceRevision",
    "Quote",
    "QuoteAnswer",
    "QuoteEvent",
    "QuoteItem",
    "QuoteLine",
    "SavedPiece",
]
