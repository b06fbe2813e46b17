"""The whole starter shop as engine values, without a database: price list, pay, operations, terms."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import fields, replace
from decimal import Decimal
from functools import cache
from typing import Any

from quoting.engine.spec.parse import parse_piece
from quoting.engine.spec.types import Piece
from quoting.engine.values import Operation, PriceBook, Role, ShopTerms
from tests.quoting.engine.takeoff.materials_world import FIXTURES, starter

_MONEY: tuple[str, ...] = (
    "overhead_per_labour_hour",
    "target_margin",
    "breakage_flat",
    "deposit",
    "price_step",
)
_MONEY += ("price_step", "minimum_job_price", "delivery_per_km", "delivery_per_step", "delivery_fixed")


@cache
def book(pack: str = "metric") -> PriceBook:
    """The starter catalogue with its roles and operations."""
    data = _data(pack)
    roles = {
        row["code"]: Role(row["code"], row["name"], Decimal(row["pay_per_hour"]), Decimal(row["on_costs"]))
        for row in data["roles"]
    }
    work = sorted(data["operations"], key=lambda row: row["position"])
    return replace(starter(pack), roles=roles, operations=tuple(Operation(**_known(row)) for row in work))


@cache
def terms(pack: str = "metric") -> ShopTerms:
    """The starter shop's terms."""
    said = _data(pack)["terms"]
    known = {field.name for field in fields(ShopTerms)}
    values = {name: value for name, value in said.items() if name in known}
    values |= {name: Decimal(values[name]) for name in _MONEY if name in values}
    values["tax_rates"] = {name: Decimal(rate) for name, rate in sorted(values["tax_rates"].items())}
    for name in ("finish_grits", "finish_faces", "shop_temperature_c"):
        values[name] = tuple(values[name])
    return ShopTerms(**values)


def document(name: str) -> dict[str, Any]:
    """An example specification."""
    text = (FIXTURES / "specifications" / f"{name}.json").read_text(encoding="utf-8")
    found: dict[str, Any] = json.loads(text)
    return found


def piece(name: str) -> Piece:
    """The piece of an example specification."""
    return parse_piece(document(name))


def _data(pack: str) -> dict[str, Any]:
    text = (FIXTURES / "catalogue" / f"starter-{pack}.json").read_text(encoding="utf-8")
    found: dict[str, Any] = json.loads(text)
    return found


def _known(row: Mapping[str, Any]) -> dict[str, Any]:
    names = {field.name for field in fields(Operation)}
    values = {key: value for key, value in row.items() if key in names}
    spread = tuple(row.get(f"spread_{point}", usual) for point, usual in _SPREAD)
    return values | {"spread": spread}


_SPREAD = (("low", 0.8), ("likely", 1.0), ("high", 1.4))
