"""The words of a search. Pure."""

from __future__ import annotations

MOST_WORDS = 20
"""More narrow nothing down. SQLite takes an expression of a thousand terms, and each word makes a few."""


def words_of(search: str) -> list[str]:
    """Return the words to look for, each once, no more than are of use.

    >>> words_of(" café  table café ")
    ['café', 'table']
    """
    return list(dict.fromkeys(search.split()))[:MOST_WORDS]
