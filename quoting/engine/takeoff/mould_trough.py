"""The mould of a trough: a core that keeps its inside open, an outer form round its walls, drain formers.

The core is a box standing on the mould's base (hanging from bearers when cast face-up), its outside the
trough's inside. The two long panels lap the ends; the lid that forms the trough's floor is set in between
them. With a taper θ every panel leans in: true height = depth ÷ cos θ, the ends run in by atan(sin θ) off
square, and the blade tilts by asin(sin² θ) for the butted corners (trigonometry of a square hopper).
Corners up to a board's thickness are rounded over on the laps; larger ones are bendable strip between panels.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import shapely

from quoting.engine.plane.contour import Contour, contour_of, to_polygon
from quoting.engine.plane.shapes import Point, Rectangle, Round
from quoting.engine.solid.build import Solid
from quoting.engine.spec.types import Trough
from quoting.engine.takeoff.lines import Caution
from quoting.engine.takeoff.mould_parts import Made, Plan, Standing, Work, together
from quoting.engine.takeoff.mould_voids import block, tube_work
from quoting.engine.takeoff.mould_walls import CHORD_MM, LEAST_INSIDE_MM, Boards, walls
from quoting.engine.units import format_length
from quoting.engine.values import Material, PriceBook, ShopTerms


def trough_work(
    trough: Trough, underside_mm: float, face_down: bool, boards: Boards, book: PriceBook, terms: ShopTerms
) -> Work:
    """Core, outer form and drain formers of one trough under a slab whose underside is at `underside_mm`."""
    if narrow_core(trough, boards.board_mm):
        core = _foam_core(trough, book.by_role("knockout_foam"))
    else:
        core = _Core(trough, boards.board_mm).work(boards, terms)
    works = [core, _outer_form(trough, underside_mm, face_down, boards, terms)]
    for drain in trough.drains:
        hole = contour_of(Round(drain.diameter_mm), drain.at_mm)
        levels = (trough.depth_mm, trough.depth_mm + trough.floor_mm)
        works.append(tube_work("drain", hole, drain.diameter_mm, levels, book, terms))
    if face_down:
        inner = contour_of(
            Rectangle(trough.length_mm, trough.width_mm, (trough.corner_radius_mm,) * 4), trough.centre_mm
        )
        works.append(Work(beads=(("trough core", inner.perimeter_mm, terms.fillet_radius_mm),)))
    return together(works)


def narrow_core(trough: Trough, board_mm: float) -> bool:
    """Whether a core has no room for a box of boards with a hand's width inside: it is then solid foam."""
    run_in = trough.depth_mm * math.tan(math.radians(trough.taper_deg))
    least = min(trough.length_mm, trough.width_mm) - 2 * run_in
    return least < 2 * board_mm / math.cos(math.radians(trough.taper_deg)) + LEAST_INSIDE_MM or (
        trough.depth_mm <= 2 * board_mm
    )


def crowded_forms(solid: Solid, board_mm: float, terms: ShopTerms) -> tuple[Caution, ...]:
    """A caution where a trough's outer form has no room beside another's, or beside a drop edge's form.

    Each takes a board's thickness; what stands between must be two boards at least.
    """
    outsides = [to_polygon(body.outer) for body in solid.troughs]
    walls_near = [a.distance(b) for i, a in enumerate(outsides) for b in outsides[i + 1 :]]
    if solid.drop_band is not None:
        form = shapely.LinearRing(solid.drop_band[1].points())
        walls_near += [outside.distance(form) for outside in outsides]
    least = min(walls_near, default=math.inf)
    if least >= 2 * board_mm:
        return ()
    have, want = (format_length(value, terms.unit_system) for value in (least, 2 * board_mm))
    text = (
        f"Forms below the slab stand {have} apart and need {want} for two boards: fill between them with one "
        "solid block, or move the trough."
    )
    return (Caution("forms_crowded", text, "mould geometry"),)


def _foam_core(trough: Trough, foams: Sequence[Material]) -> Work:
    """A core of foam in layers, sawn to the lean."""
    run_in = trough.depth_mm * math.tan(math.radians(trough.taper_deg))
    corners = (trough.corner_radius_mm,) * 4
    plans = [
        contour_of(
            Rectangle(trough.length_mm - 2 * less, trough.width_mm - 2 * less, corners),
            trough.centre_mm,
            trough.turn_deg,
        )
        for less in (0.0, run_in)
    ]
    size = (trough.length_mm, trough.width_mm)
    made = block("trough core", plans[0], size, (0.0, trough.depth_mm), foams)
    lean = f", sides sawn to {trough.taper_deg:.1f}°" if trough.taper_deg else ""
    top, bottom = (plan.points(CHORD_MM) for plan in plans)
    stands = (Standing(top, 0.0, trough.depth_mm, bottom),)
    parts = [
        replace(part, edges=part.edges + lean, standing=stands if n == 0 else ())
        for n, part in enumerate(made)
    ]
    sawn = plans[0].perimeter_mm * sum(part.quantity for part in parts)
    note = "A trough too narrow for a box of boards has a solid foam core: dig it out after stripping."
    return Work(tuple(parts), sawn_mm=sawn, notes=(note,))


def outer_contour(trough: Trough) -> Contour:
    """Outside of the trough: inside at the show face plus the wall on every side, corners likewise."""
    size = Rectangle(
        trough.length_mm + 2 * trough.wall_mm,
        trough.width_mm + 2 * trough.wall_mm,
        (trough.corner_radius_mm + trough.wall_mm,) * 4,
    )
    return contour_of(size, trough.centre_mm, trough.turn_deg)


def _outer_form(
    trough: Trough, underside_mm: float, face_down: bool, boards: Boards, terms: ShopTerms
) -> Work:
    """Boards round the trough's outside; cast face-up they hang under the base, closed by a floor."""
    contour = outer_contour(trough)
    bottom = trough.depth_mm + trough.floor_mm
    top = underside_mm if face_down else min(underside_mm + boards.board_mm, bottom)
    levels = [(top, bottom) if bottom > top else None for _ in contour.segments]
    sides = walls(contour, levels, boards, terms, "trough form")
    if face_down:
        note = (
            "The trough's outer form stands on bearers over the slab; strip its boards outward, ends first."
        )
        return Work(sides.parts, sides.joints_mm, notes=(note,), cautions=sides.cautions)
    x0, y0, x1, y1 = contour.turned(-trough.turn_deg, contour.centroid_mm).box_mm
    thick, code = boards.board_mm, boards.board.code
    stand = Standing(contour.points(CHORD_MM), bottom, bottom + thick)
    floor = Made("trough form floor", x1 - x0, y1 - y0, thick, code, "sawn to shape", standing=(stand,))
    bead = (("trough form", contour.perimeter_mm, terms.fillet_radius_mm),)
    joints = (*sides.joints_mm, contour.perimeter_mm)
    return Work((*sides.parts, floor), joints, bead, contour.perimeter_mm, cautions=sides.cautions)


@dataclass(frozen=True, slots=True)
class _Core:
    trough: Trough
    board_mm: float

    @property
    def lean(self) -> float:
        """Taper in radians."""
        return math.radians(self.trough.taper_deg)

    @property
    def true_height_mm(self) -> float:
        """Depth along the leaning panel."""
        return self.trough.depth_mm / math.cos(self.lean)

    @property
    def wall_mm(self) -> float:
        """A leaning panel's thickness measured level."""
        return self.board_mm / math.cos(self.lean)

    @property
    def bent(self) -> bool:
        """Whether the corners are bendable strip, being larger than a board's thickness."""
        return self.trough.corner_radius_mm > self.board_mm + 1e-9

    def half(self, z_mm: float) -> Point:
        """Half the outside length and width at a depth."""
        run_in = z_mm * math.tan(self.lean)
        return self.trough.length_mm / 2 - run_in, self.trough.width_mm / 2 - run_in

    def work(self, boards: Boards, terms: ShopTerms) -> Work:
        """The core's parts: sides, ends, lid, bent corners where their radius asks for them."""
        parts = [*self._panels(boards, terms), lid := self._lid(boards)]
        if self.bent:
            bands = [self._corner_band(z, boards) for z in (0.0, self.trough.depth_mm)]
            parts += [self._corner(quarter, bands, boards) for quarter in range(4)]
        joints = (*(self.true_height_mm,) * 4, 2 * (lid.length_mm + lid.width_mm))
        note = (
            "Strip the trough core from inside: lid first, ends inward, then sides; a saw cut down one side "
            "panel, closed with tape, gives it room to fold."
        )
        return Work(tuple(parts), joints, notes=(note,))

    def _panels(self, boards: Boards, terms: ShopTerms) -> list[Made]:
        trough, code = self.trough, boards.board.code
        reach = trough.corner_radius_mm if self.bent else 0.0
        long_mm = trough.length_mm - 2 * reach
        short_mm = trough.width_mm - 2 * (reach or self.wall_mm)
        height, edges = self.true_height_mm, self._edges()
        lapped = edges
        if trough.corner_radius_mm > 0 and not self.bent:
            lapped += (
                f", outer corners rounded to {format_length(trough.corner_radius_mm, terms.unit_system)}"
            )
        rows = ((0, "side", long_mm, lapped), (2, "side", long_mm, lapped))
        ends = ((1, "end", short_mm, edges), (3, "end", short_mm, edges))
        return [
            Made(
                f"trough core {name}",
                length,
                height,
                self.board_mm,
                code,
                cut,
                standing=(self._panel(place),),
            )
            for place, name, length, cut in (*rows, *ends)
        ]

    def _edges(self) -> str:
        if self.trough.taper_deg == 0:
            return "square"
        runs_in = math.degrees(math.atan(math.sin(self.lean)))
        tilt = math.degrees(math.asin(math.sin(self.lean) ** 2))
        bevel = f"long edges bevel {self.trough.taper_deg:.1f}°"
        return f"ends run in {runs_in:.1f}° off square, blade tilted {tilt:.2f}°; {bevel}"

    def _panel(self, turned: int) -> Standing:
        depth = self.trough.depth_mm
        return Standing(self._panel_plan(turned, 0.0), 0.0, depth, self._panel_plan(turned, depth))

    def _panel_plan(self, turned: int, z_mm: float) -> Plan:
        """Footprint at a level: panels 0 and 2 along the length, 1 and 3 across."""
        a, b = self.half(z_mm)
        wall, r = self.wall_mm, self.trough.corner_radius_mm
        if turned in (1, 3):
            reach = b - (r if self.bent else wall)
            plan: Plan = ((a - wall, -reach), (a, -reach), (a, reach), (a - wall, reach))
        elif self.bent or r == 0:
            reach = a - (r if self.bent else 0.0)
            plan = ((-reach, -b), (reach, -b), (reach, -b + wall), (-reach, -b + wall))
        else:
            arc = _quarter(r, (a - r, r - b))
            left = tuple((-x, y) for x, y in reversed(arc))
            plan = (*left, *arc, (a, -b + wall), (-a, -b + wall))
        return self._in_place(plan if turned in (0, 1) else tuple((-x, -y) for x, y in plan))

    def _lid(self, boards: Boards) -> Made:
        depth, thick = self.trough.depth_mm, self.board_mm
        plans, sizes = [], []
        for z in (depth - thick, depth):
            a, b = (half - self.wall_mm for half in self.half(z))
            plans.append(self._in_place(self._lid_plan(a, b, boards)))
            sizes.append((2 * a, 2 * b))
        edges = "square" if self.trough.taper_deg == 0 else f"bevel {self.trough.taper_deg:.1f}° all round"
        if self.bent:
            edges += ", corners rounded to fit"
        stand = Standing(plans[0], depth - thick, depth, plans[1])
        return Made("trough core lid", *sizes[0], thick, boards.board.code, edges, standing=(stand,))

    def _lid_plan(self, a: float, b: float, boards: Boards) -> Plan:
        """The lid between the panels; its corners clear bent corner strips."""
        room = self.trough.corner_radius_mm - min(boards.strip_mm, self.trough.corner_radius_mm / 2)
        reach = self.trough.corner_radius_mm - self.wall_mm
        if not self.bent or reach * math.sqrt(2) <= room:
            return ((-a, -b), (a, -b), (a, b), (-a, b))
        first = math.acos(reach / room)
        turns = [first + (math.pi / 2 - 2 * first) * k / 32 for k in range(33)]
        corner = [(a - reach + room * math.cos(t), b - reach + room * math.sin(t)) for t in turns]
        right = [*((x, -y) for x, y in reversed(corner)), *corner]
        return (*right, *((-x, y) for x, y in reversed(right)))

    def _corner_band(self, z_mm: float, boards: Boards) -> Plan:
        """Footprint of the bent strip at a level in the first quarter, about the trough's middle."""
        r, (a, b) = self.trough.corner_radius_mm, self.half(z_mm)
        inner = _quarter(r - min(boards.strip_mm, r / 2), (a - r, r - b))
        return (*_quarter(r, (a - r, r - b)), *reversed(inner))

    def _corner(self, quarter: int, bands: Sequence[Plan], boards: Boards) -> Made:
        r, depth = self.trough.corner_radius_mm, self.trough.depth_mm
        strip = boards.strip
        assert strip is not None, "a core with bent corners comes with bendable strip"  # noqa: S101
        along, across = ((1, 1), (1, -1), (-1, -1), (-1, 1))[quarter]
        plans = [self._in_place([(x * along, y * across) for x, y in band]) for band in bands]
        developed = r * math.pi / 2
        slant = math.hypot(depth, depth * math.tan(self.lean) * math.sqrt(2))
        edges = "square" if self.trough.taper_deg == 0 else "ends trimmed to the slope"
        stand = Standing(plans[0], 0.0, depth, plans[1])
        return Made(
            "trough core corner",
            slant,
            developed,
            boards.strip_mm,
            strip.code,
            edges,
            1,
            r,
            standing=(stand,),
        )

    def _in_place(self, plan: Sequence[Point]) -> Plan:
        turn = math.radians(self.trough.turn_deg)
        c, s = math.cos(turn), math.sin(turn)
        cx, cy = self.trough.centre_mm
        return tuple([(cx + x * c - y * s, cy + x * s + y * c) for x, y in plan])


def _quarter(radius: float, centre: Point) -> Plan:
    """Quarter circle from the downward to the rightward direction, drawn with chords."""
    steps = max(4, math.ceil(math.pi / 2 / (2 * math.acos(max(0.5, 1 - CHORD_MM / max(radius, 1e-6))))))
    turns = [-math.pi / 2 + math.pi / 2 * k / steps for k in range(steps + 1)]
    return tuple((centre[0] + radius * math.cos(t), centre[1] + radius * math.sin(t)) for t in turns)
