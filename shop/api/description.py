"""What the API's description says of every operation alike: conditions, repeats, links, what is refused."""

from __future__ import annotations

from typing import Any

from drf_spectacular.openapi import AutoSchema

from catalog.api.tags import CHANGES, Tagged
from shop.api.common import REFUSALS, header
from shop.api.examples import show_examples


class Description(AutoSchema):
    """Describes a view; used for every one of the API."""

    def get_operation(self, *args: Any, **kwargs: Any) -> dict[str, Any] | None:
        """Describe one operation and add what all have in common."""
        operation = super().get_operation(*args, **kwargs)
        if operation is not None:
            tagged = isinstance(self.view, Tagged)
            for name in _parameters(self.method, self.path, tagged):
                reference = {"$ref": f"#/components/parameters/{name}"}
                operation.setdefault("parameters", []).append(reference)
            self._answers(operation["responses"], tagged)
            show_examples(operation)
        return operation

    def _answers(self, responses: dict[str, Any], tagged: bool) -> None:
        done: dict[str, Any] = next(
            (answer for code, answer in responses.items() if code.startswith("2")), {}
        )
        if tagged and self.method in ("GET", "PATCH"):
            done.setdefault("headers", {})["ETag"] = header("Strong tag of this document.")
        if tagged and self.method == "GET":
            responses["304"] = {"description": "Nothing changed since the tag in If-None-Match."}
        if self._is_list_view():
            done.setdefault("headers", {})["Link"] = header("first, prev, next and last page (RFC 8288).")
        for code in _refusals(self.method, self.path, tagged):
            responses.setdefault(code, {"$ref": f"#/components/responses/{REFUSALS[code][0]}"})


def _parameters(method: str, path: str, tagged: bool) -> list[str]:
    if method == "POST":
        return ["IdempotencyKey", *(["IfMatch"] if tagged and "{" in path else [])]
    if not tagged:
        return []
    return ["IfMatch"] if method in CHANGES else ["IfNoneMatch"]


def _refusals(method: str, path: str, tagged: bool) -> list[str]:
    codes = ["400", "401", "403", "406", "422", "429"]
    if "{" in path:
        codes.append("404")
    if method != "GET":
        codes += ["409", "413", "415"]
        codes += ["412"] if tagged else []
        codes += ["428"] if tagged and method in CHANGES else []
    return sorted(codes)
