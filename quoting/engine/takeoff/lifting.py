"""What people may lift: the revised NIOSH lifting equation for one person, HSE's factors for teams, slings.

The equation is written for one worker with both hands: a team's share of a load is not a check by it. A
team is treated by HSE's factors on the sum of what its members may lift alone.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from quoting.engine.errors import Fault, Refused

Duration = Literal["short", "moderate", "long"]
"""Up to 1 h, over 1 up to 2 h, over 2 up to 8 h of lifting, with the recovery the guide asks for."""
Coupling = Literal["good", "fair", "poor"]

LOAD_CONSTANT_KG = 23.0
LARGEST_TEAM = 4
"""Over four people a team lift is unlikely to work well (HSE L23, paragraph 120)."""
_TEAM_FACTORS = {1: 1.0, 2: 2 / 3, 3: 1 / 2}

# Frequency multipliers by lifts a minute (NIOSH table 5): hands below 75 cm and from 75 cm up, by duration.
_LIFTS = (0.2, 0.5, *(float(n) for n in range(1, 16)))
_FM_LOW = {
    "short": "1.00 .97 .94 .91 .88 .84 .80 .75 .70 .60 .52 .45 .41 .37 0 0 0",
    "moderate": ".95 .92 .88 .84 .79 .72 .60 .50 .42 .35 .30 .26 0 0 0 0 0",
    "long": ".85 .81 .75 .65 .55 .45 .35 .27 .22 .18 0 0 0 0 0 0 0",
}
_FM_HIGH = {
    "short": "1.00 .97 .94 .91 .88 .84 .80 .75 .70 .60 .52 .45 .41 .37 .34 .31 .28",
    "moderate": ".95 .92 .88 .84 .79 .72 .60 .50 .42 .35 .30 .26 .23 .21 0 0 0",
    "long": ".85 .81 .75 .65 .55 .45 .35 .27 .22 .18 .15 .13 0 0 0 0 0",
}
_CM = {"good": (1.00, 1.00), "fair": (0.95, 1.00), "poor": (0.90, 0.90)}
_KNUCKLE_CM = 75.0
_SHORT_MIN, _MODERATE_MIN, _LONG_MIN = 60.0, 120.0, 480.0
_DUST = 1e-9  # binary noise of a capacity that is met exactly


@dataclass(frozen=True, slots=True)
class OneLift:
    """One lift by one person, measured as the NIOSH guide asks; centimetres and degrees."""

    horizontal_cm: float
    """H: from the ankles to the hands."""
    vertical_cm: float
    """V: hands above the floor."""
    travel_cm: float
    """D: how far up or down."""
    turn_deg: float = 0.0
    """A: twist of the body."""
    per_minute: float = 0.2
    duration: Duration = "short"
    coupling: Coupling = "poor"
    """A bare concrete slab gives a poor grip."""


@dataclass(frozen=True, slots=True)
class Multipliers:
    """The multipliers of one lift; their product with 23 kg is the recommended weight limit."""

    hm: float
    vm: float
    dm: float
    am: float
    fm: float
    cm: float

    @property
    def rwl_kg(self) -> float:
        """Recommended weight limit in kg, for one person."""
        return LOAD_CONSTANT_KG * math.prod((self.hm, self.vm, self.dm, self.am, self.fm, self.cm))


def multipliers(lift: OneLift) -> Multipliers:
    """The six multipliers of the revised NIOSH lifting equation, metric: RWL = 23·HM·VM·DM·AM·FM·CM, kg.

    HM = 25/H (H to 63 cm), VM = 1 − 0.003|V − 75| (V to 175 cm), DM = 0.82 + 4.5/D (D to 175 cm),
    AM = 1 − 0.0032·A (A to 135°), FM and CM by table, FM interpolated; zero beyond the limits. Not valid for
    carrying, one hand, sitting, slippery floors or loads that move. Refused for negative measures.
    Source: DHHS (NIOSH) 94-110, revised 9/2021; check values C82 to C103.

    >>> round(multipliers(OneLift(30, 75, 25, coupling="good")).rwl_kg, 2)
    19.17
    """
    _refuse_negative(lift)
    low = lift.vertical_cm < _KNUCKLE_CM
    return Multipliers(
        hm=min(1.0, 25 / lift.horizontal_cm)
        if 0 < lift.horizontal_cm <= 63
        else float(not lift.horizontal_cm),
        vm=1 - 0.003 * abs(lift.vertical_cm - _KNUCKLE_CM) if lift.vertical_cm <= 175 else 0.0,
        dm=min(1.0, 0.82 + 4.5 / max(lift.travel_cm, 25.0)) if lift.travel_cm <= 175 else 0.0,
        am=1 - 0.0032 * lift.turn_deg if lift.turn_deg <= 135 else 0.0,
        fm=frequency_multiplier(lift.per_minute, lift.duration, low=low),
        cm=_CM[lift.coupling][0 if low else 1],
    )


def frequency_multiplier(per_minute: float, duration: Duration, *, low: bool) -> float:
    """FM of table 5 for lifts a minute, linear between its rows; `low` for hands below 75 cm.

    Below 0.2 a minute counts as 0.2; above 15 it is zero. Check values C82, C85 to C87.

    >>> round(frequency_multiplier(2.4, "short", low=True), 3)
    0.898
    """
    row = [float(figure) for figure in (_FM_LOW if low else _FM_HIGH)[duration].split()]
    if per_minute > _LIFTS[-1]:
        return 0.0
    rate = max(per_minute, _LIFTS[0])
    after = max(1, bisect_left(_LIFTS, rate))
    (x0, x1), (y0, y1) = (list(pairwise(column))[after - 1] for column in (_LIFTS, row))
    return y0 + (y1 - y0) * (rate - x0) / (x1 - x0)


def effective_frequency(per_minute: float, worked_minutes: float, period_minutes: float = 15.0) -> float:
    """Lifts a minute over a period of which only a part is spent lifting; check values C86, C87.

    >>> round(effective_frequency(10, 8), 2)
    5.33
    """
    return per_minute * worked_minutes / period_minutes


def duration_of(spells: Sequence[tuple[float, float]]) -> Duration:
    """How long lifting lasts by the guide: spells of lifting, each with the light work after it, in minutes.

    Up to 1 h is short where as long a recovery follows, up to 2 h moderate where 0.3 of it does; with less,
    the next spell counts as part of the same. The longest counts, the last one as if recovery followed.
    ValueError beyond 8 h, where the equation does not hold. Source: DHHS (NIOSH) 94-110; check values C88,
    C89, C103.

    >>> duration_of([(30, 10), (45, 0)]), duration_of([(30, 30), (45, 0)])
    ('moderate', 'short')
    """
    longest = lifted = 0.0
    for work, light in spells:
        lifted += work
        longest = max(longest, lifted)
        if light >= lifted * (1.0 if lifted <= _SHORT_MIN else 0.3) and lifted <= _MODERATE_MIN:
            lifted = 0.0
    if longest > _LONG_MIN:
        raise ValueError("the lifting equation holds for up to 8 hours of lifting")
    return "short" if longest <= _SHORT_MIN else "moderate" if longest <= _MODERATE_MIN else "long"


def reach_cm(load_depth_cm: float, vertical_cm: float) -> float:
    """H when it cannot be measured: 20 + W/2 cm with hands at 25 cm or higher, else 25 + W/2 (NIOSH
    guide).
    """
    return (20.0 if vertical_cm >= 25 else 25.0) + load_depth_cm / 2


def team_capacity_kg(people: int, each_kg: float) -> float:
    """What a team may lift: people × each × HSE's factor, 2/3 for two and 1/2 for three.

    For four no factor is published: what three may lift is kept, so a fourth person helps to steer, not to
    lift more. ValueError outside 1 to 4. Source: HSE L23, paragraph 120; check values C104, C105.

    >>> round(team_capacity_kg(2, 25.0), 1), team_capacity_kg(3, 25.0)
    (33.3, 37.5)
    """
    if not 1 <= people <= LARGEST_TEAM:
        raise ValueError(f"a team lift is for 1 to {LARGEST_TEAM} people")
    counted = min(people, 3)
    return counted * each_kg * _TEAM_FACTORS[counted]


def people_for(mass_kg: float, each_kg: float, available: int) -> int | None:
    """The smallest team that may lift a mass; None when no team of the people available may: use gear.

    >>> people_for(24.0, 25.0, 4), people_for(36.0, 25.0, 4), people_for(60.0, 25.0, 4)
    (1, 3, None)
    """
    for people in range(1, min(available, LARGEST_TEAM) + 1):
        if mass_kg <= team_capacity_kg(people, each_kg) * (1 + _DUST):
            return people
    return None


def sling_leg_kg(mass_kg: float, angle_deg: float, legs: int = 2) -> float:
    """Load in each leg of a sling, W/(n·sin θ), θ from the horizontal; kg. Two legs carry whatever their
    number.

    Legs beyond two are counted as two, for a stiff load hangs on two. ValueError for angles outside 30° to
    90°: below 30° slings are not used. Source: statics; check value C80.

    >>> round(sling_leg_kg(207.36, 60.0), 1)
    119.7
    """
    if not 30 <= angle_deg <= 90:
        raise ValueError("a sling hangs at 30 to 90 degrees from the horizontal")
    if legs < 1:
        raise ValueError("a sling has at least one leg")
    return mass_kg / (min(legs, 2) * math.sin(math.radians(angle_deg)))


def _refuse_negative(lift: OneLift) -> None:
    measures = ("horizontal_cm", "vertical_cm", "travel_cm", "turn_deg", "per_minute")
    faults = [
        Fault(name, "must be zero or more", "out_of_range", str(getattr(lift, name)))
        for name in measures
        if not getattr(lift, name) >= 0
    ]
    if faults:
        raise Refused(faults)
