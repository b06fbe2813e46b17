"""HTML to tagged PDF, with the network and the file system shut out.

The only module that imports WeasyPrint. The renderer may fetch nothing but the project's own assets, by
names such as `asset:print.css`, and the shop's logo, whose bytes it is given, as `picture:logo`: every other
address stops the document.
"""

from __future__ import annotations

from email.message import Message
from functools import cache
from io import BytesIO
from pathlib import Path
from urllib.parse import urlsplit

from fontTools.ttLib import woff2  # what WeasyPrint itself unwraps with
from weasyprint import CSS, HTML
from weasyprint.text.fonts import FontConfiguration
from weasyprint.urls import FatalURLFetchingError, URLFetcher, URLFetcherResponse

from catalog.selectors import Logo
from quoting.errors import DocumentRefused

ASSETS = Path(__file__).resolve().parent / "assets"
FONTS = Path(__file__).resolve().parent.parent / "static" / "quoting" / "fonts"
LOGO = "picture:logo"
_TYPES = {".css": "text/css", ".woff2": "font/ttf", ".svg": "image/svg+xml", ".png": "image/png"}


class OwnAssets(URLFetcher):  # type: ignore[misc]
    """Serves `asset:NAME` from the two asset folders, `picture:logo`; all else is refused, nothing opened."""

    def __init__(self, logo: Logo | None = None) -> None:
        super().__init__()
        self.logo = logo
        self.refused: list[str] = []
        """Addresses asked for in vain: the library leaves a picture inside a drawing out without a word."""

    def fetch(self, url: str, headers: dict[str, str] | None = None) -> URLFetcherResponse:
        """Bytes of one asset. Raises FatalURLFetchingError for every other address."""
        if url == LOGO and self.logo is not None:
            return _answer(url, self.logo.media_type, self.logo.content)
        parts = urlsplit(url)
        name = parts.path.lstrip("/")
        for folder in (ASSETS, FONTS):
            file = folder / name
            if (
                parts.scheme == "asset"
                and Path(name).name == name
                and file.suffix in _TYPES
                and file.is_file()
            ):
                return _answer(url, _TYPES[file.suffix], _content(file))
        self.refused.append(url[:200])
        raise FatalURLFetchingError(f"a document may not fetch {url[:200]!r}")


def _content(file: Path) -> bytes:
    return _unpacked(file) if file.suffix == ".woff2" else file.read_bytes()


@cache
def _unpacked(file: Path) -> bytes:
    """A typeface out of its wrapping: the library would unwrap it for every paper, in a third of the time."""
    plain = BytesIO()
    woff2.decompress(BytesIO(file.read_bytes()), plain)
    return plain.getvalue()


def _answer(url: str, media_type: str, content: bytes) -> URLFetcherResponse:
    kept = Message()
    kept["Content-Type"] = media_type
    return URLFetcherResponse(url, BytesIO(content), kept)


def printed(words: str, paper: str, logo: Logo | None) -> bytes:
    """The PDF of a page of HTML; raises DocumentRefused as `pdf` does."""
    fetcher = OwnAssets(logo)
    fonts = FontConfiguration()
    page = f"@page {{ size: {'letter' if paper == 'Letter' else 'A4'} }}"
    try:
        sheets = [
            CSS(string=page, url_fetcher=fetcher, font_config=fonts, base_url="asset:"),
            CSS(
                filename=str(ASSETS / "print.css"), url_fetcher=fetcher, font_config=fonts, base_url="asset:"
            ),
        ]
        html = HTML(string=words, base_url="asset:", url_fetcher=fetcher)
        written = html.write_pdf(stylesheets=sheets, font_config=fonts, pdf_variant="pdf/ua-1")
    except FatalURLFetchingError as refusal:
        raise DocumentRefused(str(refusal)) from refusal
    if fetcher.refused:
        raise DocumentRefused(f"a document may not fetch {fetcher.refused[0]!r}")
    return bytes(written)
