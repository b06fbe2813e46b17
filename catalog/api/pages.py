"""Lists in pages with `Link` headers (RFC 8288), and the query parameters that narrow them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, ClassVar, TypeVar

from django.db.models import Model, QuerySet
from rest_framework import serializers
from rest_framework.pagination import LimitOffsetPagination
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.utils.urls import replace_query_param

FURTHEST = 1_000_000_000
PAGING = ("limit", "offset")
M = TypeVar("M", bound=Model)


class Pages(LimitOffsetPagination):
    """Pages by `limit` (1 to 200, 50 by default) and `offset`; any other value is refused."""

    default_limit = 50
    max_limit = 200

    def get_limit(self, request: Request) -> int:
        """Return how many rows are asked for."""
        return _whole(request, "limit", self.default_limit, 1, self.max_limit)

    def get_offset(self, request: Request) -> int:
        """Return how many rows are to be passed over."""
        return _whole(request, "offset", 0, 0, FURTHEST)

    def get_paginated_response(self, data: Any) -> Response:
        """Return the page with its place among the others, in the document and in `Link`."""
        answer = super().get_paginated_response(data)
        answer["Link"] = ", ".join(f'<{address}>; rel="{rel}"' for rel, address in self._links())
        return answer

    def _links(self) -> Iterator[tuple[str, str]]:
        """Yield the neighbours that there are; the last page ends the row that this page stands in."""
        limit, offset, count = self.limit or self.default_limit, self.offset or 0, self.count or 0
        start = offset % limit
        yield "first", self._at(0)
        if offset > 0:
            yield "prev", self._at(max(0, offset - limit))
        if offset + limit < count:
            yield "next", self._at(offset + limit)
        yield "last", self._at(start + max(0, count - 1 - start) // limit * limit)

    def _at(self, offset: int) -> str:
        assert self.request is not None  # noqa: S101 - a page was asked for
        address = replace_query_param(self.request.build_absolute_uri(), "limit", str(self.limit))
        return replace_query_param(address, "offset", str(offset))

    def get_paginated_response_schema(self, schema: dict[str, Any]) -> dict[str, Any]:
        """Describe the page; there may be none before or after it."""
        neighbour = {"type": ["string", "null"], "format": "uri"}
        properties = {
            "count": {"type": "integer"},
            "next": neighbour,
            "previous": neighbour,
            "results": schema,
        }
        return {"type": "object", "required": [*properties], "properties": properties}

    def get_schema_operation_parameters(self, view: Any) -> list[dict[str, Any]]:
        """Describe both parameters with their bounds."""
        limit = {"type": "integer", "minimum": 1, "maximum": self.max_limit, "default": self.default_limit}
        offset = {"type": "integer", "minimum": 0, "maximum": FURTHEST, "default": 0}
        return [
            {"name": "limit", "in": "query", "required": False, "description": "Rows.", "schema": limit},
            {"name": "offset", "in": "query", "required": False, "description": "Rows.", "schema": offset}
            | {"description": "Rows to pass over."},
        ]


def _whole(request: Request, name: str, default: int, low: int, high: int) -> int:
    said = request.query_params.get(name)
    if said is None:
        return default
    if not (said.isascii() and said.isdigit() and len(said) <= 12 and low <= int(said) <= high):
        raise serializers.ValidationError({name: [f"Give a whole number from {low} to {high}."]})
    return int(said)


class Query(serializers.Serializer[Any]):
    """Query parameters of a list, beside those of its pages; what is not declared is refused."""

    paged: ClassVar[bool] = True

    @classmethod
    def read(cls, request: Request) -> dict[str, Any]:
        """Return what was asked, defaults filled in; raise with every fault by parameter."""
        refuse_unknown(request.query_params, cls().fields, PAGING if cls.paged else ())
        asked = cls(data=request.query_params)
        asked.is_valid(raise_exception=True)
        return dict(asked.validated_data)


def ordering(*names: str) -> serializers.ChoiceField:
    """Return the parameter `ordering` of a list that may be put in order of these, `-` for descending."""
    both = [sign + name for name in names for sign in ("", "-")]
    return serializers.ChoiceField(choices=both, required=False, help_text="Order; `-` for descending.")


def in_order(rows: QuerySet[M], order: str | None) -> QuerySet[M]:
    """Return rows in the order that was asked for; as they come where none was."""
    return rows.order_by(order, "pk") if order else rows


def row_id(said: str) -> serializers.IntegerField:
    """Return a parameter that names a row by its id, no larger than a database counts."""
    return serializers.IntegerField(required=False, min_value=1, max_value=2**63 - 1, help_text=said)


def refuse_unknown(asked: Mapping[str, Any], *known: Any) -> None:
    """Raise with each query parameter that the address does not know."""
    names = {name for group in known for name in group}
    unknown = {name: ["There is no such parameter here."] for name in asked if name not in names}
    if unknown:
        raise serializers.ValidationError(unknown)
