"""Is this a picture we may keep? Whole, one, small enough, and with nothing in it but the picture.

The phone has already shrunk and re-encoded it; whatever still carries a place, a serial number or a second
picture did not come that way, and is refused rather than changed.
"""

from __future__ import annotations

import io
import re
import warnings
import zlib
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from PIL import ExifTags, Image

from temperward.errors import CarriesMetadata, NotAPicture, TooBig
from temperward.services.png_data import holds_exactly, needed_bytes

LONGEST_SIDE_PX = 2048  # what the phone shrinks to
SMALL_SIDE_PX = 320
SMALL_QUALITY = 70
MEDIA_TYPES = {"JPEG": "image/jpeg", "PNG": "image/png", "WEBP": "image/webp"}
# What an encoder writes about the grid of pixels itself (Exif 2.32, tables 4 to 8).
HARMLESS_EXIF: Final = frozenset(
    {
        ExifTags.Base.Orientation,
        ExifTags.Base.XResolution,
        ExifTags.Base.YResolution,
        ExifTags.Base.ResolutionUnit,
        ExifTags.Base.YCbCrPositioning,
        ExifTags.Base.ExifOffset,
        ExifTags.Base.ExifVersion,
        ExifTags.Base.ComponentsConfiguration,
        ExifTags.Base.FlashPixVersion,
        ExifTags.Base.ColorSpace,
        ExifTags.Base.ExifImageWidth,
        ExifTags.Base.ExifImageHeight,
    }
)
# What stands in row 0 and column 0 of the pixels (Exif 2.32, tag 0x0112): what to do so that top and left do.
# The small copy carries no such tag of its own, so that nothing could turn it later.
UPRIGHT: Final = {
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_270,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_90,
}
JPEG_START, JPEG_END = b"\xff\xd8", b"\xff\xd9"
MARKER = 0xFF
SCAN = 0xDA
# In a scan: stuffed zeros, restart marks and fill bytes belong to the picture (ITU-T T.81, B.1.1).
REAL_MARKER = re.compile(rb"\xff[^\x00\xd0-\xd7\xff]")
JPEG_EXTRAS = frozenset({*range(0xE0, 0xF0), 0xFE})  # application segments and comments
PNG_HEAD_BYTES = 13
PNG_PLAIN_CHUNKS = frozenset(
    {
        b"IHDR",
        b"PLTE",
        b"IDAT",
        b"IEND",
        b"tRNS",
        b"cHRM",
        b"gAMA",
        b"iCCP",
        b"sBIT",
        b"sRGB",
        b"pHYs",
        b"bKGD",
    }
)
WEBP_PLAIN_CHUNKS = frozenset({b"VP8 ", b"VP8L", b"VP8X", b"ALPH", b"ICCP"})


EXIF_CHUNKS = frozenset({b"eXIf", b"EXIF"})
# What the reader only warns of, such as an Exif that breaks off, may hide something. Said once, when loading:
# the list of filters is one for all threads, and one that each picture set and set back would stay set.
warnings.filterwarnings("error", module=r"PIL\.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """What was found."""

    media_type: str
    width_px: int
    height_px: int


def check_picture(content: bytes) -> Picture:
    """Refuse what else a picture carries, and decode it whole, if only to the fewest pixels there are."""
    image, (width_px, height_px) = _decoded(content, side_px=1)
    return Picture(media_type=MEDIA_TYPES[image.format or ""], width_px=width_px, height_px=height_px)


def small_copy(content: bytes) -> bytes:
    """Return the small copy of a picture: a JPEG without a tag, upright."""
    image, _size = _decoded(content, side_px=SMALL_SIDE_PX)
    return _shrunk(image)


def _decoded(content: bytes, *, side_px: int) -> tuple[Image.Image, tuple[int, int]]:
    """Return a picture with at least so many pixels along its longer side, and the size that it has."""
    _check_alone(content)
    try:
        image = Image.open(io.BytesIO(content), formats=tuple(MEDIA_TYPES))
        _check_size(image)
        size = image.size
        _load(image, side_px=side_px)
        _check_exif(image)
    except (Image.DecompressionBombError, Image.DecompressionBombWarning) as error:
        raise TooBig("picture_too_large", high=LONGEST_SIDE_PX, unit="px") from error
    except (OSError, SyntaxError, ValueError, EOFError, Warning) as error:
        raise NotAPicture(reason=type(error).__name__) from error
    return image, size


def _load(image: Image.Image, *, side_px: int) -> None:
    """Read the whole picture; of a JPEG's blocks only as many pixels as are wanted.

    Every code of the file is read all the same, so that a picture that breaks off is noticed.
    """
    width, height = image.size
    share = max(image.size) / side_px
    image.draft(None, (max(1, int(width / share)), max(1, int(height / share))))
    image.load()


def is_whole_jpeg(content: bytes) -> bool:
    """Tell a JPEG that has its beginning and its end."""
    return content.startswith(JPEG_START) and content.endswith(JPEG_END)


def _check_size(image: Image.Image) -> None:
    if max(image.size) > LONGEST_SIDE_PX:
        raise TooBig("picture_too_large", value=max(image.size), high=LONGEST_SIDE_PX, unit="px")


def _check_alone(content: bytes) -> None:
    """Walk the file's own parts before any decoder sees them."""
    if content[:2] == JPEG_START:
        _walk_jpeg(content)
    elif content[:8] == b"\x89PNG\r\n\x1a\n":
        _walk_png(content)
    elif content[:4] == b"RIFF" and content[8:12] == b"WEBP":
        _walk_webp(content)
    else:
        raise NotAPicture


def _check_end(at: int, content: bytes) -> None:
    if at > len(content):
        raise NotAPicture("truncated")
    if at < len(content):
        raise CarriesMetadata(found="bytes after the picture")


def _walk_jpeg(content: bytes) -> None:
    """Go from marker to marker (ITU-T T.81, annex B) and refuse a stranger among them or after the end."""
    at = 2
    while content[at : at + 2] != JPEG_END:
        if at + 4 > len(content) or content[at] != MARKER:
            raise NotAPicture("truncated")
        marker = content[at + 1]
        length = int.from_bytes(content[at + 2 : at + 4], "big")
        _check_jpeg_segment(marker, content[at + 4 : at + 2 + length])
        at += 2 + length
        if marker == SCAN:
            at = _after_scan(content, at)
    _check_end(at + 2, content)


def _check_jpeg_segment(marker: int, body: bytes) -> None:
    if marker not in JPEG_EXTRAS:
        return
    if not JPEG_PLAIN.get(marker, _never)(body):
        raise CarriesMetadata(found=f"segment {marker:02x}")


def _never(body: bytes) -> bool:
    del body
    return False


def _is_bare_jfif(body: bytes) -> bool:
    """Tell a JFIF header without a thumbnail (ITU-T T.871, section 10.1)."""
    return body[:4] == b"JFIF" and body[12:14] == b"\x00\x00"


# Header, Exif (read tag by tag later), colour profile, and the mark of one encoder.
JPEG_PLAIN: Final[dict[int, Callable[[bytes], bool]]] = {
    0xE0: _is_bare_jfif,
    0xE1: lambda body: body[:6] == b"Exif\x00\x00",
    0xE2: lambda body: body[:12] == b"ICC_PROFILE\x00",
    0xEE: lambda body: body[:5] == b"Adobe",
}


def _after_scan(content: bytes, at: int) -> int:
    """Return where the next real marker stands."""
    found = REAL_MARKER.search(content, at)
    if found is None:
        raise NotAPicture("truncated")
    return found.start()


def _check_chunk(name: bytes, *, plain: frozenset[bytes]) -> None:
    """Refuse a chunk that is no part of the picture; Exif is read tag by tag later."""
    if name not in plain and name not in EXIF_CHUNKS:
        raise CarriesMetadata(found=name.decode("ascii", "replace"))


def _walk_png(content: bytes) -> None:
    """Go from chunk to chunk: length, name, content, check sum (W3C PNG, section 5.3)."""
    at, name = 8, b""
    parts: dict[bytes, list[bytes]] = {b"IHDR": [], b"IDAT": []}
    while at < len(content) and name != b"IEND":
        name, length = content[at + 4 : at + 8], int.from_bytes(content[at : at + 4], "big")
        _check_chunk(name, plain=PNG_PLAIN_CHUNKS)
        if name in parts:
            parts[name].append(content[at + 8 : at + 8 + length])
        at += 12 + length
    _check_end(at, content)
    _check_png_data(parts[b"IHDR"], b"".join(parts[b"IDAT"]))


def _check_png_data(heads: list[bytes], packed: bytes) -> None:
    """Refuse what is packed behind the last row; sizes over ours are refused by their own name later."""
    if len(heads) != 1 or len(heads[0]) != PNG_HEAD_BYTES:
        raise NotAPicture("truncated")
    width, height = int.from_bytes(heads[0][0:4], "big"), int.from_bytes(heads[0][4:8], "big")
    if max(width, height) > LONGEST_SIDE_PX:
        return
    try:
        whole = holds_exactly(packed, needed=needed_bytes(heads[0]))
    except zlib.error as error:
        raise NotAPicture(reason="bad_data") from error
    if not whole:
        raise NotAPicture("other_length")


def _walk_webp(content: bytes) -> None:
    """Go from chunk to chunk: name, length, content, padded to an even length (RFC 9649, section 2.3)."""
    _check_end(int.from_bytes(content[4:8], "little") + 8, content)
    at = 12
    while at < len(content):
        _check_chunk(content[at : at + 4], plain=WEBP_PLAIN_CHUNKS)
        length = int.from_bytes(content[at + 4 : at + 8], "little")
        at += 8 + length + length % 2


def _check_exif(image: Image.Image) -> None:
    exif = image.getexif()
    tags = set(exif) | set(exif.get_ifd(ExifTags.IFD.Exif))
    strange = sorted(tags - HARMLESS_EXIF)
    if strange or exif.get_ifd(ExifTags.IFD.IFD1):
        raise CarriesMetadata(found=[f"{tag:04x}" for tag in strange] or "thumbnail")


def _shrunk(image: Image.Image) -> bytes:
    """Average whole blocks of pixels first: half the time of resampling every one of them."""
    plain = image if image.mode == "RGB" else image.convert("RGB")
    blocks = max(plain.size) // SMALL_SIDE_PX
    small = plain.reduce(blocks) if blocks > 1 else plain
    small.thumbnail((SMALL_SIDE_PX, SMALL_SIDE_PX), Image.Resampling.BILINEAR)
    turn = UPRIGHT.get(image.getexif().get(ExifTags.Base.Orientation, 1))
    if turn is not None:
        small = small.transpose(turn)
    out = io.BytesIO()
    small.save(out, "JPEG", quality=SMALL_QUALITY)
    return out.getvalue()
