"""A piece form filled in as a browser would send it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from quoting.engine.spec.codes import KnownCodes
from quoting.web.fields import FormMaker, Group


def typed(document: dict[str, Any], system: str = "metric") -> dict[str, str]:
    """Names and texts of every field that the form of a document shows; empty boxes are not sent."""
    groups = FormMaker.of(KnownCodes(), {}, (), system).groups(document)
    return dict(_sent(groups))


def _sent(groups: Iterable[Group]) -> Iterable[tuple[str, str]]:
    for group in groups:
        yield from group.hidden
        yield from ((f.name, f.text) for f in group.fields if f.text or f.kind != "tick")
        yield from _sent(group.groups)
