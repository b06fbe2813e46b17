"""The backup's file: whole or refused, sealed or plain; a byte changed anywhere is found."""

from __future__ import annotations

import gzip
import io
import stat
import tarfile
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from shop.backup.archive import checked_manifest, members, new_archive
from shop.backup.errors import BackupRefused
from shop.backup.seal import CHUNK, MAGIC, SealedReader, SealedWriter

PASSPHRASE = "cover the slab with wet sacking"


@pytest.fixture(autouse=True)
def quick_keys(monkeypatch: pytest.MonkeyPatch) -> None:
    """The real key takes 128 MiB and a good part of a second, on purpose; the drill uses it."""

    def quick(passphrase: str, salt: bytes) -> bytes:
        return (passphrase.encode() + salt + bytes(32))[:32]

    monkeypatch.setattr("shop.backup.seal._key", quick)


def written(file: Path, passphrase: str = "") -> Path:
    with new_archive(file, 1_772_476_200, passphrase) as archive:
        archive.add("tables/quoting.client.jsonl", io.BytesIO(b'{"id":1}\n'))
        archive.add("documents/paper.pdf", io.BytesIO(b"%PDF" + bytes(300)))
        archive.finish({"rows": {"quoting.client": 1}})
    return file


def sealed(content: bytes) -> bytes:
    out = io.BytesIO()
    writer = SealedWriter(out, PASSPHRASE)
    writer.write(content)
    writer.finish()
    return out.getvalue()


def opened(content: bytes, passphrase: str = PASSPHRASE) -> bytes:
    return io.BufferedReader(SealedReader(io.BytesIO(content), passphrase)).read()


@pytest.mark.parametrize("passphrase", ["", PASSPHRASE])
def test_what_goes_in_comes_out(tmp_path: Path, passphrase: str) -> None:
    file = written(tmp_path / "a", passphrase)
    manifest = checked_manifest(file, passphrase)
    assert set(manifest["members"]) == {"tables/quoting.client.jsonl", "documents/paper.pdf"}
    with members(file, passphrase) as entries:
        found = {name: content.read() for name, content in entries}
    assert found["documents/paper.pdf"] == b"%PDF" + bytes(300)
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    assert list(tmp_path.iterdir()) == [file]


@pytest.mark.parametrize("passphrase", ["", PASSPHRASE])
def test_every_changed_byte_is_found(tmp_path: Path, passphrase: str) -> None:
    file = written(tmp_path / "a", passphrase)
    whole = file.read_bytes()
    manifest = checked_manifest(file, passphrase)
    for place in range(0, len(whole), 7):
        file.write_bytes(whole[:place] + bytes([whole[place] ^ 1]) + whole[place + 1 :])
        try:
            # A byte of the gzip header that says nothing of the content may differ: the content may not.
            assert checked_manifest(file, passphrase) == manifest
            assert not passphrase
            assert place < 10
        except BackupRefused:
            pass


@pytest.mark.parametrize("passphrase", ["", PASSPHRASE])
def test_a_file_cut_off_anywhere_is_refused(tmp_path: Path, passphrase: str) -> None:
    file = written(tmp_path / "a", passphrase)
    whole = file.read_bytes()
    for length in range(0, len(whole), 11):
        file.write_bytes(whole[:length])
        with pytest.raises(BackupRefused):
            checked_manifest(file, passphrase)


def test_a_backup_never_overwrites_another(tmp_path: Path) -> None:
    file = tmp_path / "a"
    file.write_bytes(b"last week's")
    with pytest.raises(BackupRefused, match="never overwrites"):
        written(file)
    assert file.read_bytes() == b"last week's"


def test_an_unfinished_backup_leaves_no_file(tmp_path: Path) -> None:
    with pytest.raises(ZeroDivisionError), new_archive(tmp_path / "a", 0, "") as archive:
        archive.add("documents/paper.pdf", io.BytesIO(b"x"))
        raise ZeroDivisionError
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    "name",
    [
        *("../x", "documents/../../x", "/etc/x", "documents\\x", "x", "tables/../x"),
        *("documents//etc/x", "documents///etc/x", "documents/./x", "./documents/x"),
    ],
)
def test_names_that_lead_elsewhere_are_refused(tmp_path: Path, name: str) -> None:
    packed = io.BytesIO()
    with tarfile.open(fileobj=packed, mode="w") as tar:
        entry = tarfile.TarInfo(name)
        entry.size = 1
        tar.addfile(entry, io.BytesIO(b"x"))
    file = tmp_path / "a"
    file.write_bytes(gzip.compress(packed.getvalue()))
    with pytest.raises(BackupRefused, match="no file of ours"):
        checked_manifest(file, "")


def test_links_are_refused(tmp_path: Path) -> None:
    packed = io.BytesIO()
    with tarfile.open(fileobj=packed, mode="w") as tar:
        entry = tarfile.TarInfo("documents/x")
        entry.type, entry.linkname = tarfile.SYMTYPE, "/etc/hostname"
        tar.addfile(entry)
    file = tmp_path / "a"
    file.write_bytes(gzip.compress(packed.getvalue()))
    with pytest.raises(BackupRefused, match="no file of ours"):
        checked_manifest(file, "")


@pytest.mark.parametrize("length", [0, 1, CHUNK - 1, CHUNK, CHUNK + 1, 2 * CHUNK])
def test_seals_of_every_length_open(length: int) -> None:
    content = bytes(range(256)) * (length // 256) + bytes(length % 256)
    assert opened(sealed(content)) == content


def test_a_seal_hides_and_differs_each_time() -> None:
    assert b"concrete" not in sealed(b"concrete" * 9)
    assert sealed(b"x") != sealed(b"x")
    assert sealed(b"x").startswith(MAGIC)


def test_chunks_cannot_be_dropped_or_swapped() -> None:
    whole = sealed(bytes(CHUNK) + b"\1" * CHUNK + b"end")
    head, step = len(MAGIC) + 23, CHUNK + 16
    first, second, last = (
        whole[head : head + step],
        whole[head + step : head + 2 * step],
        whole[head + 2 * step :],
    )
    for body in (first + second, first + last, second + first + last, first + first + last, last):
        with pytest.raises(BackupRefused):
            opened(whole[:head] + body)


@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.binary(max_size=300))
def test_any_bytes_are_read_or_refused(tmp_path: Path, content: bytes) -> None:
    file = tmp_path / "a"
    file.write_bytes(MAGIC + content)
    with pytest.raises(BackupRefused):
        checked_manifest(file, PASSPHRASE)


def test_a_wrong_passphrase_opens_nothing(tmp_path: Path) -> None:
    file = written(tmp_path / "a", PASSPHRASE)
    with pytest.raises(BackupRefused, match="passphrase is another"):
        checked_manifest(file, "another passphrase")
    with pytest.raises(BackupRefused, match="give its passphrase"):
        checked_manifest(file, "")


def test_with_a_passphrase_only_what_is_sealed_is_taken(tmp_path: Path) -> None:
    """Else a sealed backup could be changed for another one that anybody wrote."""
    file = written(tmp_path / "a")
    with pytest.raises(BackupRefused, match="not sealed"):
        checked_manifest(file, PASSPHRASE)
    assert checked_manifest(file, "")


def test_a_short_passphrase_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.undo()
    with pytest.raises(BackupRefused, match="at least 12"):
        SealedWriter(io.BytesIO(), "short")


def test_a_passphrase_file_must_hold_one(tmp_path: Path) -> None:
    (tmp_path / "blank").write_text("\n")
    for name in ("blank", "missing"):
        with pytest.raises(CommandError, match=name):
            call_command("restore", tmp_path / "a", "--passphrase-file", str(tmp_path / name))
