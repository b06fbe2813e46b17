"""Every example of the API's description is run: the request is answered as described, and the answer shown
beside it is one that the API gives. EXAMPLES_WRITE=1 writes the answers afresh.
"""

from __future__ import annotations

import json
import os
from collections.abc import Iterator
from decimal import Decimal
from typing import Any

import pytest
from django.conf import settings
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import transaction
from django.test import Client as Browser
from django.utils import timezone
from drf_spectacular.generators import SchemaGenerator
from jsonschema import Draft202012Validator, FormatChecker  # type: ignore[import-untyped]

from quoting.services.pieces import save_piece
from quoting.services.quotes import ItemWanted, draft_quote, issue_quote
from shop.api.examples import JSON, examples
from shop.jobs.models import PlannedOperation
from shop.jobs.services.draws import Drawn, record_draw
from tests.catalog.pictures.samples import jpeg
from tests.site.access.conftest import DAY, World

pytestmark = pytest.mark.django_db
# What only binds with a state of its own or answers no document; each is tested with its own room.
NOT_RUN = {
    "look_back_accept_create": "needs a year of jobs",
    "outbox_again_create": "needs a mail that failed",
    "jobs_reopen_create": "needs a closed job",
    "jobs_time_stop_create": "needs a timer that runs",
}
ISSUED = ("accept", "decline", "withdraw", "again", "link", "send", "revise", "buying", "bridge")


def described() -> dict[str, Any]:
    found: dict[str, Any] = SchemaGenerator().get_schema(request=None, public=True)  # type: ignore[no-untyped-call]
    return found


def operations(whole: dict[str, Any]) -> Iterator[tuple[str, str, dict[str, Any]]]:
    for path, item in whole["paths"].items():
        for method, operation in item.items():
            yield path, method, operation


def done(operation: dict[str, Any]) -> tuple[int, dict[str, Any] | None]:
    """The status of success, and the schema of its document."""
    code, answer = next(one for one in operation["responses"].items() if one[0].startswith("2"))
    return int(code), answer.get("content", {}).get(JSON)


def faults(whole: dict[str, Any], schema: dict[str, Any], value: object) -> list[str]:
    rooted = {"$ref": "#/it", "it": schema, "components": whole["components"]}
    checked = Draft202012Validator(rooted, format_checker=FormatChecker())
    return [f"{fault.json_path}: {fault.message[:120]}" for fault in checked.iter_errors(value)]


def as_sent(schema: Any) -> Any:
    """A schema as it binds a request: what is only read is not required."""
    if isinstance(schema, list):
        return [as_sent(one) for one in schema]
    if not isinstance(schema, dict):
        return schema
    made = {key: as_sent(one) for key, one in schema.items()}
    read_only = {key for key, one in schema.get("properties", {}).items() if one.get("readOnly")}
    if isinstance(schema.get("required"), list):
        made["required"] = [key for key in schema["required"] if key not in read_only]
    return made


def real(world: World) -> dict[str, Any]:
    """What stands here in place of the ids and hashes of the examples."""
    operation = PlannedOperation.objects.filter(piece__job=world.job).order_by("pk")[:1].get()
    return {
        "client": world.draft.client_id,
        "revision": world.issued.items.order_by("pk")[:1].get().revision_id,
        "operation": operation.pk,
        "data_sha256": world.values["data_sha256"],
    }


def filled(value: Any, named: dict[str, Any]) -> Any:
    if isinstance(value, list):
        return [filled(one, named) for one in value]
    if isinstance(value, dict):
        return {key: named[key] if key in named else filled(one, named) for key, one in value.items()}
    return value


def address(world: World, path: str, name: str) -> str:
    """An address with everything filled in, for a quote that is in the state the operation asks for."""
    place = path.split("/")[3]
    quote = world.values["out" if any(word in name for word in ISSUED) else "ready"]
    own = {"quotes": quote, "jobs": world.job.pk}.get(place) or world.values.get(f"{place}.pk")
    values = {"id": own, "code": world.values.get(f"{place}.code"), "entry": world.values["entry"]}
    values |= {"photograph": world.values["photograph"], "draw": world.values["draw"]}
    values |= {"mishap": world.values["mishap"]}
    before = world.issued.items.order_by("pk")[:1].get().revision
    if place == "pieces" and "bridge" in name:
        values["id"] = before.piece_id
        path += f"?quote={world.issued.pk}"  # which stands long lapsed, but was issued
    if name == "buying_list_retrieve":
        path += f"?quote={quote}"
    if "differences" in name:
        path += "?before=1"
    return path.format(**values)


def shortened(value: Any) -> Any:
    """The answer as it is shown: of a list of objects the first."""
    if isinstance(value, list):
        kept = value[:1] if any(isinstance(one, dict) for one in value) else value[:4]
        return [shortened(one) for one in kept]
    return {key: shortened(one) for key, one in value.items()} if isinstance(value, dict) else value


def keys(value: Any) -> Any:
    """The shape of a document, without what is in it."""
    if isinstance(value, list):
        return [keys(value[0])] if value and isinstance(value[0], dict) else "list"
    return {key: keys(one) for key, one in sorted(value.items())} if isinstance(value, dict) else "value"


def ask(world: World, path: str, method: str, operation: dict[str, Any]) -> tuple[int, Any]:
    name = operation["operationId"]
    sent = examples("requests").get(name, {})
    with transaction.atomic():
        browser: Browser = world.browser("o")
        if "multipart/form-data" in operation.get("requestBody", {}).get("content", {}):
            form = {"picture": SimpleUploadedFile("a.jpg", jpeg((90, 60)))}
            answer: Any = browser.post(address(world, path, name), form)
            transaction.set_rollback(True)
            return answer.status_code, json.loads(answer.content)
        answer = browser.generic(
            method.upper(),
            address(world, path, name),
            json.dumps(filled(sent, real(world))) if method in ("post", "patch") else "",
            JSON,
            headers={"if-match": "*"} if method in ("patch", "delete") else {},
        )
        transaction.set_rollback(True)
    body = answer.content
    return answer.status_code, json.loads(body) if body.startswith((b"{", b"[")) else None


@pytest.fixture
def staged(world: World) -> None:
    """A draw on the job, a draft that can be issued, a quote that is out and valid."""
    if "draw" not in world.values:
        today, by = timezone.localdate(), world.people["o"]
        items = [ItemWanted(save_piece(examples("requests")["takeoff"]), 1)]
        made = draft_quote(world.draft.client, title="A shelf", quoted_on=today, items=items, by=by)
        world.values["ready"] = str(made.pk)
        again = draft_quote(world.draft.client, title="A shelf", quoted_on=today, items=items, by=by)
        issued = issue_quote(again, on=today, by=by)
        world.values.update(out=str(issued.quote_id), data_sha256=issued.data_sha256)
        bought = Drawn(quantity=Decimal(4), kind="bought", name="Clamps", amount=Decimal(38))
        draw = record_draw(world.job, bought, on=DAY, by=by, now=world.job.created_at)
        world.values["draw"] = str(draw.pk)


def test_every_example_is_answered_as_described(world: World, staged: None) -> None:
    whole, found, wrong = described(), {}, []
    for path, method, operation in operations(whole):
        name, (code, content) = operation["operationId"], done(operation)
        if content is None or name in NOT_RUN:
            continue
        status, document = ask(world, path, method, operation)
        if status != code:
            wrong.append(f"{name}: {status}, not {code}: {str(document)[:300]}")
            continue
        wrong += [f"{name}: {said}" for said in faults(whole, content["schema"], document)]
        found[name] = shortened(document)
        shown = examples("answers").get(name)
        if keys(shown) != keys(found[name]) and not os.environ.get("EXAMPLES_WRITE"):
            wrong.append(f"{name}: the example has other keys than the answer")
    if os.environ.get("EXAMPLES_WRITE"):
        file = settings.BASE_DIR / "fixtures" / "api" / "answers.json"
        file.write_text(
            json.dumps(found, indent=1, sort_keys=True, ensure_ascii=False) + "\n", encoding="utf-8"
        )
    assert not wrong, "\n".join(wrong)


def test_every_example_fits_its_schema() -> None:
    whole, wrong, shown = described(), [], 0
    sent = as_sent(whole)
    for _, _, operation in operations(whole):
        holders = [(sent, operation.get("requestBody", {}))]
        for bound, holder in holders + [(whole, one) for one in operation["responses"].values()]:
            content = holder.get("content", {}).get(JSON, {})
            for one in content.get("examples", {}).values():
                shown += 1
                name = operation["operationId"]
                wrong += [f"{name}: {said}" for said in faults(bound, content["schema"], one["value"])]
    assert shown > 100
    assert not wrong, "\n".join(wrong)


def test_what_creates_and_what_is_read_has_an_example() -> None:
    without = []
    for _, _, operation in operations(described()):
        body = operation.get("requestBody", {}).get("content", {}).get(JSON)
        if body is not None and "examples" not in body:
            without.append(f"{operation['operationId']}: request")
        content = done(operation)[1]
        if content is not None and operation["operationId"] not in NOT_RUN and "examples" not in content:
            without.append(f"{operation['operationId']}: answer")
    assert without == []


def test_no_example_is_of_nothing() -> None:
    names = {operation["operationId"] for _, _, operation in operations(described())}
    assert set(examples("requests")) | set(examples("answers")) <= names
