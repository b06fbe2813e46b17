"""Logo and photographs go into a backup and come out of it, byte for byte."""

from __future__ import annotations

from pathlib import Path

from catalog.models import Picture
from catalog.selectors import logo, shop_terms
from catalog.services.terms import set_logo
from quoting.models import Quote
from shop.accounts.models import User
from shop.backup.making import make_backup
from shop.backup.restoring import clear, restore_backup
from shop.demo import Demo
from shop.jobs.models import JobPhotograph
from shop.jobs.services.jobs import PieceWanted, open_by_hand
from shop.jobs.services.photographs import add_photograph
from tests.catalog.pictures.samples import jpeg, png
from tests.shop.backup.conftest import AT


def test_pictures_come_back(shop: Demo, tmp_path: Path) -> None:
    owner = User.objects.filter(role="owner").first()
    set_logo(png(), "A table")
    job = open_by_hand(title="A bench", on=AT.date(), pieces=[PieceWanted("Bench")], by=owner)
    add_photograph(job, jpeg((3000, 2000)), note="The mould", by=owner, now=AT)
    before = {one.sha256: bytes(one.content) for one in Picture.objects.all()}
    make_backup(tmp_path / "a.backup", at=AT)
    clear()
    restore_backup(tmp_path / "a.backup")
    assert Quote.objects.exists()
    after = Picture.objects.all()
    assert {one.sha256: bytes(one.content) for one in after} == before
    assert all(one.length == len(one.content) for one in after)
    found = logo(shop_terms())
    assert found is not None and found.text == "A table" and found.content in before.values()
    assert JobPhotograph.objects.get().picture.media_type == "image/jpeg"
