"""Photos come in whole or not at all, and nothing but the picture comes with them."""

from __future__ import annotations

import hashlib
import io
import struct
import warnings
import zipfile
import zlib
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from common.logs import entry
from common.phones import PART, Shop
from common.pictures import encoded, jpeg, noise
from flask import Flask
from PIL import ExifTags, Image, ImageColor, ImageOps, PngImagePlugin

from temperward.errors import StoreFull
from temperward.services.backup import make_backup
from temperward.services.photo_check import check_picture
from temperward.services.photos import PHOTO_BYTES
from temperward.services.transfer import export_shop
from temperward.settings import Settings
from temperward.storage.photo_store import FolderStore
from temperward.storage.session import db


def name_of(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()


def refusal(shop: Shop, content: bytes) -> tuple[int, str]:
    answer = shop.smith.put_photo(content)
    return answer.status_code, answer.json["message"]


def kept_files(settings: Settings) -> list[str]:
    folder = settings.data_dir / "photos"
    return sorted(str(one.relative_to(folder)) for one in folder.glob("**/*") if one.is_file())


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_a_picture_comes_back_to_the_last_byte(shop: Shop, kind: str) -> None:
    content = encoded(noise(), kind)
    assert shop.smith.put_photo(content).status_code == 201
    answer = shop.viewer.client.get(f"/api/photos/{name_of(content)}")
    assert answer.data == content
    assert answer.headers["Content-Type"] == f"image/{kind.lower()}"


def test_a_long_picture_comes_in_parts_and_goes_on_where_it_was_cut(shop: Shop) -> None:
    content = jpeg(1400, 1000, quality=95)
    sha256, total = name_of(content), len(content)
    assert total > 2 * PART
    client = shop.smith.client
    assert client.head(f"/api/photos/{sha256}").status_code == 404
    first = shop.smith.put_part(sha256, content[:PART], offset=0, total=total)
    assert (first.status_code, first.json["complete"]) == (200, False)
    half_way = client.head(f"/api/photos/{sha256}")
    assert (half_way.headers["Upload-Offset"], half_way.headers["Upload-Complete"]) == (str(PART), "?0")
    assert client.get(f"/api/photos/{sha256}").status_code == 404
    for offset in range(PART, total, PART):
        last = shop.smith.put_part(sha256, content[offset : offset + PART], offset=offset, total=total)
    assert (last.status_code, last.headers["Upload-Complete"]) == (201, "?1")
    assert client.get(f"/api/photos/{sha256}").data == content


def test_a_part_out_of_place_is_told_where_to_go_on(shop: Shop) -> None:
    content = jpeg(1400, 1000, quality=95)
    sha256, total = name_of(content), len(content)
    shop.smith.put_part(sha256, content[:PART], offset=0, total=total)
    for offset in (0, 2 * PART):
        answer = shop.smith.put_part(sha256, content[offset : offset + PART], offset=offset, total=total)
        assert (answer.status_code, answer.json["message"]) == (409, "wrong_offset")
        assert answer.headers["Upload-Offset"] == str(PART)


def test_a_picture_that_is_there_is_not_taken_twice(shop: Shop) -> None:
    content = jpeg()
    shop.smith.put_photo(content)
    again = shop.owner.put_photo(content)
    assert (again.status_code, again.json["complete"]) == (201, True)


def test_another_phone_goes_on_with_a_picture_that_one_began(shop: Shop) -> None:
    content = jpeg(900, 800, quality=95)
    sha256, total = name_of(content), len(content)
    shop.smith.put_part(sha256, content[:PART], offset=0, total=total)
    for offset in range(PART, total, PART):
        answer = shop.owner.put_part(sha256, content[offset : offset + PART], offset=offset, total=total)
    assert answer.status_code == 201


def test_the_small_copy_is_small(shop: Shop) -> None:
    content = jpeg(2048, 1536, quality=60)
    assert shop.smith.put_photo(content).status_code == 201
    answer = shop.viewer.client.get(f"/api/photos/{name_of(content)}?small=1")
    small = Image.open(io.BytesIO(answer.data))
    assert small.size == (320, 240)
    assert len(small.getexif()) == 0


@pytest.mark.parametrize("torn", [b"", b"\xff\xd8 and no more"])
def test_a_small_copy_that_a_power_cut_has_torn_is_made_again(
    shop: Shop, settings: Settings, torn: bytes
) -> None:
    content = jpeg(900, 800)
    shop.smith.put_photo(content)
    path = f"/api/photos/{name_of(content)}?small=1"
    whole = shop.viewer.client.get(path).data
    [small] = (settings.data_dir / "photos").glob("*/*.small")
    assert small.read_bytes() == whole
    small.write_bytes(torn)
    assert shop.viewer.client.get(path).data == whole
    assert small.read_bytes() == whole


def test_a_small_copy_asked_for_while_its_photo_is_erased_does_not_outlive_it(
    app: Flask, shop: Shop, settings: Settings, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The server has found the photo, has made the small copy, and is about to keep it."""
    content = jpeg()
    shop.smith.put_photo(content)
    store = app.config["PHOTO_STORE"]
    put = store.put

    def erased_just_before(name: str, some: bytes, **how: bool) -> None:
        monkeypatch.setattr(store, "put", put)
        wish = {"what": "photo", "id": name_of(content)}
        assert shop.owner.client.post("/api/erase", json=wish).status_code == 200
        put(name, some, **how)

    monkeypatch.setattr(store, "put", erased_just_before)
    assert shop.viewer.client.get(f"/api/photos/{name_of(content)}?small=1").status_code == 404
    assert kept_files(settings) == []


def test_a_small_copy_is_given_also_where_the_disk_has_no_room_to_keep_it(
    app: Flask, shop: Shop, settings: Settings, monkeypatch: pytest.MonkeyPatch
) -> None:
    def no_room(_name: str, _content: bytes, **_how: bool) -> None:
        raise StoreFull

    content = jpeg()
    shop.smith.put_photo(content)
    monkeypatch.setattr(app.config["PHOTO_STORE"], "put", no_room)
    answer = shop.viewer.client.get(f"/api/photos/{name_of(content)}?small=1")
    assert (answer.status_code, Image.open(io.BytesIO(answer.data)).format) == (200, "JPEG")
    assert [one for one in kept_files(settings) if one.endswith(".small")] == []


@pytest.mark.parametrize("mode", ["1", "L", "LA", "P", "RGBA", "I;16"])
def test_a_picture_of_every_kind_of_pixel_has_a_small_copy(shop: Shop, mode: str) -> None:
    content = encoded(Image.new(mode, (640, 480)), "PNG")
    assert shop.smith.put_photo(content).status_code == 201
    small = shop.viewer.client.get(f"/api/photos/{name_of(content)}?small=1")
    assert Image.open(io.BytesIO(small.data)).size == (320, 240)


def test_pictures_checked_at_once_leave_the_warnings_of_the_process_as_they_were() -> None:
    """The filters are one list for all threads: two that set them for a while leave those of the other."""
    before = list(warnings.filters)
    content = jpeg(1600, 1200)
    with ThreadPoolExecutor(8) as pool:
        list(pool.map(check_picture, [content] * 64))
    assert list(warnings.filters) == before


def test_a_part_torn_by_a_power_cut_is_asked_for_again(shop: Shop, settings: Settings) -> None:
    content = jpeg(1400, 1000, quality=95)
    sha256, total = name_of(content), len(content)
    for offset in range(0, total - PART, PART):
        shop.smith.put_part(sha256, content[offset : offset + PART], offset=offset, total=total)
    [first] = (settings.data_dir / "photos").glob("*/*.parts/0000000000-*")
    first.write_bytes(b"\0" * PART)
    last = total - total % PART
    answer = shop.smith.put_part(sha256, content[last:], offset=last, total=total)
    assert (answer.status_code, answer.headers["Upload-Offset"]) == (409, "0")
    offset = 0
    while offset < total:
        answer = shop.smith.put_part(sha256, content[offset : offset + PART], offset=offset, total=total)
        assert answer.status_code in (200, 201)
        offset = int(shop.smith.client.head(f"/api/photos/{sha256}").headers["Upload-Offset"])
    assert shop.viewer.client.get(f"/api/photos/{sha256}").data == content


def test_a_picture_is_asked_for_again_each_time_but_not_sent_again(shop: Shop) -> None:
    content = jpeg()
    shop.smith.put_photo(content)
    first = shop.smith.client.get(f"/api/photos/{name_of(content)}")
    assert first.headers["Cache-Control"] == "private, no-cache"
    second = shop.smith.client.get(
        f"/api/photos/{name_of(content)}", headers={"If-None-Match": first.headers["ETag"]}
    )
    assert (second.status_code, second.data) == (304, b"")


def exif_with(tag: int, value: object, *, ifd: int | None = None) -> Image.Exif:
    exif = Image.Exif()
    exif[ExifTags.Base.Orientation] = 1  # an empty one would not be written at all
    (exif.get_ifd(ifd) if ifd else exif)[tag] = value
    return exif


def png_with_text() -> bytes:
    text = PngImagePlugin.PngInfo()
    text.add_text("Author", "MO")
    return encoded(noise(), "PNG", pnginfo=text)


def with_segment(marker: int, body: bytes) -> bytes:
    content = jpeg()
    return content[:2] + bytes([0xFF, marker]) + struct.pack(">H", len(body) + 2) + body + content[2:]


CARRIERS = {
    "a place": jpeg(exif=exif_with(ExifTags.GPS.GPSLatitude, (53.0, 20.0, 0.0), ifd=ExifTags.IFD.GPSInfo)),
    "a camera's maker": jpeg(exif=exif_with(ExifTags.Base.Make, "Camera")),
    "a camera's number": jpeg(exif=exif_with(ExifTags.Base.BodySerialNumber, "A1", ifd=ExifTags.IFD.Exif)),
    "a time": jpeg(
        exif=exif_with(ExifTags.Base.DateTimeOriginal, "2026:10:24 22:10:00", ifd=ExifTags.IFD.Exif)
    ),
    "a maker's own notes": jpeg(exif=exif_with(ExifTags.Base.MakerNote, b"secret", ifd=ExifTags.IFD.Exif)),
    "a comment": jpeg(comment=b"made by MO"),
    "an XMP packet": jpeg(xmp=b"<x:xmpmeta xmlns:x='adobe:ns:meta/'/>"),
    "a WebP's place": encoded(
        noise(), "WEBP", exif=exif_with(ExifTags.GPS.GPSLatitude, (53.0, 20.0, 0.0), ifd=ExifTags.IFD.GPSInfo)
    ),
    "a WebP's XMP": encoded(noise(), "WEBP", xmp=b"<x:xmpmeta/>"),
    "a PNG's text": png_with_text(),
    "a PNG's place": encoded(
        noise(), "PNG", exif=exif_with(ExifTags.GPS.GPSLatitude, (53.0, 20.0, 0.0), ifd=ExifTags.IFD.GPSInfo)
    ),
    "press notes": with_segment(0xED, b"Photoshop 3.0\x00"),
    "a second picture": with_segment(0xE2, b"MPF\x00" + b"\x00" * 20),
    "a thumbnail in the header": with_segment(0xE0, b"JFXX\x00\x10" + jpeg(16, 16)),
    "an archive behind it": jpeg() + b"PK\x03\x04 polyglot",
    "a page behind a PNG": encoded(noise(), "PNG") + b"<script>",
    "bytes behind a WebP": encoded(noise(), "WEBP") + b"tail",
}


@pytest.mark.parametrize("what", sorted(CARRIERS))
def test_a_picture_that_carries_more_than_itself_is_refused_and_leaves_nothing(
    shop: Shop, settings: Settings, what: str
) -> None:
    assert refusal(shop, CARRIERS[what]) == (422, "carries_metadata")
    assert kept_files(settings) == []


def test_neither_a_backup_nor_an_exported_file_holds_more_than_the_pictures_that_were_taken(
    app: Flask, shop: Shop, tmp_path: Path
) -> None:
    plain = jpeg()
    for content in (plain, *CARRIERS.values()):
        shop.smith.put_photo(content)
        shop.smith.client.get(f"/api/photos/{name_of(content)}?small=1")
    store = app.config["PHOTO_STORE"]
    with app.app_context():
        make_backup(db.engine, store=store, to=tmp_path / "copy", now_ms=1)
        export_shop(db.session(), store=store, shop_id=shop.shop_id, to=tmp_path / "shop.zip")
    copied = [one.read_bytes() for one in (tmp_path / "copy" / "photos").glob("*/*")]
    with zipfile.ZipFile(tmp_path / "shop.zip") as file:
        exported = [file.read(name) for name in file.namelist() if name.startswith("photos/")]
    assert exported == [plain]
    assert len(copied) == 2  # with its small copy
    for content in (*copied, *exported):
        assert dict(Image.open(io.BytesIO(content)).getexif()) == {}
        assert check_picture(content)


def test_a_thumbnail_in_the_exif_is_refused(shop: Shop) -> None:
    small = jpeg(32, 32)
    # One IFD with nothing but orientation, then IFD1 with an embedded JPEG (Exif 2.32, 4.5.5).
    first = struct.pack("<H", 1) + struct.pack("<HHIHH", 0x0112, 3, 1, 1, 0)
    second_at = 8 + len(first) + 4
    second = struct.pack("<H", 2) + struct.pack("<HHII", 0x0201, 4, 1, second_at + 2 + 24 + 4)
    second += struct.pack("<HHII", 0x0202, 4, 1, len(small)) + struct.pack("<I", 0)
    tiff = b"II*\x00" + struct.pack("<I", 8) + first + struct.pack("<I", second_at) + second + small
    assert refusal(shop, with_segment(0xE1, b"Exif\x00\x00" + tiff)) == (422, "carries_metadata")


@pytest.mark.parametrize("orientation", range(1, 9))
def test_an_orientation_and_a_colour_profile_are_no_secrets(shop: Shop, orientation: int) -> None:
    from PIL import ImageCms  # noqa: PLC0415

    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    exif = exif_with(ExifTags.Base.Orientation, orientation)
    assert shop.smith.put_photo(jpeg(exif=exif, icc_profile=profile)).status_code == 201


CORNERS = {"top left": "red", "top right": "lime", "bottom left": "blue", "bottom right": "white"}
WIDE, HIGH = 96, 64


def visual_place(orientation: int, row: int, column: int) -> tuple[int, int]:
    """Return where a stored pixel belongs, as (x, y): the table of Exif 2.32, tag 0x0112."""
    right, bottom = WIDE - 1, HIGH - 1
    places = {
        1: (column, row),  # row 0 is the top, column 0 the left
        2: (right - column, row),
        3: (right - column, bottom - row),
        4: (column, bottom - row),
        5: (row, column),  # row 0 is the left, column 0 the top
        6: (right - row, column),
        7: (right - row, bottom - column),
        8: (row, bottom - column),
    }
    return places[orientation]


def corner_at(x: int, y: int) -> str:
    return f"{'top' if y < HIGH // 2 else 'bottom'} {'left' if x < WIDE // 2 else 'right'}"


def turned(orientation: int) -> tuple[Image.Image, Image.Exif]:
    """Return pixels stored as a camera held that way stores them, with the tag that says so."""
    size = (WIDE, HIGH) if orientation < 5 else (HIGH, WIDE)
    stored = Image.new("RGB", size)
    for row in range(size[1]):
        for column in range(size[0]):
            x, y = visual_place(orientation, row, column)
            stored.putpixel((column, row), ImageColor.getrgb(CORNERS[corner_at(x, y)])[:3])
    return stored, exif_with(ExifTags.Base.Orientation, orientation)


def seen_corners(picture: Image.Image) -> dict[str, str]:
    """Return the colour in the middle of each quarter, by the name of the nearest."""
    width, height = picture.size
    seen = {}
    for corner in CORNERS:
        at = (width // 4 * (3 if "right" in corner else 1), height // 4 * (3 if "bottom" in corner else 1))
        found = picture.convert("RGB").getpixel(at)
        assert isinstance(found, tuple)
        apart = {
            name: sum(abs(one - other) for one, other in zip(found, ImageColor.getrgb(name), strict=True))
            for name in CORNERS.values()
        }
        seen[corner] = min(apart, key=lambda name: apart[name])
    return seen


@pytest.mark.parametrize("orientation", range(1, 9))
@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_a_picture_is_upright_once_however_the_camera_was_held(
    shop: Shop, kind: str, orientation: int
) -> None:
    """The original keeps its tag, by which whoever shows it turns it; the small copy has been turned."""
    stored, exif = turned(orientation)
    content = encoded(stored, kind, exif=exif, quality=95)
    assert shop.smith.put_photo(content).status_code == 201
    path = f"/api/photos/{name_of(content)}"
    full = Image.open(io.BytesIO(shop.smith.client.get(path).data))
    assert seen_corners(ImageOps.exif_transpose(full)) == CORNERS
    small = Image.open(io.BytesIO(shop.smith.client.get(f"{path}?small=1").data))
    assert ExifTags.Base.Orientation not in small.getexif()
    assert small.size == (WIDE, HIGH)
    assert seen_corners(small) == CORNERS


def bomb() -> bytes:
    """Return a PNG of a few hundred bytes that says it is 30,000 by 30,000."""

    def chunk(name: bytes, body: bytes) -> bytes:
        return struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))

    head = struct.pack(">IIBBBBB", 30_000, 30_000, 8, 2, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", head)
        + chunk(b"IDAT", zlib.compress(b"\x00" * 1000))
        + chunk(b"IEND", b"")
    )


def swelling_png() -> bytes:
    """Return a PNG whose content unpacks to far more than its size says."""
    content = encoded(Image.new("RGB", (10, 10)), "PNG")
    at = content.index(b"IDAT") - 4
    body = zlib.compress(b"\x00" * 50_000_000)
    chunk = struct.pack(">I", len(body)) + b"IDAT" + body + struct.pack(">I", zlib.crc32(b"IDAT" + body))
    end = content.index(b"IEND") - 4
    return content[:at] + chunk + content[end:]


NO_PICTURES = {
    "text": (b"not a picture", 422),
    "a page": (b"<html><script>alert(1)</script></html>", 422),
    "a GIF": (encoded(noise(), "GIF"), 422),
    "a TIFF": (encoded(noise(), "TIFF"), 422),
    "half a JPEG": (jpeg()[:3000], 422),
    "half a PNG": (encoded(noise(), "PNG")[:3000], 422),
    "half a WebP": (encoded(noise(), "WEBP")[:2000], 422),
    "only a JPEG's head": (b"\xff\xd8\xff\xd9", 422),
    "a bomb": (bomb(), 413),
    "a large one": (jpeg(2100, 100), 413),
    "a moving WebP": (encoded(noise(), "WEBP", save_all=True, append_images=[noise()], duration=9), 422),
}


@pytest.mark.parametrize("what", sorted(NO_PICTURES))
def test_what_is_no_single_whole_picture_is_refused_and_leaves_nothing(
    shop: Shop, settings: Settings, what: str
) -> None:
    content, status = NO_PICTURES[what]
    assert refusal(shop, content)[0] == status
    assert kept_files(settings) == []


def test_a_picture_with_more_packed_behind_its_last_row_is_refused_and_leaves_nothing(
    shop: Shop, settings: Settings
) -> None:
    """Fifty megabytes in a small file, which no reader of the picture would ever see."""
    content = swelling_png()
    assert len(content) < 100_000
    assert refusal(shop, content)[0] == 422
    assert kept_files(settings) == []


def interlaced() -> bytes:
    """Return a grey picture of 9 by 6 in the seven passes of Adam7, as the standard lays them out."""
    rows = [2, 1, 3, 2, 5, 4, 9]  # columns of each pass; how many such rows stands below
    raw = b"".join(
        b"\x00" * (1 + columns) * down for columns, down in zip(rows, (1, 1, 1, 2, 1, 3, 3), strict=True)
    )
    head = struct.pack(">IIBBBBB", 9, 6, 8, 0, 0, 0, 1)
    chunks = ((b"IHDR", head), (b"IDAT", zlib.compress(raw)), (b"IEND", b""))
    packed = [
        struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))
        for name, body in chunks
    ]
    return b"\x89PNG\r\n\x1a\n" + b"".join(packed)


@pytest.mark.parametrize("mode", ["1", "L", "LA", "P", "RGB", "RGBA", "I;16"])
def test_a_png_of_every_kind_of_pixel_is_taken(shop: Shop, mode: str) -> None:
    picture = Image.new(mode, (37, 21))
    assert shop.smith.put_photo(encoded(picture, "PNG")).status_code == 201


def test_an_interlaced_png_is_taken(shop: Shop) -> None:
    assert shop.smith.put_photo(interlaced()).status_code == 201


def test_other_bytes_under_a_name_are_refused_and_the_right_ones_can_still_come(
    shop: Shop, settings: Settings
) -> None:
    content = jpeg(900, 800, quality=95)
    wrong = bytearray(content)
    wrong[PART - 100] ^= 1
    answer = shop.smith.put_photo(bytes(wrong), sha256=name_of(content))
    assert (answer.status_code, answer.json["message"]) == (422, "wrong_hash")
    assert kept_files(settings) == []
    assert shop.smith.put_photo(content).status_code == 201


def test_a_photo_over_6_mb_is_refused_at_its_first_part_and_leaves_nothing(
    shop: Shop, settings: Settings
) -> None:
    answer = shop.smith.put_part("ab" * 32, b"x" * PART, offset=0, total=40 * 1024 * 1024)
    assert (answer.status_code, answer.json["message"]) == (413, "photo_too_big")
    assert answer.json["errors"] == {"value": 40 * 1024 * 1024, "high": PHOTO_BYTES, "unit": "bytes"}
    assert kept_files(settings) == []


@pytest.mark.parametrize("total", [40 * 1024 * 1024, PHOTO_BYTES], ids=["and says so", "and says 6"])
def test_40_mb_in_one_call_are_refused_readably_and_leave_nothing(
    shop: Shop, settings: Settings, total: int
) -> None:
    content = bytes(40 * 1024 * 1024)
    answer = shop.smith.put_part("ab" * 32, content, offset=0, total=total)
    assert (answer.status_code, answer.json["message"]) == (413, "too_big")
    assert kept_files(settings) == []


def test_a_part_over_its_size_is_refused(shop: Shop) -> None:
    answer = shop.smith.put_part("ab" * 32, b"x" * (PART + 1), offset=0, total=PART * 4)
    assert (answer.status_code, answer.json["message"]) == (413, "part_too_big")


@pytest.mark.parametrize(
    "headers", [{}, {"Upload-Offset": "0"}, {"Upload-Offset": "-1", "Upload-Length": "9"}]
)
def test_a_part_must_say_where_it_belongs(shop: Shop, headers: dict[str, str]) -> None:
    answer = shop.smith.client.put(f"/api/photos/{'ab' * 32}", data=b"x", headers=headers)
    assert (answer.status_code, answer.json["message"]) == (422, "bad_fields")


@pytest.mark.parametrize("part", [b"", b"x" * 20])
def test_a_part_must_fit_its_whole(shop: Shop, part: bytes) -> None:
    answer = shop.smith.put_part("ab" * 32, part, offset=0, total=10)
    assert (answer.status_code, answer.json["message"]) == (409, "wrong_length")


@pytest.mark.parametrize("name", ["..%2f..%2fetc", "AB" * 32, "ab" * 31, "ab" * 32 + ".small"])
def test_a_name_that_is_no_hash_is_not_there(shop: Shop, name: str) -> None:
    assert shop.smith.client.get(f"/api/photos/{name}").status_code == 404
    assert shop.smith.put_part(name, b"x", offset=0, total=1).status_code in (404, 405)


def test_a_photo_never_waits_for_its_entry_nor_the_entry_for_its_photo(shop: Shop) -> None:
    content = jpeg()
    body = {"sha256": name_of(content), "bytes": len(content)}
    assert shop.smith.sync(entry(kind="photo", body=body))["results"][0]["status"] == "stored"
    assert shop.smith.put_photo(content).status_code == 201


def test_a_part_cut_short_that_arrives_late_does_no_harm(app: Flask, shop: Shop) -> None:
    """The first part is whole and so is the second; then the first call's cut-off half is written over it."""
    content = jpeg(1600, 1200, quality=90)
    assert len(content) > 2 * PART
    sha256 = hashlib.sha256(content).hexdigest()
    for offset in (0, PART):
        part = content[offset : offset + PART]
        assert shop.smith.put_part(sha256, part, offset=offset, total=len(content)).status_code == 200
    app.config["PHOTO_STORE"].put_part(f"{shop.shop_id}/{sha256}", offset=0, content=content[:1000])
    goes_on(shop, sha256, content)


def goes_on(shop: Shop, sha256: str, content: bytes) -> None:
    """Send what is missing, part after part, from where the server says; it takes each."""
    offset = int(shop.smith.client.head(f"/api/photos/{sha256}").headers["Upload-Offset"])
    while offset < len(content):
        part = content[offset : offset + PART]
        answer = shop.smith.put_part(sha256, part, offset=offset, total=len(content))
        assert answer.status_code in (200, 201), answer.text
        offset = int(answer.headers["Upload-Offset"])
    assert shop.owner.client.get(f"/api/photos/{sha256}").data == content


def test_two_calls_that_leave_a_whole_part_and_a_cut_one_at_one_place_do_no_harm(
    app: Flask, shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each looked which other parts begin there before the other had written its own: both are kept."""
    content = jpeg(1600, 1200, quality=90)
    sha256 = hashlib.sha256(content).hexdigest()
    store = app.config["PHOTO_STORE"]
    with monkeypatch.context() as at_once:
        at_once.setattr(FolderStore, "_beginning_at", lambda *_name, **_offset: [])
        for length in (PART, 1000):
            store.put_part(f"{shop.shop_id}/{sha256}", offset=0, content=content[:length])
    assert store.parts(f"{shop.shop_id}/{sha256}") == [(0, 1000), (0, PART)]
    goes_on(shop, sha256, content)
