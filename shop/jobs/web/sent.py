"""A form that was refused: its page comes again as it was typed, with what is wrong at its field."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest

from catalog.errors import CatalogRefused
from quoting.engine.errors import Refused
from quoting.errors import IllegalMove

NOT_TYPED = frozenset({"csrfmiddlewaretoken", "do", "from", "counted_in"})


@dataclass(frozen=True, slots=True)
class Sent:
    """A form of a page by its name, its texts as typed, and why it was refused.

    `faults` are sentences by field, by `""` where no field is at fault; a field's element has the id
    `form-field`.
    """

    form: str
    typed: Mapping[str, str]
    faults: Mapping[str, tuple[str, ...]] = field(default_factory=dict)

    @property
    def first_wrong(self) -> str:
        """The field to begin with; empty where no field is at fault."""
        wrong = (name for name in (*self.typed, *self.faults) if name in self.faults)
        return next(wrong, "")

    @property
    def said(self) -> Iterator[tuple[str, str]]:
        """Every sentence with the id of the field it is about, if any."""
        for name, sentences in self.faults.items():
            for sentence in sentences:
                yield sentence, f"{self.form}-{name}" if name else ""

    @property
    def texts(self) -> list[str]:
        """What was typed, for a page that has no such form any more."""
        return [text for name, text in self.typed.items() if text and name not in NOT_TYPED]


def refused(
    request: HttpRequest,
    form: str,
    doing: Callable[[], object],
    done: str,
    fields: Mapping[str, str] | None = None,
) -> Sent | None:
    """Do a write and say that it is done, or return the form as it was sent; `fields` names the form's own
    field where the write calls it otherwise."""
    try:
        doing()
    except (Refused, CatalogRefused, IllegalMove, ValidationError) as refusal:
        found: dict[str, tuple[str, ...]] = {}
        for path, sentence in _sentences(refusal):
            name = (fields or {}).get(path, path)
            found[name] = (*found.get(name, ()), sentence)
        return Sent(form, {name: str(request.POST[name]) for name in request.POST}, found)
    messages.success(request, done)
    return None


def tried(request: HttpRequest, doing: Callable[[], object], done: str) -> bool:
    """The same for a button, with which nothing is typed: what was refused is told on the next page."""
    sent = refused(request, "", doing, done)
    for sentence, _ in sent.said if sent is not None else ():
        messages.error(request, sentence)
    return sent is None


def _sentences(refusal: Exception) -> list[tuple[str, str]]:
    if isinstance(refusal, Refused | CatalogRefused):
        return [(fault.path, fault.message) for fault in refusal.faults]
    if not isinstance(refusal, ValidationError):
        return [("", str(refusal))]
    if not hasattr(refusal, "error_dict"):
        return [("", sentence) for sentence in refusal.messages]
    named = refusal.message_dict.items()
    return [("" if name == "__all__" else name, sentence) for name, said in named for sentence in said]
