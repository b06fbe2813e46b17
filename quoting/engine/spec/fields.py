"""The kinds of value a piece document is written in, as annotated types that explain themselves when refused.

Each validator takes what JSON decodes to and raises `PydanticCustomError(code, message)` in a maker's words.
The unit of bare numbers travels in pydantic's validation context.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from decimal import Decimal
from typing import Annotated, Any, Final

from pydantic import AfterValidator, BeforeValidator, PlainValidator, ValidationInfo, WithJsonSchema
from pydantic_core import PydanticCustomError

from quoting.engine.money import exact
from quoting.engine.units import LengthError, parse_length

LONGEST_MM: Final = 12_000.0
LEAST_MM: Final = 0.01
MOST_FEATURES: Final = 200
MOST_POINTS: Final = 2_000
MOST_PIECES: Final = 1_000


def _length(value: object, info: ValidationInfo, *, zero: bool = False, negative: bool = False) -> float:
    unit: str = (info.context or {}).get("unit", "mm")
    try:
        length_mm = parse_length(value, unit, zero=zero, negative=negative)
    except LengthError as error:
        raise PydanticCustomError("length", "{why}", {"why": str(error)}) from None
    if not negative and 0 < length_mm < LEAST_MM:
        raise PydanticCustomError("too_small", "must be 0.01 mm or more")
    if abs(length_mm) > LONGEST_MM:
        raise PydanticCustomError("too_long", "must be at most 12 m (39 ft 4 7/16 in)")
    return length_mm


def _positive(value: object, info: ValidationInfo) -> float:
    return _length(value, info)


def _zero_or_more(value: object, info: ValidationInfo) -> float:
    return _length(value, info, zero=True)


def _coordinate(value: object, info: ValidationInfo) -> float:
    return _length(value, info, zero=True, negative=True)


def _number(value: object, what: str) -> float:
    """A finite number; True and False are none."""
    if isinstance(value, bool) or not isinstance(value, int | float | Decimal):
        raise PydanticCustomError("not_a_number", "{why}", {"why": f"must be {what}"})
    try:
        number = float(value)
    except (OverflowError, ValueError):
        number = math.inf
    if not math.isfinite(number):
        raise PydanticCustomError("not_a_number", "{why}", {"why": f"must be {what}, and an ordinary number"})
    return number


def _within(least: float, most: float, what: str, below: bool = False) -> Callable[[object], float]:
    def check(value: object) -> float:
        number = _number(value, what)
        if not least <= number <= most or (below and number == most):
            raise PydanticCustomError("out_of_range", "{why}", {"why": f"must be {what}"})
        return number

    return check


def _whole(least: int, most: int) -> Callable[[object], int]:
    what = f"a whole number from {least} to {most}" if most > least else f"the number {least}"

    def check(value: object) -> int:
        number = _number(value, what)
        if number != math.floor(number) or not least <= number <= most:
            raise PydanticCustomError("out_of_range", "{why}", {"why": f"must be {what}"})
        return int(number)

    return check


def _amount(value: object) -> Decimal:
    number = _number(value, "a number above zero")
    if not 0 < number <= 1_000_000:
        raise PydanticCustomError("out_of_range", "must be a number above zero, at most 1000000")
    return value if isinstance(value, Decimal) else exact(number)


def _words(longest: int, what: str) -> Callable[[object], str]:
    def check(value: object) -> str:
        if not isinstance(value, str):
            raise PydanticCustomError("not_a_text", "{why}", {"why": f"must be {what}, a text"})
        text = value.strip()
        if not text or len(text) > longest or not text.isprintable():
            why = f"must be {what} of 1 to {longest} printable characters"
            raise PydanticCustomError("not_a_text", "{why}", {"why": why})
        return text

    return check


def _yes_or_no(value: object) -> bool:
    if not isinstance(value, bool):
        raise PydanticCustomError("not_yes_or_no", "must be true or false")
    return value


def _pair(value: object) -> object:
    if not isinstance(value, list | tuple) or len(value) != 2:
        raise PydanticCustomError("not_a_point", "must be a point: a pair [x, y]")
    return value


def _one_or_more_pairs(value: object) -> object:
    """`[x, y]` is one centre, `[[x, y], …]` several."""
    if not isinstance(value, list | tuple) or not value:
        raise PydanticCustomError("not_a_point", "must be a centre [x, y], or a list of centres [[x, y], …]")
    return value if any(isinstance(part, list | tuple) for part in value) else [value]


def _sides(value: object) -> object:
    if value == "all":
        return None
    if not isinstance(value, list | tuple) or not value:
        raise PydanticCustomError("sides", 'must be "all" or a list of side numbers such as [0, 2]')
    return value


def _run(value: object) -> object:
    if value == "inlays":
        return None
    if not isinstance(value, list | tuple) or len(value) < 2:
        raise PydanticCustomError("run", 'must be "inlays" or a path of two or more points [[x, y], …]')
    return value


def _different_sides(value: tuple[int, ...] | None) -> tuple[int, ...] | None:
    if value is not None and len(set(value)) < len(value):
        raise PydanticCustomError("sides", "must name every side once")
    return value if value is None else tuple(sorted(value))


def wrapped(value: object) -> object:
    """One number stands for a list of one."""
    return value if isinstance(value, list | tuple) else [value]


_LENGTH_SCHEMA: Final[dict[str, Any]] = {
    "anyOf": [{"type": "number"}, {"type": "string"}],
    "description": 'A number in the document\'s unit, or a text with its own: "38 mm", "1 1/2 in"',
}
_FOUR_OR_ONE: Final[dict[str, Any]] = {"anyOf": [_LENGTH_SCHEMA, {"type": "array", "items": _LENGTH_SCHEMA}]}
_PAIR_SCHEMA: Final[dict[str, Any]] = {
    "type": "array",
    "items": _LENGTH_SCHEMA,
    "minItems": 2,
    "maxItems": 2,
}
_CENTRES_SCHEMA: Final = {"anyOf": [_PAIR_SCHEMA, {"type": "array", "items": _PAIR_SCHEMA, "minItems": 1}]}
_SIDES_SCHEMA: Final = {
    "anyOf": [{"const": "all"}, {"type": "array", "items": {"type": "integer", "minimum": 0}}]
}


def _whole_schema(least: int, most: int) -> WithJsonSchema:
    return WithJsonSchema({"type": "integer", "minimum": least, "maximum": most})


Length = Annotated[float, PlainValidator(_positive), WithJsonSchema(_LENGTH_SCHEMA)]
LengthOrZero = Annotated[float, PlainValidator(_zero_or_more), WithJsonSchema(_LENGTH_SCHEMA)]
Coordinate = Annotated[float, PlainValidator(_coordinate), WithJsonSchema(_LENGTH_SCHEMA)]
Pair = Annotated[tuple[Coordinate, Coordinate], BeforeValidator(_pair), WithJsonSchema(_PAIR_SCHEMA)]
Centres = Annotated[tuple[Pair, ...], BeforeValidator(_one_or_more_pairs), WithJsonSchema(_CENTRES_SCHEMA)]
Radii = Annotated[tuple[LengthOrZero, ...], BeforeValidator(wrapped), WithJsonSchema(_FOUR_OR_ONE)]
Side = Annotated[
    int, PlainValidator(_whole(0, MOST_POINTS)), WithJsonSchema({"type": "integer", "minimum": 0})
]
SideNumbers = Annotated[
    tuple[Side, ...] | None,
    BeforeValidator(_sides),
    AfterValidator(_different_sides),
    WithJsonSchema(_SIDES_SCHEMA),
]
Run = Annotated[
    tuple[Pair, ...] | None,
    BeforeValidator(_run),
    WithJsonSchema({"anyOf": [{"const": "inlays"}, {"type": "array", "items": _PAIR_SCHEMA, "minItems": 2}]}),
]
Turn = Annotated[
    float,
    PlainValidator(_within(-360, 360, "an angle in degrees from -360 to 360")),
    WithJsonSchema({"type": "number", "minimum": -360, "maximum": 360}),
]
Taper = Annotated[
    float,
    PlainValidator(_within(0, 90, "an angle in degrees from 0 to below 90", below=True)),
    WithJsonSchema({"type": "number", "minimum": 0, "exclusiveMaximum": 90}),
]
Distance = Annotated[
    float,
    PlainValidator(_within(0, 20_000, "a distance from 0 to 20000 km")),
    WithJsonSchema({"type": "number", "minimum": 0, "maximum": 20_000}),
]
Format = Annotated[int, PlainValidator(_whole(1, 1)), WithJsonSchema({"const": 1})]
Pieces = Annotated[int, PlainValidator(_whole(1, MOST_PIECES)), _whole_schema(1, MOST_PIECES)]
Rows = Annotated[int, PlainValidator(_whole(1, 50)), _whole_schema(1, 50)]
Steps = Annotated[int, PlainValidator(_whole(0, 10_000)), _whole_schema(0, 10_000)]
Coats = Annotated[int, PlainValidator(_whole(0, 20)), _whole_schema(0, 20)]
Grit = Annotated[int, PlainValidator(_whole(1, 20_000)), _whole_schema(1, 20_000)]
Amount = Annotated[
    Decimal, PlainValidator(_amount), WithJsonSchema({"type": "number", "exclusiveMinimum": 0})
]
Name = Annotated[
    str,
    PlainValidator(_words(200, "a name")),
    WithJsonSchema({"type": "string", "minLength": 1, "maxLength": 200}),
]
Code = Annotated[
    str,
    PlainValidator(_words(64, "a code of the catalogue")),
    WithJsonSchema({"type": "string", "minLength": 1, "maxLength": 64}),
]
YesOrNo = Annotated[bool, PlainValidator(_yes_or_no), WithJsonSchema({"type": "boolean"})]
