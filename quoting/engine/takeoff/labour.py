"""Hands-on hours by operation: drivers × standards, crew, set-up, repeats. Elapsed days are never hours here.

Rounding, stated once: an operation's hours are rounded half up to four decimals (after shedding binary
noise at the ninth), and only those rounded hours meet a rate; the cost is rounded to the minor unit once.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from quoting.engine.errors import Fault, Refused
from quoting.engine.money import exact, to_minor
from quoting.engine.takeoff.learning import MODELS, total_factor
from quoting.engine.takeoff.lines import LabourLine
from quoting.engine.takeoff.wording import count_of, figure, in_shop_units, percent
from quoting.engine.values import Operation, PriceBook, ShopTerms

# What a driver is counted in: a unit, or the noun of one.
DRIVERS: Mapping[str, str] = {
    "mould_cut_length_m": "m",
    "mould_joint_m": "m",
    "mould_part_count": "part",
    "screw_count": "screw",
    "sealant_bead_m": "m",
    "volume_m3": "m³",
    "concrete_kg": "kg",
    "batch_count": "batch",
    "mesh_area_m2": "m²",
    "show_area_m2": "m²",
    "side_area_m2": "m²",
    "edge_length_m": "m",
    "edge_treated_m": "m",
    "trough_area_m2": "m²",
    "finish_area_m2": "m²",
    "polish_area_m2": "m²",
    "fill_area_m2": "m²",
    "sealer_area_m2": "m²",
    "inlay_count": "inlay",
    "sleeve_count": "sleeve",
    "insert_count": "insert",
    "opening_count": "opening",
    "trough_count": "trough",
    "light_length_m": "m",
    "lift_count": "lift",
    "distance_km": "km",
    "steps": "step",
    "install": "place",
}
ORDER_DRIVERS = ("distance_km",)
"""Met once for the whole order, not once a piece: one trip carries all."""


@dataclass(frozen=True, slots=True)
class _Counts:
    """How often an operation is done: castings, or moulds where it is once a mould; and the repeat factor."""

    repeats: int
    noun: str
    factor: float


def rounded_hours(hours: float) -> float:
    """Hours as they are planned and paid: half up to four decimals.

    >>> rounded_hours(1.492), rounded_hours(0.00005)
    (1.492, 0.0001)
    """
    clean = Decimal(repr(round(float(hours), 9)))
    return float(clean.quantize(Decimal("0.0001"), rounding=ROUND_HALF_UP))


def labour(
    book: PriceBook,
    drivers: Mapping[str, float],
    quantity: int,
    terms: ShopTerms,
    *,
    moulds: int = 1,
) -> tuple[LabourLine, ...]:
    """Planned hours of each operation that a quantity of one piece needs, in the price book's order of work.

    hours = crew × max(minimum, set-up + Σ driver × standard × repeats); repeats is the learning curve's total
    over the castings (over the moulds for work done once a mould). `drivers` are for one piece (one mould);
    those of `ORDER_DRIVERS` are for the order. An operation is needed when its `when` is empty or that driver
    is above zero. After a break the piece goes back to `back_to`, or, where this piece does not need that
    operation, to the next one that it needs. Refused for unknown drivers, roles, operations or learning
    model.
    """
    _refuse(_faults(book, drivers, quantity, terms, moulds))
    needed = [operation for operation in book.operations if _needed(operation, drivers)]
    lines = []
    for operation in needed:
        role = book.roles[operation.role]
        counts = _counts(operation, quantity, moulds, terms.learning_model)
        hours = rounded_hours(operation.crew * _person_hours(operation, drivers, counts))
        once = _Counts(1, counts.noun, 1.0)
        remake = rounded_hours(operation.crew * _person_hours(operation, drivers, once))
        lines.append(
            LabourLine(
                operation=operation.code,
                name=operation.name,
                stage=operation.stage,
                role=operation.role,
                crew=operation.crew,
                hours=hours,
                rate=role.rate,
                cost=to_minor(exact(hours) * role.rate, terms.minor_units),
                working=_working(operation, drivers, counts, hours, terms.unit_system),
                spread=operation.spread,
                breakage=operation.breakage,
                back_to=_back_to(operation, book.operations, needed),
                elapsed_hours=rounded_hours(hours / operation.crew),
                remake_hours=remake,
            )
        )
    return tuple(lines)


def _needed(operation: Operation, drivers: Mapping[str, float]) -> bool:
    if operation.when and drivers.get(operation.when, 0.0) <= 0:
        return False
    runs = any(drivers.get(driver, 0.0) > 0 for driver in operation.per_driver_hours)
    return bool(runs or operation.setup_hours or operation.minimum_hours or operation.breakage)


def _counts(operation: Operation, quantity: int, moulds: int, model: str) -> _Counts:
    repeats, noun = (moulds, "moulds") if operation.once_per_mould else (quantity, "castings")
    return _Counts(repeats, noun, total_factor(operation.learning_rate, repeats, model))


def _person_hours(operation: Operation, drivers: Mapping[str, float], counts: _Counts) -> float:
    setups = 1 if operation.setup_shared else counts.repeats
    run = math.fsum(
        drivers.get(driver, 0.0) * standard * (1.0 if driver in ORDER_DRIVERS else counts.factor)
        for driver, standard in operation.per_driver_hours.items()
    )
    return max(operation.minimum_hours, setups * operation.setup_hours + run)


def _working(
    operation: Operation, drivers: Mapping[str, float], counts: _Counts, hours: float, system: str
) -> str:
    def products(of_order: bool) -> list[str]:
        return [
            _product(driver, drivers[driver], standard, system)
            for driver, standard in sorted(operation.per_driver_hours.items(), key=_order)
            if (driver in ORDER_DRIVERS) == of_order and drivers.get(driver, 0.0) > 0
        ]

    sums = []
    if operation.setup_hours:
        times = "" if operation.setup_shared or counts.repeats == 1 else f"{counts.repeats} × "
        sums.append(f"{times}{_figure(operation.setup_hours)} h set-up")
    if per_piece := products(of_order=False):
        run = " + ".join(per_piece)
        if counts.repeats > 1:
            run = f"({run})" if len(per_piece) > 1 else run
            run += f" × {_figure(counts.factor)} ({_repeats(operation, counts)})"
        sums.append(run)
    total = " + ".join([*sums, *products(of_order=True)]) or "0 h"
    if _person_hours(operation, drivers, counts) == operation.minimum_hours > 0:
        total = f"{total}, at least {_figure(operation.minimum_hours)} h"
    if operation.crew > 1:
        total = f"({total}) × {operation.crew} people"
    return f"{total} = {hours:.2f} h"


def _order(standard: tuple[str, float]) -> tuple[int, str]:
    """Drivers in the order of `DRIVERS`, the shop's own after them: not as a database keeps its keys."""
    driver = standard[0]
    return (list(DRIVERS).index(driver) if driver in DRIVERS else len(DRIVERS), driver)


def _product(driver: str, value: float, standard: float, system: str) -> str:
    """`12.4 m × 0.08 h` or `4 inlays × 0.3 h`, in the shop's units."""
    unit = DRIVERS.get(driver, driver)
    if driver.endswith("_count") or driver in ("steps", "install"):
        return f"{count_of(round(value), unit)} × {_figure(standard)} h"
    shown, name = in_shop_units(value, unit, system)
    return f"{_figure(shown)} {name} × {_figure(standard * value / shown)} h"


def _repeats(operation: Operation, counts: _Counts) -> str:
    if operation.learning_rate == 1:
        return f"{counts.repeats} {counts.noun}"
    return f"{counts.repeats} {counts.noun}, {percent(operation.learning_rate)} learning"


def _figure(value: float) -> str:
    """Five digits: enough for a pencil to come to the hundredth of an hour."""
    return figure(value, 5)


def _back_to(operation: Operation, book: Sequence[Operation], needed: Sequence[Operation]) -> str | None:
    if operation.back_to is None:
        return None
    codes = [each.code for each in book]
    start = codes.index(operation.back_to)
    present = {each.code for each in needed}
    return next(code for code in codes[start:] if code in present)


def _faults(
    book: PriceBook, drivers: Mapping[str, float], quantity: int, terms: ShopTerms, moulds: int
) -> Iterable[Fault]:
    if quantity < 1 or moulds < 1:
        yield Fault("quantity", "at least one piece and one mould", "out_of_range", f"{quantity}, {moulds}")
    if terms.learning_model not in MODELS:
        message = f"the learning model is one of {', '.join(MODELS)}"
        yield Fault("terms.learning_model", message, "bad_choice", terms.learning_model)
    codes = [operation.code for operation in book.operations]
    for number, operation in enumerate(book.operations):
        path = f"operations.{operation.code}"
        if operation.role not in book.roles:
            known = ", ".join(sorted(book.roles))
            yield Fault(f"{path}.role", f"no such role; known: {known}", "unknown_code", operation.role)
        for driver in (*operation.per_driver_hours, *filter(None, (operation.when,))):
            if driver not in DRIVERS and driver not in drivers:
                message = f"no take-off gives this driver; known: {', '.join(DRIVERS)}"
                yield Fault(f"{path}.per_driver_hours", message, "unknown_code", driver)
        if not 0 < operation.learning_rate <= 1:
            message = "a learning rate is above 0 and at most 1 (1: no learning)"
            yield Fault(f"{path}.learning_rate", message, "out_of_range", str(operation.learning_rate))
        if operation.crew < 1:
            yield Fault(f"{path}.crew", "at least one person", "out_of_range", str(operation.crew))
        if operation.back_to is not None and operation.back_to not in codes[: number + 1]:
            message = "after a break the piece goes back to this operation or to one before it"
            yield Fault(f"{path}.back_to", message, "bad_return", operation.back_to)


def _refuse(faults: Iterable[Fault]) -> None:
    if found := tuple(faults):
        raise Refused(found)
