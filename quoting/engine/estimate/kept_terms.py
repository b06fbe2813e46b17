"""The shop's terms as JSON, to be kept with what was priced by them, and back."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from pydantic import TypeAdapter

from quoting.engine.values import ShopTerms

_TERMS: TypeAdapter[ShopTerms] = TypeAdapter(ShopTerms)


def keep(terms: ShopTerms) -> dict[str, Any]:
    """Every term as a JSON value, amounts as decimal strings; `restore` gives equal terms back.

    >>> restore(keep(ShopTerms())) == ShopTerms()
    True
    """
    kept: dict[str, Any] = _TERMS.dump_python(replace(terms, tax_rates=dict(terms.tax_rates)), mode="json")
    return kept


def restore(kept: Mapping[str, Any]) -> ShopTerms:
    """The terms that `keep` wrote; a term that did not exist then has its default."""
    return _TERMS.validate_python(dict(kept))
