"""The renderer fetches the project's own assets and touches nothing else: proven by what Python opens."""

from __future__ import annotations

import socket
import sys
import threading
from collections.abc import Iterator
from http.server import BaseHTTPRequestHandler, HTTPServer
from pathlib import Path

import pytest

from quoting.documents import render
from quoting.errors import DocumentRefused

seen: list[tuple[str, str]] = []
_watching = threading.local()


def _audit(event: str, args: tuple[object, ...]) -> None:
    if getattr(_watching, "on", False) and event in {"open", "socket.connect", "socket.getaddrinfo"}:
        seen.append((event, str(args[:2])))


sys.addaudithook(_audit)


@pytest.fixture
def watched() -> Iterator[list[tuple[str, str]]]:
    """Every file that this thread opens and every address it connects to."""
    seen.clear()
    _watching.on = True
    yield seen
    _watching.on = False


@pytest.fixture
def loopback() -> Iterator[tuple[str, list[str]]]:
    """A server on this machine, and the requests it got."""
    got: list[str] = []

    class Answer(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            got.append(self.path)
            self.send_response(200)
            self.end_headers()

        def log_message(self, *args: object) -> None:
            pass

    server = HTTPServer(("127.0.0.1", 0), Answer)
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    yield f"http://127.0.0.1:{server.server_port}/secret", got
    server.shutdown()
    server.server_close()
    thread.join()


@pytest.fixture
def secret(tmp_path: Path) -> Path:
    file = tmp_path / "secret.svg"
    file.write_text('<svg xmlns="http://www.w3.org/2000/svg"><text>secret</text></svg>')
    return file


def _print(monkeypatch: pytest.MonkeyPatch, body: str, head: str = "") -> bytes:
    page = f"<!doctype html><html lang=en><head><title>t</title>{head}</head><h1>h</h1>{body}</html>"
    monkeypatch.setattr(render, "render_to_string", lambda template, context: page)
    return render.pdf("any", {}, paper="A4")


def test_it_reads_its_own_style_sheet_and_fonts(monkeypatch: pytest.MonkeyPatch) -> None:
    assert _print(monkeypatch, "<p>Ready</p>").startswith(b"%PDF-1.7")


ASKING = {
    "picture": '<img alt="x" src="{url}">',
    "picture in a drawing": '<svg width="9" height="9"><image href="{url}" width="9" height="9"/></svg>',
    "old spelling": '<svg width="9" height="9"><image xlink:href="{url}" width="9" height="9"/></svg>',
    "part of another drawing": '<svg width="9" height="9"><use href="{url}#a"/></svg>',
    "background": '<p style="background: url({url})">x</p>',
    "list mark": '<ul style="list-style-image: url({url})"><li>x</ul>',
    "content": "<style>p::before {{ content: url({url}) }}</style><p>x</p>",
    "import": "<style>@import url({url});</style>",
    "font": "<style>@font-face {{ font-family: F; src: url({url}) }} p {{ font-family: F }}</style><p>x</p>",
    "style sheet": '<link rel="stylesheet" href="{url}">',
    "object": '<object data="{url}" type="image/svg+xml">x</object>',
    "embed": '<embed src="{url}" type="image/svg+xml">',
    "attachment": '<link rel="attachment" href="{url}">',
}


@pytest.mark.parametrize("asking", ASKING.values(), ids=ASKING)
def test_a_file_is_not_opened(
    monkeypatch: pytest.MonkeyPatch, secret: Path, watched: list[tuple[str, str]], asking: str
) -> None:
    try:
        _print(monkeypatch, asking.format(url=secret.as_uri()))
    except DocumentRefused as refusal:
        assert "may not fetch" in str(refusal)
    assert watched, "the watch saw not even our own style sheet"
    assert [what for what in watched if "secret" in what[1]] == []


@pytest.mark.parametrize("asking", ASKING.values(), ids=ASKING)
def test_no_connection_is_made(
    monkeypatch: pytest.MonkeyPatch,
    watched: list[tuple[str, str]],
    loopback: tuple[str, list[str]],
    asking: str,
) -> None:
    url, got = loopback
    try:
        _print(monkeypatch, asking.format(url=url))
    except DocumentRefused as refusal:
        assert "may not fetch" in str(refusal)
    assert [what for what in watched if what[0].startswith("socket")] == []
    assert got == []


@pytest.mark.parametrize("asking", [ASKING["picture"], ASKING["old spelling"], ASKING["import"]])
def test_what_asks_is_refused_not_left_out(
    monkeypatch: pytest.MonkeyPatch, secret: Path, asking: str
) -> None:
    with pytest.raises(DocumentRefused, match="may not fetch"):
        _print(monkeypatch, asking.format(url=secret.as_uri()))


def test_data_addresses_are_refused_too(monkeypatch: pytest.MonkeyPatch) -> None:
    with pytest.raises(DocumentRefused, match="data:"):
        _print(monkeypatch, ASKING["picture"].format(url="data:image/svg+xml,<svg/>"))


@pytest.mark.parametrize(
    "name", ["asset:../render.py", "asset:/etc/hostname", "asset:..%2Frender.py", "asset:none.css"]
)
def test_assets_are_files_of_two_folders(monkeypatch: pytest.MonkeyPatch, name: str) -> None:
    with pytest.raises(DocumentRefused):
        _print(monkeypatch, "", head=f'<link rel="stylesheet" href="{name}">')


def test_the_watch_works(
    watched: list[tuple[str, str]], loopback: tuple[str, list[str]], secret: Path
) -> None:
    """The control: opening the file and connecting are seen."""
    secret.read_text()
    port = int(loopback[0].rsplit(":", 1)[1].split("/")[0])
    with socket.create_connection(("127.0.0.1", port)):
        pass
    assert any("secret" in what for event, what in watched if event == "open")
    assert any(event == "socket.connect" for event, _ in watched)
