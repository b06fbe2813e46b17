"""What the piece form asks for: every key of the specification as an entry with its label and kind."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

Kind = Literal[
    "text",
    "length",
    "number",
    "distance",
    "choice",
    "code",
    "tick",
    "point",
    "points",
    "lengths",
    "sides",
    "numbers",
    "words",
    "run",
]
Choices = tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Entry:
    """One key of the document; `start` is what a new part begins with, empty: left out."""

    key: str
    label: str
    kind: Kind
    start: str = ""
    choices: Choices = ()
    codes: str = ""
    """For kind `code`: which of the catalogue's codes are offered."""
    help: str = ""
    absent: str = ""
    """What a document says that leaves the key out."""


UNITS: Final[Choices] = (
    ("mm", "millimetres"),
    ("cm", "centimetres"),
    ("m", "metres"),
    ("in", "inches"),
    ("ft", "feet"),
)
FACES: Final[Choices] = (("top", "show face"), ("underside", "underside"))
_POINTS = "x, y; x, y; … from the lower left corner"

WHOLE: Final = (
    Entry("name", "Name", "text"),
    Entry("unit", "Bare numbers are", "choice", "mm", UNITS),
    Entry("quantity", "Identical pieces", "number", "1", absent="1"),
    Entry(
        "cast",
        "Cast",
        "choice",
        "face-down",
        (("face-down", "face down, against the mould"), ("face-up", "face up, trowelled")),
        absent="face-down",
    ),
    Entry("mix", "Mix", "code", codes="mixes", help="Empty: the shop's usual mix"),
    Entry("thickness", "Thickness", "length", "40"),
)

_LENGTH = Entry("length", "Length", "length", "300")
_WIDTH = Entry("width", "Width", "length", "200")
SHAPES: Final[dict[str, tuple[Entry, ...]]] = {
    "rectangle": (
        _LENGTH,
        _WIDTH,
        Entry("corner_radius", "Corner radius", "lengths", help="One, or four from the lower left"),
    ),
    "round": (Entry("diameter", "Diameter", "length", "200"),),
    "oval": (_LENGTH, _WIDTH),
    "slot": (_LENGTH, _WIDTH),
    "ell": (
        _LENGTH,
        _WIDTH,
        Entry("notch_length", "Length of the notch", "length", "100"),
        Entry("notch_width", "Width of the notch", "length", "80"),
        Entry(
            "notch",
            "Missing corner",
            "choice",
            "back-right",
            tuple((c, c.replace("-", " ")) for c in ("front-left", "front-right", "back-left", "back-right")),
        ),
        Entry("corner_radius", "Corner radius", "length"),
    ),
    "polygon": (
        Entry("points", "Corners", "points", "0, 0; 300, 0; 150, 200", help=_POINTS),
        Entry("corner_radius", "Corner radius", "lengths", help="One, or one a corner"),
    ),
}
SHAPE_NAMES: Final[Choices] = (
    ("rectangle", "rectangle"),
    ("round", "round"),
    ("oval", "oval"),
    ("slot", "round-ended"),
    ("ell", "L shape"),
    ("polygon", "polygon"),
)

EDGE: Final = (
    Entry("at", "Arris", "choice", "top", (("top", "upper"), ("bottom", "lower"))),
    Entry("profile", "Treatment", "choice", "chamfer", (("chamfer", "45° chamfer"), ("round", "rounded"))),
    Entry("size", "Size", "length", "4"),
    Entry("sides", "Sides", "sides", "all", absent="all"),
)
DROP_EDGE: Final = (
    Entry("depth", "Depth from the show face", "length", "90"),
    Entry("thickness", "Thickness", "length", "35"),
    Entry("sides", "Sides", "sides", "all", absent="all"),
)
_AT = Entry("at", "Centre, or several", "points")
_TURN = Entry("turn", "Turned by, °", "number", "0")
_DEPTH = Entry("depth", "Depth", "length", "8")
DRAIN: Final = (Entry("at", "Centre", "point"), Entry("diameter", "Diameter", "length", "20"))
FEATURES: Final[dict[str, tuple[Entry, ...]]] = {
    "opening": (_AT, _TURN),
    "inlay": (
        _AT,
        _TURN,
        Entry("material", "Material", "code", codes="materials"),
        _DEPTH,
        Entry("ledge", "Lip it sits on", "length", "12"),
        Entry("backlit", "Lit from behind", "tick"),
    ),
    "recess": (_AT, _TURN, Entry("face", "In the", "choice", "top", FACES, absent="top"), _DEPTH),
    "groove": (
        Entry("path", "Path", "points"),
        Entry("face", "In the", "choice", "underside", FACES, absent="underside"),
        Entry("width", "Width", "length", "10"),
        _DEPTH,
    ),
    "sleeve": (_AT, Entry("diameter", "Diameter", "length", "60")),
    "insert": (_AT, Entry("material", "Material", "code", codes="materials")),
    "trough": (
        Entry("at", "Centre", "point"),
        _TURN,
        Entry("length", "Inside length", "length", "400"),
        Entry("width", "Inside width", "length", "150"),
        Entry("depth", "Inside depth", "length", "120"),
        Entry("wall", "Wall", "length", "25"),
        Entry("floor", "Floor", "length", "25"),
        Entry("corner_radius", "Corner radius", "length", "20"),
        Entry("taper", "Walls lean, °", "number", "4"),
        Entry("mix", "Mix below the slab", "code", codes="mixes", help="Empty: as the slab"),
    ),
}
FEATURE_NAMES: Final[Choices] = (
    ("opening", "opening right through"),
    ("inlay", "inlay"),
    ("recess", "recess"),
    ("groove", "groove"),
    ("sleeve", "sleeve"),
    ("insert", "insert in the underside"),
    ("trough", "trough"),
)
SHAPED: Final = ("opening", "inlay", "recess")
"""Kinds of feature that have a plan shape."""

STEEL: Final = (
    Entry("mesh", "Mesh", "code", codes="meshes", help="Empty: bars only"),
    Entry("cover", "Cover", "length", "15"),
    Entry("lap", "Lap of sheets", "length", "100"),
)
BAR: Final = (
    Entry("bar", "Bar", "code", codes="bars"),
    Entry(
        "where",
        "Where",
        "choice",
        "outline",
        (("outline", "along the outline"), ("drop_edge", "in the drop edge"), ("trough", "round the trough")),
    ),
    Entry("rows", "Rows", "number", "1"),
)
FINISH: Final = (
    Entry(
        "fill",
        "Fill air holes",
        "choice",
        "full",
        (("none", "none"), ("spot", "the larger ones"), ("full", "all over")),
        absent="none",
    ),
    Entry("grits", "Grits", "numbers", "200, 400", help="One pass each, coarse to fine"),
    Entry("sealer", "Sealer", "code", codes="sealers", help="Empty: none"),
    Entry("coats", "Coats", "number", help="With a sealer"),
    Entry(
        "faces",
        "Faces sealed",
        "words",
        "show, sides",
        (("show", "show"), ("sides", "sides"), ("trough", "trough"), ("underside", "underside")),
    ),
)
LIGHTING: Final = (
    Entry("strip", "Light strip", "code", codes="strips"),
    Entry("run", "Run", "run", "inlays", help="inlays, or points x, y; x, y of its path"),
    Entry("tail", "Lead to the supply", "length", "1500"),
)
EXTRA: Final = (
    Entry("material", "Bought-in part", "code", codes="materials"),
    Entry("quantity", "Quantity", "number", "1"),
    Entry("unit", "Unit", "text", help="Empty: packs or pieces"),
)
DELIVERY: Final = (
    Entry("distance_km", "Distance", "distance", "10"),
    Entry("steps", "Steps to climb", "number", "0"),
    Entry("install", "Installed by us", "tick"),
)

LISTS: Final[dict[str, tuple[Entry, ...]]] = {
    "edges": EDGE,
    "drains": DRAIN,
    "bars": BAR,
    "extras": EXTRA,
}
PARTS: Final[dict[str, tuple[Entry, ...]]] = {
    "drop_edge": DROP_EDGE,
    "reinforcement": STEEL,
    "finish": FINISH,
    "lighting": LIGHTING,
    "delivery": DELIVERY,
}
