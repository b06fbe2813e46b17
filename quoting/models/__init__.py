"""What quoting keeps: clients, saved pieces, quotes. Imports run clients, pieces -> quotes."""

from quoting.models.clients import Client
from quoting.models.pieces import PieceRevision, SavedPiece
from quoting.models.quotes import IssuedQuote, NumberSeries, Quote, QuoteEvent, QuoteItem, QuoteLine

__all__ = [
    "Client",
    "IssuedQuote",
    "NumberSeries",
    "PieceRevision",
    "Quote",
    "QuoteEvent",
    "QuoteItem",
    "QuoteLine",
    "SavedPiece",
]
