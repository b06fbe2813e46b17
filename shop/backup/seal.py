"""A file sealed with a passphrase: read only by those who know it, and refused when a byte of it was changed.

Key: scrypt (RFC 7914), N = 2^17, r = 8, p = 1: 128 MiB for each guess. Body: AES-256-GCM (NIST SP 800-38D) in
chunks of 1 MiB, each with a nonce of 7 random bytes, its number in 4, and 1 byte that marks the last: so that
chunks cannot be changed, swapped, repeated or cut off unnoticed (Hoang, Reyhanitabar, Rogaway, Vizár, "Online
authenticated-encryption and its nonce-reuse misuse-resistance", CRYPTO 2015, construction STREAM).
"""

from __future__ import annotations

import io
import secrets
from typing import BinaryIO

from cryptography.exceptions import InvalidTag
from cryptography.hazmat.primitives.ciphers.aead import AESGCM
from cryptography.hazmat.primitives.kdf.scrypt import Scrypt

from shop.backup.errors import BackupRefused

MAGIC = b"workshop backup, sealed, 1\n"
CHUNK = 1 << 20
TAG = 16
SALT = 16
PREFIX = 7
SHORTEST_PASSPHRASE = 12


def is_sealed(start: bytes) -> bool:
    """Return whether a file that starts with these bytes is sealed."""
    return start.startswith(MAGIC)


def _key(passphrase: str, salt: bytes) -> bytes:
    if len(passphrase) < SHORTEST_PASSPHRASE:
        raise BackupRefused(f"The passphrase needs at least {SHORTEST_PASSPHRASE} characters.")
    return Scrypt(salt=salt, length=32, n=1 << 17, r=8, p=1).derive(passphrase.encode())


def _nonce(prefix: bytes, number: int, *, last: bool) -> bytes:
    return prefix + number.to_bytes(4, "big") + bytes([last])


class SealedWriter(io.RawIOBase):
    """Seals what is written to it into `target`; nothing is whole before `close`."""

    def __init__(self, target: BinaryIO, passphrase: str) -> None:
        super().__init__()
        salt, self._prefix = secrets.token_bytes(SALT), secrets.token_bytes(PREFIX)
        self._head = MAGIC + salt + self._prefix
        self._cipher = AESGCM(_key(passphrase, salt))
        self._target, self._kept, self._number = target, bytearray(), 0
        target.write(self._head)

    def writable(self) -> bool:
        """Yes."""
        return True

    def write(self, data: bytes) -> int:  # type: ignore[override]
        """Take bytes; a chunk goes out as soon as it is sure not to be the last."""
        self._kept += data
        while len(self._kept) > CHUNK:
            self._out(bytes(self._kept[:CHUNK]), last=False)
            del self._kept[:CHUNK]
        return len(data)

    def finish(self) -> None:
        """Write the last chunk."""
        self._out(bytes(self._kept), last=True)
        self._kept.clear()

    def _out(self, plain: bytes, *, last: bool) -> None:
        nonce = _nonce(self._prefix, self._number, last=last)
        self._target.write(self._cipher.encrypt(nonce, plain, self._head))
        self._number += 1


class SealedReader(io.RawIOBase):
    """Reads what was sealed. Raises BackupRefused for a wrong passphrase or a changed or shortened file."""

    def __init__(self, source: BinaryIO, passphrase: str) -> None:
        super().__init__()
        self._head = source.read(len(MAGIC) + SALT + PREFIX)
        salt, self._prefix = self._head[len(MAGIC) : -PREFIX], self._head[-PREFIX:]
        self._cipher = AESGCM(_key(passphrase, salt))
        self._source, self._plain, self._number, self._done = source, b"", 0, False
        self._next = source.read(CHUNK + TAG)

    def readable(self) -> bool:
        """Yes."""
        return True

    def readinto(self, buffer: memoryview) -> int:  # type: ignore[override]
        """Fill a buffer with plain bytes, opening the next chunk where needed."""
        while not self._plain and not self._done:
            self._open_next()
        count = min(len(buffer), len(self._plain))
        buffer[:count], self._plain = self._plain[:count], self._plain[count:]
        return count

    def _open_next(self) -> None:
        chunk, self._next = self._next, self._source.read(CHUNK + TAG)
        self._done = not self._next
        nonce = _nonce(self._prefix, self._number, last=self._done)
        try:
            self._plain = self._cipher.decrypt(nonce, chunk, self._head)
        except InvalidTag:
            raise BackupRefused(
                "The passphrase is another one, or the file was changed or cut off."
            ) from None
        self._number += 1
