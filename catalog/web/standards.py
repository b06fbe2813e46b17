"""Standards as the pages tell them."""

from __future__ import annotations

from catalog.measures import in_words, measure_of
from catalog.models import OperationStandard
from catalog.vocabulary import DRIVERS


def hours_by_driver(standard: OperationStandard | None, system: str) -> list[tuple[float, str]]:
    """Return hours and what they are for, in the order of the drivers: a database keeps no order of keys."""
    hours = {} if standard is None else standard.per_driver_hours
    found = [(driver, label, measure_of(f"per_{driver}", system)) for driver, label in DRIVERS.items()]
    return [
        (
            hours[driver] if measure is None else float(f"{float(measure.shown(hours[driver])):.4g}"),
            in_words(label, measure),
        )
        for driver, label, measure in found
        if driver in hours
    ]
