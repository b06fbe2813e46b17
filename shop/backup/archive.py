"""The backup's file: a compressed tar of `tables/*.jsonl`, `documents/…` and, last, `manifest.json`.

The manifest lists every member with its length and SHA-256, the migrations the tables belong to, and both
hashes of every issued quote. A file without it was never finished. Nothing in it needs this program: it opens
with any tar.
"""

from __future__ import annotations

import gzip
import hashlib
import io
import json
import os
import tarfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path, PurePosixPath
from tempfile import TemporaryFile
from typing import IO, Any, BinaryIO, cast

from shop.backup.errors import BackupRefused
from shop.backup.seal import MAGIC, SealedReader, SealedWriter, is_sealed

FORMAT = 1
MANIFEST = "manifest.json"
BLOCK = 1 << 20
_BROKEN = (tarfile.TarError, OSError, EOFError, zlib.error, ValueError, KeyError)


class Writer:
    """Adds members and keeps account of them."""

    def __init__(self, tar: tarfile.TarFile, made_at: int) -> None:
        self._tar, self._made_at = tar, made_at
        self.members: dict[str, dict[str, Any]] = {}

    def add(self, name: str, content: IO[bytes]) -> None:
        """Add what is left to read of `content`."""
        with TemporaryFile() as held:  # a tar wants the length first, and a document may grow meanwhile
            sha = hashlib.sha256()
            while block := content.read(BLOCK):
                sha.update(block)
                held.write(block)
            entry = tarfile.TarInfo(name)
            entry.size, entry.mtime, entry.mode = held.tell(), self._made_at, 0o600
            held.seek(0)
            self._tar.addfile(entry, held)
        self.members[name] = {"bytes": entry.size, "sha256": sha.hexdigest()}

    def finish(self, manifest: dict[str, Any]) -> None:
        """Add the manifest: from here on the backup is whole."""
        said = {"format": FORMAT, **manifest, "members": self.members}
        self.add(MANIFEST, io.BytesIO(json.dumps(said, indent=1, sort_keys=True).encode()))


@contextmanager
def new_archive(file: Path, made_at: int, passphrase: str) -> Iterator[Writer]:
    """Write a backup beside `file` and give it that name once it is whole and on the disk.

    Raises BackupRefused where a file of that name is there already.
    """
    if file.exists():
        raise BackupRefused(f"{file} is there already; a backup never overwrites another.")
    part = file.with_name(f".{file.name}.part")
    try:
        with open(part, "wb", opener=_private) as raw:  # a path's own `open` takes no opener
            sealed = SealedWriter(raw, passphrase) if passphrase else None
            target = cast(BinaryIO, sealed or raw)
            with (
                gzip.GzipFile("", "wb", 6, target, mtime=made_at) as packed,
                tarfile.open(fileobj=packed, mode="w|", format=tarfile.PAX_FORMAT) as tar,
            ):
                yield Writer(tar, made_at)
            if sealed:
                sealed.finish()
            raw.flush()
            os.fsync(raw.fileno())
        part.rename(file)
        _keep_name(file.parent)
    finally:
        part.unlink(missing_ok=True)


def _private(path: str, flags: int) -> int:
    return os.open(path, flags, 0o600)


def _keep_name(folder: Path) -> None:
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


@contextmanager
def members(file: Path, passphrase: str) -> Iterator[Iterator[tuple[str, IO[bytes]]]]:
    """Read a backup's members in their order, each to be read before the next is asked for."""
    with file.open("rb") as raw:
        sealed = is_sealed(raw.read(len(MAGIC)))
        raw.seek(0)
        if sealed and not passphrase:
            raise BackupRefused("The backup is sealed: give its passphrase.")
        if passphrase and not sealed:  # else whoever can write where backups lie puts one of his own there
            raise BackupRefused(
                "The backup is not sealed, so the passphrase cannot vouch for it. "
                "To take it all the same, give none and leave BACKUP_PASSPHRASE unset."
            )
        plain: IO[bytes] = io.BufferedReader(SealedReader(raw, passphrase)) if sealed else raw
        with gzip.GzipFile(fileobj=plain) as packed, tarfile.open(fileobj=packed, mode="r|") as tar:
            yield _walk(tar)
            while packed.read(BLOCK):  # a tar ends before its file does: the checksum comes last
                pass


def _walk(tar: tarfile.TarFile) -> Iterator[tuple[str, IO[bytes]]]:
    for entry in tar:
        content = tar.extractfile(entry) if entry.isreg() and _is_plain(entry.name) else None
        if content is None:
            raise BackupRefused(f"The backup holds {entry.name!r}, which is no file of ours.")
        yield entry.name, content


def _is_plain(name: str) -> bool:
    path = PurePosixPath(name)
    known = path.parts[:1] in (("tables",), ("documents",)) or name == MANIFEST
    # Spelled in the one way that we write it: behind `documents//` stands a path that begins at the root.
    return known and ".." not in path.parts and str(path) == name and "\\" not in name


def checked_manifest(file: Path, passphrase: str) -> dict[str, Any]:
    """Read a backup from end to end and return its manifest.

    Raises BackupRefused where it is not whole: a member missing, added or other than the manifest says.
    """
    found: dict[str, dict[str, Any]] = {}
    manifest: dict[str, Any] | None = None
    try:
        with members(file, passphrase) as entries:
            for name, content in entries:
                if name == MANIFEST:
                    manifest = json.loads(content.read())
                    continue
                sha, length = hashlib.sha256(), 0
                while block := content.read(BLOCK):
                    sha.update(block)
                    length += len(block)
                found[name] = {"bytes": length, "sha256": sha.hexdigest()}
    except _BROKEN as fault:
        raise BackupRefused(f"{file} is no backup, or not whole: {fault}") from fault
    if manifest is None:
        raise BackupRefused(f"{file} ends too early: it was never finished, or was cut off.")
    if not (isinstance(manifest, dict) and isinstance(manifest.get("members"), dict)):
        raise BackupRefused(f"{file} has a manifest that is not ours.")
    if manifest.get("format") != FORMAT:
        raise BackupRefused(f"{file} is of format {manifest.get('format')}; this program reads {FORMAT}.")
    wrong = sorted(
        name for name in found | manifest["members"] if found.get(name) != manifest["members"].get(name)
    )
    if wrong:
        raise BackupRefused(f"{file} is damaged: {', '.join(wrong[:5])} is not what the manifest says.")
    return manifest
