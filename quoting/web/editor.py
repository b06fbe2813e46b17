"""The piece editor's state: one document, what is wrong with it, what it comes to."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from django.http import QueryDict

from quoting.engine.errors import Fault, Refused
from quoting.engine.estimate.build import Estimate
from quoting.engine.spec.codes import KnownCodes
from quoting.engine.spec.parse import parse_json
from quoting.web.changes import completed, in_unit, with_feature, with_new, without
from quoting.web.desk import Desk
from quoting.web.entries import FEATURE_NAMES
from quoting.web.fields import Field, FormMaker, Group
from quoting.web.forms_piece import Document, document_of
from quoting.web.piece_sheet import cautions, facts
from quoting.web.setting_out import setting_out


@dataclass(frozen=True, slots=True)
class Tried:
    """What came of estimating a document: an estimate, or the faults that stand against it."""

    document: Document
    made: Estimate | None
    faults: tuple[Fault, ...]


def tried(document: Document, at: Desk) -> Tried:
    """Estimate a document; a refusal is an answer like any other."""
    try:
        return Tried(document, at.estimate(document), ())
    except Refused as refused:
        return Tried(document, None, refused.faults)


def typed_document(posted: QueryDict) -> Document:
    """The document of a posted form; where the unit was changed, every length is turned into the new one."""
    document = document_of({name: str(posted[name]) for name in posted})
    before, now = posted.get("unit_before", ""), document.get("unit", "")
    return in_unit(document | {"unit": before}, now) if before and before != now else document


def changed_document(posted: QueryDict, codes: KnownCodes, system: str) -> Document:
    """The posted form's document after the button that was pressed; new parts take the first codes known."""
    document = typed_document(posted)
    action, _, path = posted.get("do", "").partition(":")
    match action:
        case "remove":
            return without(document, path)
        case "add":
            return with_new(document, path, codes, system)
        case "add-feature":
            return with_feature(document, posted.get("new_kind", ""), codes)
        case "shape":
            return completed(document)
        case _:
            return document


def read_text(text: str | bytes) -> Document:
    """A pasted or uploaded document. Raises Refused when it is no JSON object."""
    document = parse_json(text)
    if not isinstance(document, dict):
        raise Refused([Fault("", "must be an object with named keys", "wrong_type")])
    return document


def as_text(document: object) -> str:
    """A document as a person edits it."""
    return json.dumps(document, ensure_ascii=False, indent=2)


def editor_context(state: Tried, at: Desk) -> dict[str, Any]:
    """The form, the drawing beside it and the document below."""
    maker = FormMaker.of(at.codes, at.names, state.faults, at.shown.system)
    groups = maker.groups(state.document)
    return {
        "groups": groups,
        "unit": state.document.get("unit", "mm"),
        "kinds": FEATURE_NAMES,
        "name": state.document.get("name", ""),
        **preview_context(state, at, field_names(groups)),
    }


def preview_context(state: Tried, at: Desk, fields: Mapping[str, str]) -> dict[str, Any]:
    """Drawing, figures and cautions, or the refusals with the field each belongs to."""
    context: dict[str, Any] = {
        "faults": fault_rows(state.faults, fields),
        "document_text": as_text(state.document),
    }
    if state.made is None:
        return context
    return context | {
        "facts": facts(state.made, at.shown),
        "svg": setting_out(state.made.solid, at.shown.system),
        **cautions(state.made),
    }


def field_names(groups: Iterable[Group]) -> dict[str, str]:
    """Ids of all fields of a form by the path of their value."""
    return {field.name: field.id for group in groups for field in _fields_of(group)}


def typed_names(posted: QueryDict) -> dict[str, str]:
    """The same for a form that was posted: every field that came."""
    return {name: Field(name, "", "", "", (), "", ()).id for name in posted}


def fault_rows(faults: Iterable[Fault], fields: Mapping[str, str]) -> list[dict[str, str]]:
    """Every fault with its path and the id of the field that holds the value, if the form has one."""
    return [
        {"path": fault.path or "document", "message": fault.message, "field": _field_for(fault.path, fields)}
        for fault in faults
    ]


def _fields_of(group: Group) -> list[Field]:
    return [*group.fields, *(field for inner in group.groups for field in _fields_of(inner))]


def _field_for(path: str, fields: Mapping[str, str]) -> str:
    """The field at a path, or at the nearest path above it."""
    while path and path not in fields:
        path = path[: max(path.rfind("."), path.rfind("["), 0)]
    return fields.get(path, "")
