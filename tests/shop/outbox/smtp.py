"""A mail server of the test's own, on this machine: it speaks SMTP (RFC 5321) and does as it is told."""

from __future__ import annotations

import socketserver
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from email import message_from_bytes, policy
from email.message import EmailMessage

YES = {"EHLO": "250 mail.example", "MAIL": "250 ok", "RCPT": "250 ok", "DATA": "354 go on", "QUIT": "221 bye"}
TAKEN = "250 taken"


@dataclass
class Mood:
    """How the server is to answer, and what it has taken."""

    answers: dict[str, str] = field(default_factory=dict)
    silent: bool = False
    """Takes the connection and never says a word."""
    hangs_up_after_data: bool = False
    """Takes the mail and is gone before it says so."""
    mails: list[EmailMessage] = field(default_factory=list)
    receivers: list[str] = field(default_factory=list)


class _Talk(socketserver.StreamRequestHandler):
    server: _Server

    def handle(self) -> None:
        """Talk until the other side leaves."""
        mood = self.server.mood
        if mood.silent:
            self.server.closing.wait(30)
            return
        self._say("220 mail.example")
        while line := self.rfile.readline():
            verb = line.decode("ascii", "replace").strip().upper()[:4]
            answer = mood.answers.get(verb) or YES.get(verb, "500 what")
            if verb == "RCPT":
                mood.receivers.append(line.decode().strip())
            self._say(answer)
            if verb == "QUIT":
                return
            if verb == "DATA" and answer.startswith("354") and not self._took(mood):
                return

    def _took(self, mood: Mood) -> bool:
        lines = []
        while (line := self.rfile.readline()) not in (b".\r\n", b""):
            lines.append(line.removeprefix(b"."))
        answer = mood.answers.get("TAKEN", TAKEN)
        if answer.startswith("2"):
            read = message_from_bytes(b"".join(lines), policy=policy.default)
            mood.mails.append(read)
        if mood.hangs_up_after_data:
            return False
        self._say(answer)
        return True

    def _say(self, line: str) -> None:
        self.wfile.write(line.encode() + b"\r\n")


class _Server(socketserver.ThreadingTCPServer):
    allow_reuse_address = True
    daemon_threads = True

    def __init__(self, mood: Mood) -> None:
        super().__init__(("127.0.0.1", 0), _Talk)
        self.mood, self.closing = mood, threading.Event()


@contextmanager
def mail_server(mood: Mood) -> Iterator[int]:
    """Serve on a port of this machine and yield it."""
    with _Server(mood) as server:
        thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.02})
        thread.start()
        try:
            yield int(server.server_address[1])
        finally:
            server.closing.set()
            server.shutdown()
            thread.join()
