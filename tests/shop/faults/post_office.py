"""A mail server in a process of its own, which writes down the Message-ID of each mail it has taken."""

from __future__ import annotations

import os
import signal
import socketserver
import tempfile
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from email import message_from_bytes
from pathlib import Path

YES = {b"EHLO": b"250 mail.example", b"DATA": b"354 go on", b"QUIT": b"221 bye"}


@dataclass(frozen=True)
class Office:
    """Where it listens, and its book."""

    port: int
    book: Path

    def taken(self) -> Counter[str]:
        """How often each mail was taken."""
        return Counter(self.book.read_text(encoding="ascii").split())


@contextmanager
def post_office() -> Iterator[Office]:
    """Serve until the block ends."""
    with tempfile.TemporaryDirectory() as folder:
        book = Path(folder) / "book"
        book.touch()

        class Talk(socketserver.StreamRequestHandler):
            def handle(self) -> None:
                self.wfile.write(b"220 mail.example\r\n")
                while line := self.rfile.readline():
                    verb = line[:4].upper()
                    self.wfile.write(YES.get(verb, b"250 ok") + b"\r\n")
                    if verb == b"DATA" and not self._took():
                        return

            def _took(self) -> bool:
                lines = []
                while (line := self.rfile.readline()) not in (b".\r\n", b""):
                    lines.append(line)
                if line:  # all of it came
                    mail = message_from_bytes(b"".join(lines))
                    with book.open("a", encoding="ascii") as out:
                        out.write(f"{mail['Message-ID']}\n")
                    self.wfile.write(b"250 taken\r\n")
                return bool(line)

        with socketserver.TCPServer(("127.0.0.1", 0), Talk) as server:
            server.handle_error = lambda *_: None  # type: ignore[method-assign]  # its clients get killed
            child = os.fork()
            if child == 0:
                server.serve_forever()
            try:
                yield Office(server.server_address[1], book)
            finally:
                os.kill(child, signal.SIGTERM)
                os.waitpid(child, 0)
