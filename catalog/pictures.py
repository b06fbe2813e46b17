"""Pictures that people send: read by what they are, not by what they are called, and made anew.

Nothing of a sent file is kept but what is seen in it. It is decoded, turned upright, made no larger than its
use wants, and written afresh as JPEG or PNG; so no position, serial number, preview, colour profile, comment,
second picture or appended file comes through.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from io import BytesIO

from PIL import Image, ImageFile, ImageOps

from catalog.errors import CatalogRefused, Fault

JPEG, PNG = "image/jpeg", "image/png"
ENDINGS = {JPEG: "jpg", PNG: "png"}
_READ = {b"\xff\xd8\xff": JPEG, b"\x89PNG\r\n\x1a\n": PNG}
MOST_PIXELS = {JPEG: 50_000_000, PNG: 20_000_000}
"""A JPEG is decoded at a fraction of its size where that will do; a PNG cannot be."""
_QUALITY = 82
_PATH = "picture"
_LEAST_SIDE = 8
_HEIF = (b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1")


@dataclass(frozen=True, slots=True)
class Use:
    """What a picture is for, and so how large it may be sent and is kept."""

    most_bytes: int
    longest_side: int
    keeps_png: bool
    """Else everything becomes a JPEG, what is transparent white."""


LOGO = Use(4 * 1024 * 1024, 1200, keeps_png=True)
PHOTOGRAPH = Use(20 * 1024 * 1024, 1800, keeps_png=False)


@dataclass(frozen=True, slots=True)
class Made:
    """A picture as it is kept."""

    content: bytes
    media_type: str
    width_px: int
    height_px: int

    @property
    def sha256(self) -> str:
        """The hash of its bytes, which is its name."""
        return hashlib.sha256(self.content).hexdigest()


def made_anew(content: bytes, use: Use) -> Made:
    """Return a sent picture as it is kept.

    Raises CatalogRefused for what is no JPEG or PNG, too long, too many pixels, or not whole.
    """
    if len(content) > use.most_bytes:
        said = f"The file is larger than {use.most_bytes // 1024**2} MB. Send a smaller one."
        raise _refused(said, "too_long")
    kind = next((kind for start, kind in _READ.items() if content.startswith(start)), None)
    if kind is None:
        raise _refused(_said_of(content), "not_a_picture")
    seen = _decoded(content, kind, use)
    png = kind == PNG and use.keeps_png
    written = BytesIO()
    if png:
        seen.save(written, "PNG", optimize=True)
    else:
        seen.save(written, "JPEG", quality=_QUALITY, optimize=True, progressive=True)
    return Made(written.getvalue(), PNG if png else JPEG, *seen.size)


def _decoded(content: bytes, kind: str, use: Use) -> Image.Image:
    """The pixels alone, upright and no larger than they are used."""
    side = use.longest_side
    # The library of the papers lets files that are cut off pass, for the whole process. It is shown none.
    ImageFile.LOAD_TRUNCATED_IMAGES = False
    try:
        with Image.open(BytesIO(content), formats=("JPEG", "PNG")) as opened:
            _check_size(*opened.size, MOST_PIXELS[kind])  # nothing is decoded yet
            opened.draft(None, (side, side))  # a JPEG comes at the least eighth that is not below it
            seen = _plain(ImageOps.exif_transpose(opened), keeps_alpha=use.keeps_png)
            seen.thumbnail((side, side))
            return Image.frombytes(seen.mode, seen.size, seen.tobytes())
    except CatalogRefused:
        raise
    except (Image.DecompressionBombError, Image.DecompressionBombWarning) as bomb:
        raise _too_many(MOST_PIXELS[kind]) from bomb
    except Exception as fault:  # decoders fed with anything fail in any way; whatever it is, the file is bad
        raise _refused("The picture is damaged or not whole.", "damaged") from fault


def _check_size(width: int, height: int, most: int) -> None:
    if min(width, height) < _LEAST_SIDE:
        raise _refused(f"The picture is less than {_LEAST_SIDE} pixels wide or high.", "too_small")
    if width * height > most:
        raise _too_many(most)


def _plain(upright: Image.Image, *, keeps_alpha: bool) -> Image.Image:
    """Eight bits a channel, grey or colour; with what is transparent where that is kept, else on white."""
    if upright.mode.startswith("I"):
        upright = upright.point(lambda value: value / 256).convert("L")
    see_through = upright.mode in ("RGBA", "LA", "PA") or "transparency" in upright.info
    found = upright.convert("RGBA" if see_through else "L" if upright.mode in ("1", "L") else "RGB")
    if see_through and not keeps_alpha:
        white = Image.new("RGB", found.size, "white")
        white.paste(found, mask=found.getchannel("A"))
        return white
    return found


def _said_of(content: bytes) -> str:
    """Why a file is refused that starts as neither of the two."""
    start = content[:512].lstrip(b"\xef\xbb\xbf \t\r\n").lower()
    ends = "Send a JPEG or a PNG."
    if content[4:8] == b"ftyp" and content[8:12] in _HEIF:
        return "This is a HEIC picture, as some phones take them. Set the camera to JPEG, or send it as JPEG."
    if start.startswith((b"<svg", b"<?xml", b"<!doctype", b"<!--")):
        return f"Drawings in SVG, and other marked-up text, are not taken: they can carry programs. {ends}"
    if content.startswith((b"GIF87a", b"GIF89a")):
        return f"GIF pictures are not taken. {ends}"
    return "The file is empty." if not content else f"This is no picture that is read here. {ends}"


def _too_many(most: int) -> CatalogRefused:
    said = f"The picture has more than {most // 1_000_000} million pixels. Send a smaller one."
    return _refused(said, "too_many_pixels")


def _refused(message: str, code: str) -> CatalogRefused:
    return CatalogRefused([Fault(_PATH, message, code)])
