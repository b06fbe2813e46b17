"""Pictures made anew: what is seen stays, all else goes; what is no picture is refused in a sentence."""

from __future__ import annotations

import importlib
import re
import struct
import zlib
from io import BytesIO
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image, ImageFile

from catalog.errors import CatalogRefused
from catalog.pictures import JPEG, LOGO, MOST_PIXELS, PHOTOGRAPH, PNG, Made, Use, made_anew
from tests.catalog.pictures.samples import (
    SECRET,
    drawn,
    jpeg,
    jpeg_of,
    png,
    png_of,
    telling_jpeg,
    telling_png,
)


def opened(made: Made) -> Image.Image:
    return Image.open(BytesIO(made.content))


def refusal(content: bytes, use: Use = PHOTOGRAPH) -> tuple[str, str]:
    with pytest.raises(CatalogRefused) as caught:
        made_anew(content, use)
    (fault,) = caught.value.faults
    return fault.code, fault.message


def at(seen: Image.Image, *place: int) -> Any:
    return seen.getpixel((place[0], place[1]))


def near(one: tuple[int, ...], other: tuple[int, ...]) -> bool:
    return all(abs(a - b) < 25 for a, b in zip(one, other, strict=True))


def test_a_photograph_stays_what_is_seen() -> None:
    made = made_anew(jpeg(), PHOTOGRAPH)
    seen = opened(made)
    assert (made.media_type, seen.format, seen.size) == (JPEG, "JPEG", (made.width_px, made.height_px))
    assert near(at(seen, 25, 30), (200, 20, 20))
    assert near(at(seen, 50, 30), (20, 20, 200))


def test_the_same_file_makes_the_same_bytes() -> None:
    assert made_anew(jpeg(), PHOTOGRAPH) == made_anew(jpeg(), PHOTOGRAPH)
    assert re.fullmatch("[0-9a-f]{64}", made_anew(png(), LOGO).sha256)


@pytest.mark.parametrize("use", [LOGO, PHOTOGRAPH])
@pytest.mark.parametrize("sent", [telling_jpeg(), telling_png()])
def test_nothing_is_told_besides(sent: bytes, use: Use) -> None:
    """EXIF with a position, comments, profiles, XMP and text chunks: searched as bytes and as read again."""
    made = made_anew(sent, use)
    assert SECRET[:12] not in made.content
    for mark in (b"Exif", b"ICC_PROFILE", b"iCCP", b"tEXt", b"zTXt", b"iTXt", b"eXIf", b"http://ns.adobe"):
        assert mark not in made.content, mark
    seen = opened(made)
    assert dict(seen.getexif()) == {}
    assert set(seen.info) <= {
        "jfif",
        "jfif_version",
        "jfif_unit",
        "jfif_density",
        "progressive",
        "progression",
    }


def test_the_sample_does_tell() -> None:
    sent = Image.open(BytesIO(telling_jpeg(6)))
    assert SECRET in sent.info["exif"]
    assert sent.getexif().get_ifd(0x8825)[1] == "N"
    assert SECRET in Image.open(BytesIO(telling_png())).info["exif"]


@pytest.mark.parametrize(
    ("orientation", "corner"),
    [(1, "tl"), (2, "tr"), (3, "br"), (4, "bl"), (5, "tl"), (6, "tr"), (7, "br"), (8, "bl")],
)
def test_turned_upright(orientation: int, corner: str) -> None:
    """CIPA DC-008 (EXIF), tag 0112: where row nought and column nought of the file are seen (from memory)."""
    seen = opened(made_anew(telling_jpeg(orientation), PHOTOGRAPH))
    width, height = (40, 60) if orientation >= 5 else (60, 40)
    assert seen.size == (width, height)
    place = (4 if "l" in corner else width - 5, 4 if "t" in corner else height - 5)
    assert near(at(seen, *place), (20, 200, 20))


@pytest.mark.parametrize(
    "tail", [b"PK\x03\x04 an archive", b"<script>alert(1)</script>", b"%PDF-1.7 a paper"]
)
def test_two_files_in_one_lose_the_second(tail: bytes) -> None:
    for sent in (jpeg(), png(), jpeg(comment=tail)):
        assert tail[:8] not in made_anew(sent + tail, PHOTOGRAPH).content


def test_made_smaller() -> None:
    large = made_anew(jpeg((4000, 3000)), PHOTOGRAPH)
    assert (large.width_px, large.height_px) == (1800, 1350)
    assert (made_anew(png((2400, 600)), LOGO).width_px, made_anew(png(), LOGO).width_px) == (1200, 60)


@pytest.mark.parametrize("mode", ["1", "L", "LA", "P", "RGB", "RGBA", "I;16"])
def test_every_kind_of_png(mode: str) -> None:
    sent = png(mode=mode) if mode != "I;16" else sixteen_bits()
    logo, photograph = made_anew(sent, LOGO), made_anew(sent, PHOTOGRAPH)
    assert (logo.media_type, photograph.media_type) == (PNG, JPEG)
    assert opened(logo).mode in ("L", "RGB", "RGBA")
    assert opened(photograph).mode in ("L", "RGB")


def sixteen_bits() -> bytes:
    written = BytesIO()
    Image.new("I;16", (20, 20), 40000).save(written, "PNG")
    return written.getvalue()


def test_sixteen_bits_keep_their_grey() -> None:
    assert at(opened(made_anew(sixteen_bits(), LOGO)), 3, 3) == 40000 // 256


def test_what_is_transparent() -> None:
    written = BytesIO()
    clear = drawn(mode="RGBA")
    clear.putalpha(0)
    clear.save(written, "PNG")
    assert at(opened(made_anew(written.getvalue(), LOGO)), 50, 30)[3] == 0
    assert at(opened(made_anew(written.getvalue(), PHOTOGRAPH)), 50, 30) == (255, 255, 255)


@pytest.mark.parametrize("mode", ["L", "CMYK"])
def test_grey_and_printers_jpeg(mode: str) -> None:
    assert opened(made_anew(jpeg(mode=mode), PHOTOGRAPH)).mode in ("L", "RGB")


def test_a_phone_s_second_picture_goes() -> None:
    """Phones append a second picture (CIPA DC-007, multi-picture format); the first one is the picture."""
    written = BytesIO()
    second = Image.new("RGB", (60, 40), "white")
    drawn().save(written, "MPO", save_all=True, append_images=[second], quality=95)
    assert Image.open(BytesIO(written.getvalue())).format == "MPO"
    made = made_anew(written.getvalue(), PHOTOGRAPH)
    assert near(at(opened(made), 50, 30), (20, 20, 200))
    assert made.content.count(b"\xff\xd8\xff") == 1


# --- what is refused ---------------------------------------------------------------------------------------
def animated(kind: str) -> bytes:
    written = BytesIO()
    drawn(mode="P").save(written, kind, save_all=True, append_images=[Image.new("P", (60, 40))])
    return written.getvalue()


@pytest.mark.parametrize(
    ("sent", "said"),
    [
        (animated("GIF"), "GIF pictures are not taken"),
        (b"\0\0\0\x18ftypheic\0\0\0\0mif1heic", "This is a HEIC picture"),
        (b"\0\0\0\x18ftypmif1\0\0\0\0mif1heic", "This is a HEIC picture"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'><script/></svg>", "Drawings in SVG"),
        (b"\xef\xbb\xbf \n<?xml version='1.0'?><svg/>", "Drawings in SVG"),
        (b"<!DOCTYPE html><html></html>", "Drawings in SVG"),
        (b"%PDF-1.7", "This is no picture"),
        (b"RIFF\0\0\0\0WEBPVP8 ", "This is no picture"),
        (b"BM" + bytes(60), "This is no picture"),
        (b"GIF89a\xff\xd8\xff", "GIF pictures"),
        (b"", "The file is empty"),
        (b"\xff\xd8", "This is no picture"),
    ],
)
def test_no_picture_of_ours(sent: bytes, said: str) -> None:
    code, message = refusal(sent)
    assert code == "not_a_picture"
    assert message.startswith(said)


@pytest.mark.parametrize("whole", [jpeg((200, 200)), png((200, 200)), telling_jpeg()])
def test_cut_off(whole: bytes) -> None:
    """Also where the library of the papers, which lets such files pass, was there first."""
    importlib.import_module("quoting.documents.printer")
    ImageFile.LOAD_TRUNCATED_IMAGES = True
    for share in (0.1, 0.5, 0.9):
        assert refusal(whole[: int(len(whole) * share)])[0] == "damaged"


def test_a_head_alone() -> None:
    assert refusal(b"\xff\xd8\xff")[0] == "damaged"
    assert refusal(b"\x89PNG\r\n\x1a\n")[0] == "damaged"


@pytest.mark.parametrize(
    "bomb",
    [
        png_of(10_000, 10_000, bytes(10_000 * 10_001)),
        png_of(60_000, 60_000),
        png_of(2**31 - 1, 2**31 - 1),
        jpeg_of(10_000, 10_000),
        jpeg_of(65_000, 65_000),
    ],
)
def test_a_hundred_million_pixels(bomb: bytes) -> None:
    assert len(bomb) < 200_000
    code, message = refusal(bomb)
    most = MOST_PIXELS[PNG if bomb.startswith(b"\x89") else JPEG]
    assert (code, f"{most // 10**6} million" in message) == ("too_many_pixels", True)


def test_nothing_is_decoded_of_a_bomb(monkeypatch: pytest.MonkeyPatch) -> None:
    def decode(*_: object) -> None:
        raise AssertionError("decoded")

    monkeypatch.setattr("PIL.ImageFile.ImageFile.load", decode)
    assert refusal(png_of(10_000, 10_000, bytes(10_000 * 10_001)))[0] == "too_many_pixels"
    assert refusal(jpeg_of(10_000, 10_000))[0] == "too_many_pixels"


def test_words_that_swell() -> None:
    """A compressed text chunk of 100 MB in 100 kB: the decoder's own limit on text refuses it."""
    body = b"Comment\0\0" + zlib.compress(bytes(100_000_000), 9)
    chunk = struct.pack(">I", len(body)) + b"zTXt" + body + struct.pack(">I", zlib.crc32(b"zTXt" + body))
    whole = png()
    assert len(chunk) < 200_000
    assert refusal(whole[:33] + chunk + whole[33:])[0] == "damaged"


def test_too_long() -> None:
    code, message = refusal(jpeg() + bytes(LOGO.most_bytes), LOGO)
    assert (code, message) == ("too_long", "The file is larger than 4 MB. Send a smaller one.")


def test_too_small() -> None:
    assert refusal(png((7, 300)))[0] == "too_small"


@settings(max_examples=150)
@given(st.sampled_from([telling_jpeg(6), telling_png()]), st.data())
def test_spoilt_anywhere(whole: bytes, data: st.DataObject) -> None:
    """Whatever is in the file, a picture comes out or a refusal."""
    spoilt = bytearray(whole)
    for _ in range(data.draw(st.integers(1, 8))):
        spoilt[data.draw(st.integers(3, len(whole) - 1))] = data.draw(st.integers(0, 255))
    try:
        made = made_anew(bytes(spoilt), PHOTOGRAPH)
    except CatalogRefused as refused:
        assert refused.faults[0].path == "picture"
    else:
        assert opened(made).format == "JPEG"
