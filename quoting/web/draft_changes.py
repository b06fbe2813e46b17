"""What saving a form would change of the draft that stands, in words."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from decimal import Decimal, InvalidOperation
from itertools import zip_longest

from quoting.models import Client, PieceRevision
from quoting.web.forms_quote import TypedQuote

_FIELDS = {
    "title": "title",
    "quoted_on": "prices of",
    "valid_days": "valid for, days",
    "discount": "discount, %",
    "note": "note to the client",
}
CELLS = {
    "revision": "piece",
    "text": "words",
    "quantity": "how many",
    "unit_price": "each, without tax",
    "tax_category": "tax",
    "option": "only in option",
}
LONGEST = 60


def changes(standing: TypedQuote, typed: TypedQuote) -> tuple[str, ...]:
    """Return a line for each difference, from what stands to what was typed; nothing where there is none.

    >>> stands = TypedQuote({"title": "A hearth", "discount": "5"})
    >>> changes(stands, TypedQuote({"title": "A bench", "discount": "5.0"}))
    ('title “A hearth” → “A bench”',)
    """
    return tuple(_of_fields(standing.fields, typed.fields)) + tuple(
        line
        for name, before, after in (
            ("piece", standing.items, typed.items),
            ("line", standing.lines, typed.lines),
        )
        for number, (old, new) in enumerate(zip_longest(before, after), start=1)
        for line in _of_row(f"{name} {number}", old, new)
    )


def _of_fields(old: Mapping[str, str], new: Mapping[str, str]) -> Iterator[str]:
    if made := new.get("new_client", "").strip():
        yield f"client {_client(old.get('client', ''))} → {_short(made)}, somebody new"
    elif old.get("client", "") != new.get("client", ""):
        yield f"client {_client(old['client'])} → {_client(new['client'])}"
    for key, label in _FIELDS.items():
        if not _same(old.get(key, ""), new.get(key, "")):
            yield f"{label} {_short(old.get(key, ''))} → {_short(new.get(key, ''))}"


def _of_row(name: str, old: Mapping[str, str] | None, new: Mapping[str, str] | None) -> Iterator[str]:
    if old is None or new is None:
        row = old or new or {}
        said = _piece(row["revision"]) if "revision" in row else _short(row.get("text", ""))
        yield f"{name}, {said}: {'added' if old is None else 'taken out'}"
        return
    for key, before in old.items():
        after = new.get(key, "")
        if not _same(before, after):
            say = _piece if key == "revision" else _short
            yield f"{name}: {CELLS[key]} {say(before)} → {say(after)}"


def _same(one: str, other: str) -> bool:
    one, other = (" ".join(text.split()) for text in (one, other))
    try:
        return one == other or Decimal(one) == Decimal(other)
    except InvalidOperation:
        return False


def _short(text: str) -> str:
    text = " ".join(text.split())
    return f"“{text if len(text) <= LONGEST else text[: LONGEST - 1] + '…'}”" if text else "nothing"


def _piece(pk: str) -> str:
    found = PieceRevision.objects.select_related("piece").filter(pk=pk).first() if _key(pk) else None
    return _short(str(found)) if found is not None else "no piece"


def _client(pk: str) -> str:
    found = Client.objects.filter(pk=pk).first() if _key(pk) else None
    return _short(found.name) if found is not None else "nobody"


def _key(text: str) -> bool:
    return text.isascii() and text.isdecimal() and len(text) < 19
