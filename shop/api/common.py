"""Parts of the API's description that every operation shares. Plain values: the settings read them."""

from __future__ import annotations

from typing import Any

_PROBLEM = {"application/problem+json": {"schema": {"$ref": "#/components/schemas/Problem"}}}
REFUSALS = {
    "400": (
        "Unreadable",
        "The body is no JSON object, a value has the wrong form, or a parameter makes no sense.",
    ),
    "401": ("Unknown", "Nobody is signed in, or the token is worth nothing."),
    "403": ("Denied", "This person or this token may not do that."),
    "404": ("Missing", "There is nothing at this address."),
    "406": ("NotSpoken", "The API answers in JSON only."),
    "409": ("Unsuited", "It does not suit the state things are in, or the same request still runs."),
    "412": ("Stale", "What the request rests on has changed."),
    "413": ("TooLong", "More than this site takes in one request."),
    "415": ("NotRead", "The API reads JSON only."),
    "422": ("Refused", "Understood and refused; `errors` has every fault with its path."),
    "428": ("TagWanted", "A change must say with `If-Match` what it rests on."),
    "429": ("TooOften", "Too many requests; `Retry-After` has the seconds to wait."),
}
_FAULT = {
    "type": "object",
    "required": ["path", "detail", "code"],
    "properties": {
        "path": {"type": "string", "examples": ["features[2].depth"]},
        "detail": {"type": "string"},
        "code": {"type": "string"},
        "value": {},
    },
}
PROBLEM = {
    "type": "object",
    "description": "Problem details (RFC 9457).",
    "required": ["type", "title", "status", "code", "detail", "errors"],
    "properties": {
        "type": {"type": "string", "default": "about:blank"},
        "title": {"type": "string"},
        "status": {"type": "integer"},
        "code": {"type": "string", "description": "What a program may go by."},
        "detail": {"type": "string"},
        "errors": {"type": "array", "items": _FAULT},
    },
}


def header(said: str) -> dict[str, Any]:
    return {"description": said, "schema": {"type": "string"}}


_RETRY = {"description": "Seconds to wait.", "schema": {"type": "integer", "minimum": 0}}
COMPONENTS = {
    "schemas": {"Problem": PROBLEM},
    "responses": {
        name: {"description": said, "content": _PROBLEM}
        | ({"headers": {"Retry-After": _RETRY}} if code == "429" else {})
        for code, (name, said) in REFUSALS.items()
    },
    "parameters": {
        name.replace("-", ""): {"name": name, "in": "header", "required": False, **header(said)}
        for name, said in (
            (
                "If-Match",
                "The ETag that was read of what is changed or added to, or `*` for whatever stands.",
            ),
            ("If-None-Match", "The ETag that was read: 304 where nothing changed."),
            ("Idempotency-Key", 'A quoted string, unlike any other: `"8e03978e-…"`. Kept for 24 hours.'),
        )
    },
}
