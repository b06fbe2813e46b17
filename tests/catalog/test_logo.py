"""The shop's logo, by page and by API: who may change it, what is refused, what stays."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from rest_framework.test import APIClient

from catalog.models import Picture
from catalog.selectors import logo, shop_terms
from catalog.services.terms import set_logo, update_terms
from tests.catalog.pictures.samples import SECRET, jpeg, png, telling_png

PAGE, AT = "/prices/logo", "/api/v1/terms/logo"
Browser = Callable[[str], Client]
Api = Callable[[str], APIClient]


@pytest.fixture
def api(person: Callable[[str], Any]) -> Api:
    """Sign a person of a role in to the API; says nothing of what a change rests on."""

    def sign_in(role: str) -> APIClient:
        client = APIClient()
        client.force_login(person(role))
        return client

    return sign_in


def file(content: bytes, name: str = "logo.png", kind: str = "image/png") -> SimpleUploadedFile:
    return SimpleUploadedFile(name, content, kind)


def sending(content: bytes, **said: str) -> dict[str, Any]:
    return {"picture": file(content), **said}


def test_an_owner_puts_it_on_the_papers(browser: Browser) -> None:
    owner = browser("owner")
    assert owner.get(PAGE).status_code == 200
    assert owner.get(f"{PAGE}/picture").status_code == 404
    answer = owner.post(PAGE, sending(telling_png(), logo_text="A table on two legs"), follow=True)
    assert 'alt="A table on two legs"' in answer.content.decode()
    shown = owner.get(f"{PAGE}/picture")
    assert (shown["Content-Type"], shown["X-Content-Type-Options"]) == ("image/png", "nosniff")
    assert "default-src 'none'" in shown["Content-Security-Policy"]
    assert shown.content.startswith(b"\x89PNG") and SECRET not in shown.content
    again = owner.get(f"{PAGE}/picture", headers={"if-none-match": shown["ETag"]})
    assert (again.status_code, again.content) == (304, b"")


def test_words_alone_keep_the_picture(browser: Browser) -> None:
    set_logo(png(), "A table")
    before = shop_terms().logo
    browser("owner").post(PAGE, {"logo_text": "A bench"})
    assert (shop_terms().logo, shop_terms().logo_text) == (before, "A bench")


def test_other_terms_leave_it(db: None) -> None:
    set_logo(png(), "A table")
    update_terms({"phone": "1"})
    assert logo(shop_terms()) is not None


def test_the_type_is_what_is_in_it_not_what_it_is_called(browser: Browser) -> None:
    owner = browser("owner")
    owner.post(PAGE, {"picture": file(jpeg(), "logo.png", "text/html"), "logo_text": ""})
    assert owner.get(f"{PAGE}/picture")["Content-Type"] == "image/jpeg"
    answer = owner.post(PAGE, {"picture": file(b"<svg/>", "logo.png"), "logo_text": ""})
    assert (answer.status_code, b"Drawings in SVG" in answer.content) == (422, True)


@pytest.mark.parametrize("sent", [{"logo_text": "A table"}, {"picture": file(b""), "logo_text": ""}])
def test_the_page_refuses(browser: Browser, sent: dict[str, Any]) -> None:
    answer = browser("owner").post(PAGE, sent)
    assert (answer.status_code, b'class="errorlist"' in answer.content) == (422, True)
    assert shop_terms().logo is None


def test_taken_off_it_is_kept_for_what_was_issued(browser: Browser) -> None:
    set_logo(png(), "A table")
    browser("owner").post(f"{PAGE}/off")
    assert (shop_terms().logo, shop_terms().logo_text, Picture.objects.count()) == (None, "", 1)


def test_who_may(browser: Browser) -> None:
    estimator, bench = browser("estimator"), browser("bench")
    set_logo(png(), "A table")
    assert estimator.get(f"{PAGE}/picture").status_code == 200
    assert estimator.post(PAGE, sending(png((90, 90)))).status_code == 403
    assert bench.get(f"{PAGE}/picture").status_code == 403


# --- the API -----------------------------------------------------------------------------------------------
def test_over_the_api(api: Api) -> None:
    owner = api("owner")
    made = owner.post(AT, sending(png(), text="A table"), format="multipart")
    assert made.status_code == 201
    assert made.json()["logo_text"] == "A table"
    said = owner.get("/api/v1/terms").json()["logo"]
    assert said == made.json()["logo"]
    shown = owner.get(AT, headers={"accept": "image/png"})
    assert (said["media_type"], said["length"], said["width_px"]) == ("image/png", len(shown.content), 60)
    assert (shown["Content-Type"], shown["ETag"].startswith('"')) == ("image/png", True)
    assert owner.get(AT, headers={"if-none-match": shown["ETag"]}).status_code == 304
    assert owner.delete(AT, headers={"if-match": '"another"'}).status_code == 412
    assert owner.delete(AT, headers={"if-match": shown["ETag"]}).status_code == 204
    assert owner.get(AT).status_code == 404
    assert owner.get("/api/v1/terms").json()["logo"] is None


def test_what_the_api_refuses(api: Api) -> None:
    owner = api("owner")
    refused = owner.post(AT, sending(b"GIF89a"), format="multipart")
    assert (refused.status_code, refused["Content-Type"]) == (422, "application/problem+json")
    assert refused.json()["errors"][0] == {
        "path": "picture",
        "detail": "GIF pictures are not taken. Send a JPEG or a PNG.",
        "code": "not_a_picture",
        "value": None,
    }
    assert owner.post(AT, sending(b""), format="multipart").status_code == 422
    assert owner.post(AT, {"text": "A table"}, format="multipart").status_code == 400
    assert owner.post(AT, {"picture": "words"}, format="multipart").status_code == 400
    assert owner.post(AT, {"picture": "words"}, format="json").status_code == 415
    assert owner.patch("/api/v1/terms", {"logo": None}, headers={"if-match": "*"}).status_code == 422
    assert api("estimator").post(AT, sending(png()), format="multipart").status_code == 403


def test_five_megabytes_are_the_most_of_a_form(api: Api) -> None:
    answer = api("owner").post(AT, sending(png() + bytes(5 * 1024**2)), format="multipart")
    assert answer.status_code == 413
