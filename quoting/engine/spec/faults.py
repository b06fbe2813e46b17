"""Structural faults in our own words: pydantic's errors with the path as the document's writer sees it."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable, Sequence
from typing import Any, Final

from pydantic import ValidationError

from quoting.engine.errors import Fault
from quoting.engine.spec import document, models

_LONGEST_VALUE: Final = 60
_TAGS: Final = ("kind", "shape")
_MODELS: Final[dict[str, type[models.Part]]] = {
    "rectangle": models.RectangleModel,
    "round": models.RoundModel,
    "oval": models.OvalModel,
    "slot": models.SlotModel,
    "ell": models.EllModel,
    "polygon": models.PolygonModel,
    "opening": models.OpeningModel,
    "inlay": models.InlayModel,
    "recess": models.RecessModel,
    "groove": models.GrooveModel,
    "sleeve": models.SleeveModel,
    "insert": models.InsertModel,
    "trough": models.TroughModel,
    "edges": models.EdgeModel,
    "drop_edge": models.DropEdgeModel,
    "drains": models.DrainModel,
    "reinforcement": document.ReinforcementModel,
    "bars": document.BarModel,
    "finish": document.FinishModel,
    "lighting": document.LightingModel,
    "extras": document.ExtraModel,
    "delivery": document.DeliveryModel,
}
_ORDER: Final = tuple(document.PieceDocument.model_fields)


def shown(value: object) -> str:
    """A value of the document as text, shortened, never deeper than its first level."""
    if isinstance(value, dict):
        return "{…}" if value else "{}"
    if isinstance(value, list | tuple):
        flat = [shown(part) if not isinstance(part, list | tuple | dict) else "…" for part in value[:4]]
        return "[" + ", ".join([*flat, *(["…"] if len(value) > 4 else [])]) + "]"
    if value is None or isinstance(value, bool):
        return {None: "null", True: "true", False: "false"}[value]
    if isinstance(value, int) and value.bit_length() > 200:
        return "a number of more than 60 digits"
    text = f'"{value}"' if isinstance(value, str) else str(value)
    text = "".join(char if char.isprintable() else "�" for char in text[: _LONGEST_VALUE + 1])
    return text if len(text) <= _LONGEST_VALUE else text[: _LONGEST_VALUE - 1] + "…"


def nearest(name: str, known: Iterable[str]) -> str | None:
    """The known name spelt most like `name`, capitals aside; None when nothing is known."""
    options = {option.casefold(): option for option in sorted(known, reverse=True)}
    found = difflib.get_close_matches(name[:80].casefold(), sorted(options), n=1, cutoff=0.0)
    return options[found[0]] if found else None


def structural(error: ValidationError, given: object) -> list[Fault]:
    """One fault for each of pydantic's errors about a document."""
    return [_fault(item, given) for item in error.errors(include_url=False)]


def in_document_order(faults: Iterable[Fault]) -> list[Fault]:
    """Faults sorted as the contract lists the document's keys, and by the numbers of the features."""

    def key(fault: Fault) -> tuple[object, ...]:
        first = re.split(r"[.\[]", fault.path, maxsplit=1)[0]
        place = _ORDER.index(first) if first in _ORDER else len(_ORDER) * bool(first) - (not first)
        number = re.match(r"[a-z_]+\[(\d{1,9})\]", fault.path)
        return (place, int(number[1]) if number else -1)

    return sorted(faults, key=key)


def _fault(item: Any, given: object) -> Fault:
    path, value, parent = _walk(item["loc"], given)
    kind, context = item["type"], item.get("ctx") or {}
    if kind in ("union_tag_invalid", "union_tag_not_found"):
        tag = context["discriminator"].strip("'")
        path = f"{path}.{tag}"
        chosen = value.get(tag) if isinstance(value, dict) else None
        if kind == "union_tag_not_found":
            return Fault(path, "is missing: say which it is", "missing")
        return _choice(path, chosen, re.findall(r"'([^']*)'", context["expected_tags"]), f"unknown_{tag}")
    if kind == "missing":
        return Fault(path, "is missing", "missing")
    if kind == "extra_forbidden":
        return _unknown_key(path, str(item["loc"][-1]), parent, item["loc"])
    if kind == "invalid_key":
        return Fault(path, "is no key: keys are texts", "unknown_key")
    if kind == "literal_error":
        return _choice(path, value, re.findall(r"'([^']*)'", context["expected"]), "unknown_choice")
    if kind in ("tuple_type", "list_type"):
        return _given(path, "must be a list", "wrong_type", value)
    if kind in ("model_type", "model_attributes_type", "dict_type"):
        return _given(path, "must be an object with named keys", "wrong_type", value)
    message = item["msg"] if context.get("why") is None else str(context["why"])
    return _given(path, message, kind, value)


def _given(path: str, message: str, code: str, value: object) -> Fault:
    return Fault(path, f"{message} (given: {shown(value)})", code, shown(value))


def _choice(path: str, value: object, allowed: Sequence[str], code: str) -> Fault:
    message = f"must be {_either(allowed)}"
    close = difflib.get_close_matches(value[:80].casefold(), allowed, n=1) if isinstance(value, str) else []
    return _given(path, f"{message}; did you mean {close[0]}?" if close else message, code, value)


def _either(names: Sequence[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} or {names[-1]}"


def _unknown_key(path: str, key: str, parent: object, loc: tuple[int | str, ...]) -> Fault:
    allowed = _keys_at(loc[:-1])
    value = parent.get(loc[-1]) if isinstance(parent, dict) else None
    close = difflib.get_close_matches(key[:80], allowed, n=1, cutoff=0.6)
    advice = f"; did you mean {close[0]}?" if close else f"; known here: {', '.join(allowed)}"
    return Fault(path, f"is not a known key{advice}", "unknown_key", shown(value))


def _keys_at(loc: tuple[int | str, ...]) -> list[str]:
    """The keys allowed in the object at a location, whose last name is a union's tag or the object's own."""
    names = [step for step in loc if isinstance(step, str)]
    model = _MODELS[names[-1]] if names else document.PieceDocument
    return list(model.model_fields)


def _walk(loc: tuple[int | str, ...], given: object) -> tuple[str, object, object]:
    """Path, value and parent for pydantic's location, without union tags and without wrapped lists."""
    path, value, parent = "", given, None
    key: object = None
    tagged = skip = False
    for step in loc:
        if skip and isinstance(step, int):
            skip = False
            continue
        if isinstance(step, str) and not tagged and isinstance(value, dict) and _is_tag(step, value, key):
            tagged = True
            continue
        tagged, parent, key = False, value, step
        path += f"[{step}]" if isinstance(step, int) and not isinstance(value, dict) else f".{_named(step)}"
        value = _inside(value, step)
        skip = _is_wrapped(step, value, parent)
    return path.removeprefix("."), value, parent


def _is_tag(step: str, value: dict[Any, Any], key: object) -> bool:
    """Whether a step names the branch of a union: only in a list of features, or under outline or shape."""
    return (isinstance(key, int) or key in ("outline", "shape")) and any(
        value.get(tag) == step for tag in _TAGS
    )


def _inside(value: object, step: int | str) -> object:
    if isinstance(value, dict):
        return value.get(step)
    if isinstance(value, list | tuple) and isinstance(step, int) and step < len(value):
        return value[step]
    return None


def _is_wrapped(step: int | str, value: object, parent: object) -> bool:
    """Whether the reader made a list of one of this value: a single centre, a single radius."""
    if step == "corner_radius":
        return not isinstance(value, list | tuple)
    if step != "at" or not isinstance(parent, dict) or parent.get("kind", "trough") == "trough":
        return False
    return not (isinstance(value, list | tuple) and any(isinstance(part, list | tuple) for part in value))


def _named(key: object) -> str:
    """A key as a step of a path; what is no plain name is quoted and shortened."""
    text = str(key)
    return text if re.fullmatch(r"[A-Za-z_][A-Za-z_0-9]{0,59}", text) else shown(text)
