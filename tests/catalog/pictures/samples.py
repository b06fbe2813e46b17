"""Pictures made for the tests, good and bad, without a file of anybody's."""

from __future__ import annotations

import struct
import zlib
from io import BytesIO
from typing import Any

from PIL import Image
from PIL.ExifTags import GPS, IFD, Base
from PIL.PngImagePlugin import PngInfo

SECRET = b"52 deg 12 min north, serial 77-31-A"


def drawn(size: tuple[int, int] = (60, 40), mode: str = "RGB") -> Image.Image:
    """A picture whose left half is red and right half blue, its top left corner green."""
    picture = Image.new("RGB", size, (200, 20, 20))
    picture.paste((20, 20, 200), (size[0] // 2, 0, size[0], size[1]))
    picture.paste((20, 200, 20), (0, 0, size[0] // 4, size[1] // 4))
    return picture.convert(mode)


def jpeg(size: tuple[int, int] = (60, 40), *, mode: str = "RGB", **options: Any) -> bytes:
    """A JPEG."""
    written = BytesIO()
    drawn(size, mode).save(written, "JPEG", quality=95, subsampling=0, **options)
    return written.getvalue()


def png(size: tuple[int, int] = (60, 40), *, mode: str = "RGB", **options: Any) -> bytes:
    """A PNG."""
    written = BytesIO()
    drawn(size, mode).save(written, "PNG", **options)
    return written.getvalue()


def telling_jpeg(orientation: int = 1) -> bytes:
    """A JPEG with a position, a serial number, a comment, a colour profile and XMP, turned as said."""
    exif = Image.Exif()
    exif[Base.Orientation] = orientation
    exif[Base.Make] = SECRET.decode()
    exif.get_ifd(IFD.GPSInfo).update({GPS.GPSLatitudeRef: "N", GPS.GPSLatitude: (52.0, 12.0, 7.0)})
    exif.get_ifd(IFD.Exif)[Base.BodySerialNumber] = SECRET.decode()
    told: dict[str, Any] = {"comment": SECRET, "icc_profile": SECRET, "xmp": SECRET}
    return jpeg(exif=exif, **told)


def telling_png() -> bytes:
    """A PNG with words in every kind of chunk that takes them, EXIF too."""
    words = PngInfo()
    words.add_text("Author", SECRET.decode())
    words.add_text("Comment", SECRET.decode(), zip=True)
    words.add_itxt("XML:com.adobe.xmp", SECRET.decode())
    exif = Image.Exif()
    exif[Base.Make] = SECRET.decode()
    return png(pnginfo=words, exif=exif, icc_profile=SECRET)


def png_of(width: int, height: int, rows: bytes = b"") -> bytes:
    """A PNG whose head claims a size, whatever its body holds."""
    head = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    chunks = ((b"IHDR", head), (b"IDAT", zlib.compress(rows, 9)), (b"IEND", b""))
    return b"\x89PNG\r\n\x1a\n" + b"".join(
        struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))
        for name, body in chunks
    )


def jpeg_of(width: int, height: int) -> bytes:
    """A JPEG whose head claims a size."""
    whole = jpeg()
    at = whole.index(b"\xff\xc0") + 5
    return whole[:at] + struct.pack(">HH", height, width) + whole[at + 4 :]
