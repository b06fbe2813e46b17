"""A photograph from the bench's phone: taken, sent, seen on the page; on the job's page at the desk too."""

from __future__ import annotations

import pytest
from django.utils import timezone
from playwright.sync_api import FilePayload, expect

from shop.accounts.models import User
from shop.jobs.models import Job, JobPhotograph
from shop.jobs.services.jobs import PieceWanted, open_by_hand
from shop.jobs.services.photographs import add_photograph
from tests.browser.conftest import Doing, Visit
from tests.browser.test_bench import at_the_bench
from tests.catalog.pictures.samples import jpeg, png, telling_jpeg

pytestmark = pytest.mark.usefixtures("workshop")
SEEN = "image => image.decode().then(() => image.naturalWidth)"


def file(name: str, kind: str, content: bytes) -> FilePayload:
    return {"name": name, "mimeType": kind, "buffer": content}


@pytest.fixture
def job(workshop: None) -> Job:
    job = open_by_hand(title="Bench for the quay", on=timezone.localdate(), pieces=[PieceWanted("Bench")])
    owner = User.objects.get(username="ottilie")
    add_photograph(job, png((800, 300)), note="Mould before the pour", by=owner, now=timezone.now())
    return job


def test_from_the_phone(walk: Doing, job: Job) -> None:
    photograph = file("IMG_1.JPG", "image/jpeg", telling_jpeg(6))
    heic = file("IMG_2.HEIC", "image/heic", b"\0\0\0\x18ftypheic\0\0\0\0")

    def steps(visit: Visit) -> None:
        page = visit.page
        at_the_bench(visit, job.number)
        page.get_by_text("Photographs (1)").click()
        visit.checked("photographs")
        page.get_by_label("Photograph", exact=True).set_input_files(photograph)
        page.get_by_label("What it shows").fill("Crack at the sink")
        page.get_by_role("button", name="Put it on the job").click()
        page.get_by_text("Photographs (2)").click()
        assert page.get_by_alt_text("Crack at the sink").evaluate(SEEN) == 40
        page.get_by_label("Photograph", exact=True).set_input_files(heic)
        page.get_by_role("button", name="Put it on the job").click()
        expect(page.get_by_role("link", name="This is a HEIC picture")).to_be_visible()

    walk(steps, size="phone")
    assert JobPhotograph.objects.filter(job=job).count() == 2


def test_at_the_desk(walk: Doing, job: Job) -> None:
    def steps(visit: Visit) -> None:
        visit.sign_in()
        visit.go(f"/jobs/{job.number}/")
        assert visit.page.get_by_alt_text("Mould before the pour").evaluate(SEEN) == 800
        visit.checked("job-photographs")
        visit.page.get_by_role("button", name="Take off Mould before the pour").click()
        expect(visit.page.get_by_text("None yet.")).to_be_visible()
        visit.go("/prices/logo")
        logo = file("logo", "text/plain", jpeg((300, 100)))
        visit.page.get_by_label("File").set_input_files(logo)
        visit.page.get_by_label("Logo text").fill("A table on two legs")
        visit.page.get_by_role("button", name="Save").click()
        assert visit.page.get_by_alt_text("A table on two legs").evaluate(SEEN) == 300
        visit.checked("logo")

    walk(steps, size="desk")
