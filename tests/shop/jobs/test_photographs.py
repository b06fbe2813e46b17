"""Photographs on a job: from the bench's phone, seen by everybody of the shop and by nobody else."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from rest_framework.test import APIClient

from catalog.errors import CatalogRefused
from catalog.models import Picture
from catalog.services.terms import set_logo
from quoting.engine.errors import Refused
from quoting.errors import IllegalMove
from shop.jobs.models import Job, JobPhotograph
from shop.jobs.services import photographs as services
from shop.jobs.services.jobs import close_job
from shop.jobs.services.photographs import add_photograph, remove_photograph
from tests.catalog.pictures.samples import SECRET, jpeg, png, telling_jpeg
from tests.shop.jobs.conftest import NOW, TODAY

Browser = Callable[[str], Client]
Api = Callable[[str], APIClient]


def file(content: bytes, name: str = "IMG_0001.JPG") -> SimpleUploadedFile:
    return SimpleUploadedFile(name, content, "image/jpeg")


def added(job: Job, by: Any, content: bytes = b"", note: str = "") -> JobPhotograph:
    return add_photograph(job, content or jpeg(), note=note, by=by, now=NOW)


# --- pages -------------------------------------------------------------------------------------------------
def test_from_the_bench_to_the_job_page(browser: Browser, job: Job) -> None:
    wilf, at = browser("bench"), f"/jobs/{job.number}/photographs"
    form = wilf.get(f"/bench/{job.number}/").content.decode()
    assert 'type="file"' in form and 'accept="image/*" capture="environment"' in form and at in form
    sent = {"picture": file(telling_jpeg(6)), "note": "Crack at the sink", "from": "bench"}
    answer = wilf.post(at, sent, follow=True)
    assert answer.redirect_chain[-1][0] == f"/bench/{job.number}/"
    row = JobPhotograph.objects.get()
    for who, page in (("bench", f"/bench/{job.number}/"), ("estimator", f"/jobs/{job.number}/")):
        words = browser(who).get(page).content.decode()
        assert f'src="{at}/{row.pk}" alt="Crack at the sink" width="40" height="60"' in words
    shown = wilf.get(f"{at}/{row.pk}")
    assert (shown["Content-Type"], shown["X-Content-Type-Options"]) == ("image/jpeg", "nosniff")
    assert SECRET not in shown.content
    assert wilf.get(f"{at}/{row.pk}", headers={"if-none-match": shown["ETag"]}).status_code == 304


def test_the_page_says_why_not(browser: Browser, job: Job) -> None:
    wilf, at = browser("bench"), f"/jobs/{job.number}/photographs"
    heic = file(b"\0\0\0\x18ftypheic\0\0\0\0")
    assert b"This is a HEIC picture" in wilf.post(at, {"picture": heic, "from": "bench"}, follow=True).content
    assert b"Choose or take a photograph" in wilf.post(at, {"from": "bench"}, follow=True).content
    assert not JobPhotograph.objects.exists()


def test_a_phone_s_photograph_may_be_longer_than_other_forms(browser: Browser, job: Job) -> None:
    wilf, at = browser("bench"), f"/jobs/{job.number}/photographs"
    wilf.post(at, {"picture": file(jpeg() + bytes(9 * 1024**2))})
    assert JobPhotograph.objects.get().picture.length < 5000
    assert wilf.post(at, {"picture": file(jpeg() + bytes(21 * 1024**2))}).status_code == 413
    assert wilf.post(f"/bench/{job.number}/", {"note": file(bytes(6 * 1024**2))}).status_code == 413


def test_taken_off_by_who_put_it_there_or_an_owner(
    browser: Browser, job: Job, people: dict[str, Any]
) -> None:
    first, second = added(job, people["bench"]), added(job, people["bench"], png())
    off = f"/jobs/{job.number}/photographs/{{}}/off".format
    for who in ("other", "estimator"):
        assert browser(who).post(off(first.pk)).status_code == 403
        assert b"Take off" not in browser(who).get(f"/bench/{job.number}/").content
    browser("bench").post(off(first.pk))
    browser("owner").post(off(second.pk))
    assert not JobPhotograph.objects.exists() and not Picture.objects.exists()
    assert [event.kind for event in job.events.order_by("pk")][-4:] == ["photograph"] * 2 + [
        "photograph off"
    ] * 2


def test_of_its_job_alone(browser: Browser, job: Job, people: dict[str, Any]) -> None:
    row = added(job, people["bench"])
    for number in ("J00-0000", "", "%2e%2e"):
        assert browser("owner").get(f"/jobs/{number}/photographs/{row.pk}").status_code == 404
    assert browser("").get(f"/jobs/{job.number}/photographs/{row.pk}").status_code == 302


# --- the service -------------------------------------------------------------------------------------------
def test_the_same_picture_is_on_a_job_once(job: Job, people: dict[str, Any]) -> None:
    first = added(job, people["bench"], note="Crack")
    assert added(job, people["other"], note="Crack again") == first
    assert (Picture.objects.count(), job.events.filter(kind="photograph").count()) == (1, 1)


def test_a_picture_shown_elsewhere_is_not_thrown_away(job: Job, people: dict[str, Any]) -> None:
    row = added(job, people["bench"], jpeg())
    set_logo(jpeg(), "A table")
    assert Picture.objects.get() == row.picture
    remove_photograph(row, by=people["bench"], now=NOW)
    assert Picture.objects.count() == 1


def test_one_picture_on_two_jobs(job: Job, people: dict[str, Any]) -> None:
    other = Job.objects.create(number="J26-0099", title="Bench", currency="EUR", opened_on=TODAY)
    row = added(job, people["bench"])
    added(other, people["bench"])
    assert Picture.objects.count() == 1
    remove_photograph(row, by=people["bench"], now=NOW)
    assert JobPhotograph.objects.get(job=other).picture == Picture.objects.get()


def test_a_closed_job_is_left_as_it_is(job: Job, people: dict[str, Any]) -> None:
    row = added(job, people["bench"])
    close_job(job, on=TODAY, by=people["owner"])
    with pytest.raises(IllegalMove):
        added(job, people["bench"], png())
    with pytest.raises(IllegalMove):
        remove_photograph(row, by=people["bench"], now=NOW)


def test_not_without_end(job: Job, people: dict[str, Any], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(services, "MOST", 1)
    added(job, people["bench"])
    with pytest.raises(Refused):
        added(job, people["bench"], png())


def test_nothing_is_left_of_a_refused_one(job: Job, people: dict[str, Any]) -> None:
    with pytest.raises(CatalogRefused):
        added(job, people["bench"], b"no picture")
    assert not Picture.objects.exists()


# --- the API -----------------------------------------------------------------------------------------------
def test_over_the_api(api: Api, job: Job) -> None:
    wilf, at = api("bench"), f"/api/v1/jobs/{job.pk}/photographs"
    made = wilf.post(at, {"picture": file(jpeg()), "note": "Mould"}, format="multipart")
    assert made.status_code == 201
    said = made.json()
    assert (said["note"], said["by"], said["picture"]["media_type"]) == ("Mould", "wilf", "image/jpeg")
    assert wilf.get(at).json() == {"results": [said]}
    one = f"{at}/{said['id']}"
    shown = wilf.get(one, headers={"accept": "image/jpeg"})
    assert (shown["Content-Type"], len(shown.content)) == ("image/jpeg", said["picture"]["length"])
    assert wilf.delete(one).status_code == 428
    assert api("other").delete(one, headers={"if-match": "*"}).status_code == 403
    assert wilf.delete(one, headers={"if-match": shown["ETag"]}).status_code == 204
    assert (wilf.get(one).status_code, wilf.get(at).json()) == (404, {"results": []})


def test_what_the_api_refuses(api: Api, job: Job) -> None:
    wilf, at = api("bench"), f"/api/v1/jobs/{job.pk}/photographs"
    assert wilf.post(at, {"picture": file(b"%PDF-1.7")}, format="multipart").status_code == 422
    assert wilf.post(at, {"note": "no file"}, format="multipart").status_code == 400
    assert wilf.post(at, {"picture": "x"}, format="json").status_code == 415
    assert (
        wilf.post("/api/v1/jobs/999/photographs", {"picture": file(jpeg())}, format="multipart").status_code
        == 404
    )
    assert api("").get(at).status_code == 401


@pytest.mark.parametrize("tail", [0, 6 * 1024**2])
def test_the_same_key_the_same_answer(api: Api, job: Job, tail: int) -> None:
    """Also of a file that is longer than is held in memory, and though what divides the form is another."""
    wilf, at = api("bench"), f"/api/v1/jobs/{job.pk}/photographs"
    key = {"idempotency-key": '"one"'}

    def send(content: bytes) -> Any:
        return wilf.post(at, {"picture": file(content)}, format="multipart", headers=key)

    first = send(jpeg() + bytes(tail))
    JobPhotograph.objects.all().delete()
    again = send(jpeg() + bytes(tail))
    assert (first.status_code, again.status_code, again.json()) == (201, 201, first.json())
    assert not JobPhotograph.objects.exists()
    assert send(png() + bytes(tail)).status_code == 422
