"""Bad input: a problem document with every fault and its path, never a failure of ours."""

import io
import time
from typing import Any

import pytest
from django.core.exceptions import PermissionDenied
from django.core.exceptions import ValidationError as ModelValidationError
from django.http import Http404
from django.test import RequestFactory
from rest_framework import serializers
from rest_framework.exceptions import NotAuthenticated, ParseError, Throttled
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from catalog.errors import NoSuchRow
from quoting.engine.errors import Fault, Refused
from quoting.errors import IllegalMove
from shop.api_errors import StrictJSONParser, problem_details


class Slab(serializers.Serializer[Any]):
    name = serializers.CharField()
    corners = serializers.ListField(child=serializers.IntegerField())


class Echo(APIView):
    """Reads a slab and gives it back."""

    authentication_classes = ()
    permission_classes = ()

    def post(self, request: Request) -> Response:
        slab = Slab(data=request.data)
        slab.is_valid(raise_exception=True)
        return Response(slab.validated_data)


def post(body: bytes, content_type: str = "application/json") -> Response:
    request = RequestFactory().generic("POST", "/api/v1/echo/", body, content_type)
    answer = Echo.as_view()(request)
    answer.render()
    return answer


def answered(exc: Exception) -> Response:
    answer = problem_details(exc, {})
    if answer is None:
        raise AssertionError("not answered")
    return answer


def test_good_input_passes() -> None:
    assert post(b'{"name": "caf\\u00e9 \\ud83d\\ude00", "corners": [1]}').data["name"] == "café 😀"


def test_every_fault_has_its_path() -> None:
    answer = post(b'{"corners": [1, "x", 3, null]}')
    assert answer.status_code == 400
    assert answer["Content-Type"] == "application/problem+json"
    assert [(error["path"], error["code"]) for error in answer.data["errors"]] == [
        ("name", "required"),
        ("corners[1]", "invalid"),
        ("corners[3]", "null"),
    ]
    assert answer.data["detail"].startswith("name: ")


def test_a_fault_of_the_whole_document_has_an_empty_path() -> None:
    answer = post(b"[1, 2]")
    assert answer.data["errors"][0]["path"] == ""


@pytest.mark.parametrize(
    ("body", "said"),
    [
        (b"{", "JSON"),
        (b'{"name": "\xff"}', "Unicode"),
        (b'{"name": "\\ud800"}', "Unicode"),
        (b'{"name": "\\u0000"}', "NUL"),
        (b'{"name": NaN}', "NaN is not a number"),
        (b'{"name": -Infinity}', "-Infinity"),
        (b'{"name": 1, "name": 2}', "'name' stands twice"),
        (b"[" * 100_000, "nested too deeply"),
        (b'{"name": ' + b"9" * 10_000 + b"}", "JSON"),
        (b'{"name": 1e999}', "too large"),
    ],
)
def test_what_is_not_json_is_refused(body: bytes, said: str) -> None:
    answer = post(body)
    assert answer.status_code == 400
    assert answer.data["code"] == "parse_error"
    assert said in answer.data["detail"]


def test_another_media_type_is_refused() -> None:
    assert post(b"name=x", "application/x-www-form-urlencoded").status_code == 415


def test_refusal_of_the_engine() -> None:
    faults = [
        Fault("features[2].depth", "at most 32 mm", "too_deep", "80 mm"),
        Fault("", "no outline", "missing"),
    ]
    answer = answered(Refused(faults))
    assert (answer.status_code, answer.data["code"]) == (422, "refused")
    assert answer.data["errors"][0] == {
        "path": "features[2].depth",
        "detail": "at most 32 mm",
        "code": "too_deep",
        "value": "80 mm",
    }
    assert answer.data["detail"].splitlines()[1] == "document: no outline"


@pytest.mark.parametrize(
    ("exc", "status", "code"),
    [
        (Http404(), 404, "not_found"),
        (PermissionDenied(), 403, "permission_denied"),
        (NotAuthenticated(), 401, "not_authenticated"),
        (NoSuchRow("mix", "m9"), 404, "not_found"),
        (IllegalMove("issued", "draft", "it went out"), 409, "illegal_move"),
        (ModelValidationError({"name": ["too long"]}), 400, "invalid"),
        (ModelValidationError("no"), 400, "invalid"),
    ],
)
def test_status_and_code(exc: Exception, status: int, code: str) -> None:
    answer = answered(exc)
    assert (answer.status_code, answer.data["status"], answer.data["code"]) == (status, status, code)


def test_model_faults_keep_their_field() -> None:
    answer = answered(ModelValidationError({"name": ["too long"], "__all__": ["twice"]}))
    assert [error["path"] for error in answer.data["errors"]] == ["name", ""]


def test_waiting_time_is_passed_on() -> None:
    assert answered(Throttled(wait=30))["Retry-After"] == "30"


def test_a_failure_of_ours_is_not_dressed_up() -> None:
    assert problem_details(ZeroDivisionError(), {}) is None


def test_parser_reads_a_stream() -> None:
    assert StrictJSONParser().parse(io.BytesIO(b'{"a": [1.5, true, null]}')) == {"a": [1.5, True, None]}
    with pytest.raises(ParseError):
        StrictJSONParser().parse(io.BytesIO(b""))


@pytest.mark.parametrize(("sent", "kept"), [(r'"\\u0000"', "\\u0000"), (r'"\u00e9"', "é")])
def test_a_text_that_only_looks_like_nul_is_read(sent: str, kept: str) -> None:
    assert StrictJSONParser().parse(io.BytesIO(sent.encode())) == kept


@pytest.mark.parametrize("sent", [r'"\u0000"', r'"\\\u0000"'])
def test_nul_is_refused_beside_a_backslash_too(sent: str) -> None:
    with pytest.raises(ParseError, match="NUL"):
        StrictJSONParser().parse(io.BytesIO(sent.encode()))


def test_a_key_that_stands_twice_among_very_many_is_found_at_once() -> None:
    keys = ",".join(f'"{number:x}":1' for number in range(200_000))
    body = f'{{{keys},"last":1,"last":2}}'.encode()
    begun = time.process_time()
    answer = post(body)
    assert answer.status_code == 400
    assert "'last' stands twice" in answer.data["detail"]
    assert time.process_time() - begun < 5  # one look at every key for every key takes minutes
