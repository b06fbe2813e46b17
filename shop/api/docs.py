"""The page that says what the API offers: its description, read to a person."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe
from drf_spectacular.generators import SchemaGenerator


@dataclass(frozen=True, slots=True)
class Operation:
    """One thing that can be done."""

    key: str
    method: str
    path: str
    said: str
    parameters: tuple[dict[str, Any], ...]
    body: str
    answers: tuple[tuple[str, str, str], ...]


@dataclass(frozen=True, slots=True)
class Shape:
    """One document that is sent or answered, with its keys."""

    name: str
    said: str
    keys: tuple[tuple[str, str, bool, str], ...]


@require_safe
def docs(request: HttpRequest) -> HttpResponse:
    """The page at ``/api/v1/docs``, for whoever is signed in."""
    groups, shapes = _read()
    return render(request, "site/api_docs.html", {"groups": groups, "shapes": shapes})


@cache
def _read() -> tuple[tuple[tuple[str, tuple[Operation, ...]], ...], tuple[Shape, ...]]:
    """Return operations by tag, and shapes, of the description; it does not change while the site runs."""
    described: dict[str, Any] = SchemaGenerator().get_schema(request=None, public=True)  # type: ignore[no-untyped-call]
    groups: dict[str, list[Operation]] = {}
    for path, item in described["paths"].items():
        for method, operation in item.items():
            tag = operation.get("tags", ["api"])[0]
            groups.setdefault(tag, []).append(_operation(described, path, method, operation))
    schemas = described["components"]["schemas"]
    shapes = tuple(_shape(name, schema) for name, schema in sorted(schemas.items()))
    return tuple((tag, tuple(found)) for tag, found in sorted(groups.items())), shapes


def _operation(described: dict[str, Any], path: str, method: str, operation: dict[str, Any]) -> Operation:
    parameters = tuple(_followed(described, one) for one in operation.get("parameters", ()))
    return Operation(
        key=operation["operationId"],
        method=method.upper(),
        path=path,
        said=operation.get("description", ""),
        parameters=parameters,
        body=_document(operation.get("requestBody", {})),
        answers=tuple(
            (code, _followed(described, answer)["description"], _document(_followed(described, answer)))
            for code, answer in sorted(operation["responses"].items())
        ),
    )


def _followed(described: dict[str, Any], value: dict[str, Any]) -> dict[str, Any]:
    if "$ref" not in value:
        return value
    found: Any = described
    for step in value["$ref"].removeprefix("#/").split("/"):
        found = found[step]
    return dict(found)


def _document(holder: dict[str, Any]) -> str:
    for content in holder.get("content", {}).values():
        return _kind(content.get("schema", {}))
    return ""


def _shape(name: str, schema: dict[str, Any]) -> Shape:
    wanted = set(schema.get("required", ()))
    keys = tuple(
        (key, _kind(value), key in wanted, value.get("description", ""))
        for key, value in schema.get("properties", {}).items()
    )
    return Shape(name, schema.get("description", ""), keys)


def _kind(schema: dict[str, Any]) -> str:
    """Return what kind of value a schema takes, in a word or a few."""
    if "$ref" in schema:
        return str(schema["$ref"].rsplit("/", maxsplit=1)[-1])
    for joint in ("oneOf", "anyOf", "allOf"):
        if joint in schema:
            return " or ".join(dict.fromkeys(_kind(one) for one in schema[joint]))
    kind = schema.get("type", "any")
    if isinstance(kind, list):
        return " or ".join(kind)
    if kind == "array":
        return f"list of {_kind(schema.get('items', {}))}"
    return f"{kind} ({schema['format']})" if "format" in schema else str(kind)
