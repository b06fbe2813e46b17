"""Words of the catalogue that programs rely on: kinds, uses, drivers, stages, and the figures each kind has.

Lowest module of the catalogue with `errors`: it imports nothing of ours.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from django.db import models


class MaterialKind(models.TextChoices):
    """What a material is, which says in what its content is counted."""

    BOARD = "board", "Board or sheet"
    BAGGED_MIX = "bagged_mix", "Bagged mix"
    LOOSE = "loose", "Loose, by mass"
    LIQUID = "liquid", "Liquid"
    SEALANT = "sealant", "Sealant cartridge"
    STOCK_LENGTH = "stock_length", "Stock length"
    MESH_SHEET = "mesh_sheet", "Mesh sheet"
    WEARING = "wearing", "Wearing part"
    EACH = "each", "Each"


class CementClass(models.TextChoices):
    """Rate of hardening of EN 1992-1-1 3.1.2(6)."""

    RAPID = "R", "R: rapid"
    NORMAL = "N", "N: normal"
    SLOW = "S", "S: slow"


class PartKind(models.TextChoices):
    """What a part of a recipe is."""

    CEMENT = "cement", "Cement"
    AGGREGATE = "aggregate", "Aggregate"
    WATER = "water", "Water"
    ADMIXTURE = "admixture", "Admixture"
    PIGMENT = "pigment", "Pigment"
    FIBRE = "fibre", "Fibre"
    OTHER = "other", "Other"


class Stage(models.TextChoices):
    """Where in the life of a piece an operation falls, in order of work."""

    MOULD = "mould", "Mould"
    CAST = "cast", "Cast"
    STRIP = "strip", "Strip"
    TURN = "turn", "Turn"
    FILL = "fill", "Fill"
    POLISH = "polish", "Polish"
    SEAL = "seal", "Seal"
    FIT = "fit", "Fit"
    DELIVER = "deliver", "Deliver"


CONTENT_UNIT: Mapping[str, str] = MappingProxyType(
    {
        "board": "m²",
        "bagged_mix": "kg",
        "loose": "kg",
        "liquid": "L",
        "sealant": "mL",
        "stock_length": "m",
        "mesh_sheet": "m²",
        "wearing": "m²",
        "each": "each",
    }
)
"""What a pack's content is counted in, by kind; a wearing part by the area one part lasts."""

USAGES: Mapping[str, str] = MappingProxyType(
    {
        "mould_board": "Mould board",
        "strip_board": "Bendable strip board",
        "knockout_foam": "Knock-out foam",
        "sleeve_tube": "Tube for sleeves",
        "groove_former": "Groove former",
        "fillet_sealant": "Fillet sealant",
        "release": "Release agent",
        "slurry_cement": "Cement for slurry fill",
        "slurry_polymer": "Polymer for slurry fill",
        "pad": "Polishing pad",
        "screw": "Screws",
        "edge_tape": "Edge tape",
        "water": "Water",
        "sealer": "Sealer",
        "bar": "Reinforcing bar",
        "mesh": "Reinforcing mesh",
        "light_strip": "Light strip",
        "light_supply": "Light supply",
        "inlay": "Sheet for inlays",
        "insert": "Cast-in insert",
        "drain": "Drain",
        "packing": "Packing for delivery",
    }
)
"""What the shop uses a material for, so that the take-off's rules can find it."""

DRIVERS: Mapping[str, str] = MappingProxyType(
    {
        "mould_cut_length_m": "metre of mould board cut",
        "mould_joint_m": "metre of mould joint",
        "mould_part_count": "mould part",
        "screw_count": "screw",
        "sealant_bead_m": "metre of sealant bead",
        "volume_m3": "m³ of concrete",
        "concrete_kg": "kg of concrete",
        "batch_count": "batch",
        "mesh_area_m2": "m² of mesh",
        "show_area_m2": "m² of show face",
        "side_area_m2": "m² of sides",
        "edge_length_m": "metre of edge",
        "edge_treated_m": "metre of treated edge",
        "trough_area_m2": "m² inside troughs",
        "finish_area_m2": "m² of finished faces",
        "polish_area_m2": "m² and polishing pass",
        "fill_area_m2": "m² filled",
        "sealer_area_m2": "m² and coat of sealer",
        "inlay_count": "inlay",
        "sleeve_count": "sleeve",
        "insert_count": "insert",
        "opening_count": "opening",
        "trough_count": "trough",
        "light_length_m": "metre of light strip",
        "lift_count": "lift",
        "distance_km": "km of delivery",
        "steps": "step to climb",
        "install": "installation",
    }
)
"""Take-off quantities that labour standards may be counted by: hours per ... ."""


@dataclass(frozen=True, slots=True)
class Figure:
    """A number that some kinds of material carry, with its bounds (both included)."""

    name: str
    label: str
    unit: str
    low: float
    high: float
    kinds: tuple[str, ...]
    needed_by: tuple[str, ...] = ()


_SHEETS = ("board", "mesh_sheet")
FIGURES: tuple[Figure, ...] = (
    Figure("length_mm", "Length", "mm", 1, 200_000, (*_SHEETS, "stock_length"), (*_SHEETS, "stock_length")),
    Figure("width_mm", "Width", "mm", 1, 10_000, (*_SHEETS, "stock_length"), _SHEETS),
    Figure("thickness_mm", "Thickness", "mm", 0.1, 500, ("board", "stock_length"), ("board",)),
    Figure("casts", "Castings a mould of it lasts", "", 1, 10_000, ("board",)),
    Figure("least_bend_radius_mm", "Least bending radius", "mm", 1, 10_000, ("board",)),
    Figure("yield_m3", "Concrete from one bag", "m³", 0.000_1, 5, ("bagged_mix",), ("bagged_mix",)),
    Figure("relative_density", "Density relative to water", "", 0.01, 25, ("loose", "liquid")),
    Figure("absorption", "Absorption", "of dry mass", 0, 1, ("loose",)),
    Figure("moisture", "Total moisture", "of dry mass", 0, 1, ("loose",)),
    Figure("coverage_m2_per_l", "Coverage, first coat", "m²/L", 0.01, 1_000, ("liquid",)),
    Figure("coverage_next_m2_per_l", "Coverage, later coats", "m²/L", 0.01, 1_000, ("liquid",)),
    Figure("dilution", "Water to one part", "parts", 0, 1_000, ("liquid",)),
    Figure("mass_kg_per_m2", "Mass of a m²", "kg/m²", 0.001, 1_000, (*_SHEETS, "loose"), ("mesh_sheet",)),
    Figure("mass_kg_per_m", "Mass of a metre", "kg/m", 0.000_1, 1_000, ("stock_length",)),
    Figure("mass_kg_each", "Mass of one", "kg", 0.000_1, 5_000, ("each",)),
    Figure("diameter_mm", "Outside diameter", "mm", 0.1, 2_000, ("stock_length", "each")),
    Figure("wire_mm", "Wire", "mm", 0.1, 50, ("mesh_sheet",), ("mesh_sheet",)),
    Figure("pitch_mm", "Wire spacing", "mm", 1, 1_000, ("mesh_sheet",), ("mesh_sheet",)),
    Figure("watts_per_m", "Load of a metre", "W/m", 0.01, 1_000, ("stock_length",)),
    Figure("step_mm", "Cutting step", "mm", 0.1, 5_000, ("stock_length",)),
    Figure("watts", "Rated output", "W", 0.1, 100_000, ("each",)),
    Figure("grit", "Grit", "", 1, 20_000, ("wearing",)),
)
FIGURE_NAMES: tuple[str, ...] = tuple(figure.name for figure in FIGURES)
WHOLE_FIGURES = frozenset({"casts", "grit"})
"""Figures that are whole numbers."""
SIZED_KINDS = frozenset({"board", "mesh_sheet", "stock_length"})
"""Kinds whose pack content follows from their sizes, so that it is not typed twice."""

FINISH_FILLS = ("none", "spot", "full")
FINISH_FACES = ("show", "sides", "trough", "underside")
