"""Roles with dated pay, operations with dated standards."""

from __future__ import annotations

from typing import Any, ClassVar

from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import CheckConstraint, F, Q, UniqueConstraint

from catalog.models.columns import (
    Between,
    Dated,
    JSONColumn,
    Retirable,
    code_field,
    money,
    number,
    share,
    within,
)
from catalog.vocabulary import DRIVERS, Stage

MOST_HOURS = 1000.0


def known_drivers(value: object) -> None:
    """Refuse standards that are not hours per unit of known take-off quantities."""
    if not isinstance(value, dict):
        raise ValidationError("Give hours by driver.", code="drivers_form")
    faults = []
    for driver, hours in value.items():
        if driver not in DRIVERS:
            faults.append(ValidationError(f"{driver!r} is not a driver.", code="unknown_driver"))
        elif isinstance(hours, bool) or not isinstance(hours, int | float) or not 0 < hours <= MOST_HOURS:
            faults.append(
                ValidationError(
                    f"{driver}: hours must be above 0, at most {MOST_HOURS:g}.", code="out_of_range"
                )
            )
    if faults:
        raise ValidationError(faults)


def known_driver_or_none(value: str) -> None:
    """Refuse a condition that is not a take-off quantity."""
    if value not in DRIVERS:
        raise ValidationError(f"{value!r} is not a driver.", code="unknown_driver")


class Role(models.Model):
    """A kind of work that is paid alike."""

    code = code_field()
    name = models.CharField(max_length=80)

    class Meta:
        ordering: ClassVar[list[str]] = ["code"]

    def __str__(self) -> str:
        return self.name


class RoleRate(Dated):
    """Pay of a role from a date."""

    role = models.ForeignKey(Role, on_delete=models.PROTECT, related_name="rates")
    pay_per_hour = money()
    on_costs = share("3", default=0, help_text="Employer's share, holidays: a fraction of the pay.")

    class Meta:
        ordering: ClassVar[list[str]] = ["role", "-valid_from"]
        constraints = (
            UniqueConstraint(fields=("role", "valid_from"), name="one_rate_a_role_and_date"),
            within("pay_per_hour", 0, 10_000_000, model="rolerate"),
            within("on_costs", 0, 3, model="rolerate"),
        )

    def __str__(self) -> str:
        return f"{self.role_id} from {self.valid_from}"


class Operation(Retirable):
    """A step of the shop's work; `position` is the order of work."""

    code = code_field()
    name = models.CharField(max_length=80)
    stage = models.CharField(max_length=10, choices=Stage.choices)
    position = models.PositiveSmallIntegerField()

    class Meta:
        ordering: ClassVar[list[str]] = ["position", "code"]
        constraints = (CheckConstraint(condition=Q(stage__in=Stage.values), name="operation_stage_known"),)

    def __str__(self) -> str:
        return self.name


class OperationStandard(Dated):
    """What an operation is planned to take, from a date."""

    operation = models.ForeignKey(Operation, on_delete=models.PROTECT, related_name="standards")
    role = models.ForeignKey(Role, on_delete=models.PROTECT, related_name="standards")
    crew = models.PositiveSmallIntegerField(default=1, validators=[Between(1, 20)])
    setup_hours = number(0, MOST_HOURS, default=0.0)
    per_driver_hours: models.JSONField[Any, dict[str, float]] = JSONColumn(
        default=dict,
        validators=[known_drivers],
        help_text="Hours of each of the crew per unit of a driver.",
    )
    setup_shared = models.BooleanField(default=True, help_text="One set-up serves all repeats of a piece.")
    once_per_mould = models.BooleanField(default=False, help_text="Done once a mould, not once a casting.")
    learning_rate = number(
        0.5, 1, default=1.0, help_text="1 means no learning; 0.9 saves 10 % at each doubling."
    )
    minimum_hours = number(0, MOST_HOURS, default=0.0)
    spread_low = number(0.01, 10, default=0.8)
    spread_likely = number(0.01, 10, default=1.0)
    spread_high = number(0.01, 10, default=1.4)
    breakage = number(0, 0.9, default=0.0, help_text="Chance that the piece is lost here: 0.02 for 2 %.")
    back_to = models.ForeignKey(
        Operation, null=True, blank=True, on_delete=models.PROTECT, related_name="restarts"
    )
    when = models.CharField(
        max_length=30,
        blank=True,
        validators=[known_driver_or_none],
        help_text="Needed only where this quantity is above nought; empty: always.",
    )
    note = models.CharField(max_length=200, blank=True, help_text="Why it was set so.")

    class Meta:
        ordering: ClassVar[list[str]] = ["operation", "-valid_from"]
        constraints = (
            UniqueConstraint(fields=("operation", "valid_from"), name="one_standard_an_operation_and_date"),
            CheckConstraint(
                condition=Q(spread_low__lte=F("spread_likely")) & Q(spread_likely__lte=F("spread_high")),
                name="standard_spread_in_order",
                violation_error_message="The spread must run low, likely, high.",
            ),
            CheckConstraint(
                condition=Q(breakage=0) | Q(back_to__isnull=False),
                name="standard_breakage_has_return",
                violation_error_message="A chance of breakage needs the operation to start again from.",
            ),
            within("crew", 1, 20, model="standard"),
            within("setup_hours", 0, MOST_HOURS, model="standard"),
            within("learning_rate", 0.5, 1, model="standard"),
            within("minimum_hours", 0, MOST_HOURS, model="standard"),
            within("spread_low", 0.01, 10, model="standard"),
            within("spread_high", 0.01, 10, model="standard"),
            within("breakage", 0, 0.9, model="standard"),
        )

    def __str__(self) -> str:
        return f"{self.operation_id} from {self.valid_from}"

    def clean(self) -> None:
        """Refuse a spread out of order, and a breakage that leads nowhere or forwards."""
        faults: dict[str, Any] = {}
        spread = (self.spread_low, self.spread_likely, self.spread_high)
        if all(isinstance(one, int | float) for one in spread) and list(spread) != sorted(spread):
            faults["spread_low"] = ValidationError(
                "The spread must run low, likely, high.", code="spread_order"
            )
        if isinstance(self.breakage, float) and self.breakage > 0 and self.back_to is None:
            faults["back_to"] = ValidationError(
                "A chance of breakage needs the operation to start again from.", code="missing"
            )
        if self.back_to is not None and self.back_to.position > self.operation.position:
            faults["back_to"] = ValidationError("Work starts again earlier, not later.", code="later")
        if faults:
            raise ValidationError(faults)
