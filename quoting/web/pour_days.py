"""A pour on a day that somebody chooses: the cure by its forecast, and what the air asks for."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date
from itertools import groupby
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.views.decorators.http import require_safe

from catalog.measures import FAHRENHEIT, MILES_AN_HOUR
from quoting.engine.errors import Fault, Refused
from quoting.engine.estimate.pour_day import PourDay, pour_day
from quoting.engine.takeoff.strength import stress
from quoting.engine.takeoff.weather import Weather, temperature
from quoting.models import SavedPiece
from quoting.selectors.pieces import asked_revision
from quoting.web.desk import desk
from quoting.web.doors import quoters
from quoting.web.editor import fault_rows
from quoting.web.shown import Figures

ASKED = ("day", "forecast", "air", "humidity", "wind", "concrete")
AIR = ("air", "humidity", "wind", "concrete")
_NUMBER = re.compile(r"-?[0-9]{1,4}(?:[.,][0-9]{1,4})?")
_PLACES = {"forecast_c": "forecast", "air_c": "air", "wind_kmh": "wind", "concrete_c": "concrete"}


@quoters
@require_safe
def piece_pour_day(request: HttpRequest, pk: int) -> HttpResponse:
    """The days of the cure; the weather comes as a query."""
    piece = get_object_or_404(SavedPiece, pk=pk)
    revision = asked_revision(piece, request.GET.get("revision", ""))
    asked = {name: request.GET.get(name, "").replace("\x00", "").strip()[:400] for name in ASKED}
    asked["day"] = asked["day"] or timezone.localdate().isoformat()
    at = desk()
    context: dict[str, Any] = {
        "piece": piece,
        "revision": revision,
        "asked": asked,
        "us": at.shown.system == "us",
    }
    try:
        day, forecast_c, weather = read(asked, at.shown.system)
        made = at.estimate(revision.document)
        found = pour_day(made, at.book, at.terms, day=day, forecast_c=forecast_c, weather=weather)
        context |= _shown(found, at.shown)
    except Refused as refused:
        faults = _at_fields(refused)
        context["wrong"] = {fault.path for fault in faults}
        context["faults"] = fault_rows(faults, {name: name for name in ASKED})
    return render(request, "quoting/pour_day.html", context, status=422 if "faults" in context else 200)


def read(asked: Mapping[str, str], system: str) -> tuple[date, tuple[float, ...], Weather | None]:
    """Day, forecast in °C and air as typed in the shop's units. Raises Refused with every fault, by field."""
    faults: list[Fault] = []

    def number(name: str, text: str) -> float:
        if not _NUMBER.fullmatch(text):
            faults.append(Fault(name, "must be a number such as 12 or 12.5", "not_a_number", text[:40]))
            return 0.0
        typed = text.replace(",", ".")
        if system == "us" and name in ("forecast", "air", "concrete"):
            return float(FAHRENHEIT.read(typed))
        return float(MILES_AN_HOUR.read(typed) if system == "us" and name == "wind" else typed)

    try:
        day = date.fromisoformat(asked["day"])
    except ValueError:
        faults.append(Fault("day", "must be a date such as 2026-05-31", "not_a_date", asked["day"][:40]))
        day = date.min
    forecast_c = tuple(number("forecast", text) for text in re.split(r"[\s;]+", asked["forecast"]) if text)
    air = {name: number(name, asked[name]) for name in AIR if asked[name]}
    for name in AIR if air else ():
        if name not in air:
            faults.append(Fault(name, "is missing: all four of the air, or none", "required"))
    if faults:
        raise Refused(faults)
    if not air:
        return day, forecast_c, None
    return day, forecast_c, Weather(air["air"], air["humidity"] / 100, air["wind"], air["concrete"])


def _at_fields(refused: Refused) -> tuple[Fault, ...]:
    """The engine's faults under the names of the form's fields."""
    return tuple(
        Fault(_PLACES.get(fault.path.partition("[")[0], fault.path), fault.message, fault.code, fault.value)
        for fault in refused.faults
    )


def _for_days(text: str, days: int) -> str:
    return f"{text} for {days} days" if days > 1 else text


def _shown(found: PourDay, shown: Figures) -> dict[str, Any]:
    rules = {step.step: step for step in found.cure}
    return {
        "poured": found.day,
        "temperatures": [
            _for_days(temperature(celsius, shown.system).replace(" ", "\u00a0"), len(list(alike)))
            for celsius, alike in groupby(found.temperatures_c)
        ],
        "steps": [
            {
                "name": dated.name,
                "day": dated.day,
                "strength": stress(rules[dated.step].strength_mpa, shown.system)
                if dated.step in rules
                else "",
                "why": dated.why,
            }
            for dated in found.steps
        ],
        "cautions": found.cautions,
        "evaporation": None
        if found.evaporation_kg_m2_h is None
        else shown.evaporation(found.evaporation_kg_m2_h),
    }
