"""A photograph taken with no network: kept, counted, told with its step, sent later, seen elsewhere too."""

from __future__ import annotations

import io
import re
from collections.abc import Callable
from pathlib import Path

from common.pictures import encoded, noise
from common.running_server import RunningServer
from phone import Phone
from PIL import Image
from playwright.sync_api import expect
from smith import Smith
from words import say

GPS_IFD = 0x8825
NOT_TURNED, TURNED = (640, 480), (480, 640)


def camera_jpeg() -> bytes:
    """Return a picture as a phone's camera makes it: lying on its side, with the place where it was taken."""
    exif = Image.Exif()
    exif[0x0112] = 6
    exif[GPS_IFD] = {1: "N", 2: (53.0, 20.0, 59.0), 3: "W", 4: (6.0, 15.0, 37.0)}
    return encoded(noise(*NOT_TURNED), "JPEG", exif=exif.tobytes())


def take_photo(phone: Phone, picture: bytes, *, label: str = "") -> None:
    """Press "Photo", then the phone's own camera, and let it answer with this picture."""
    phone.press(phone.page.get_by_text(label or say("app.photo.take"), exact=not label).first)
    with phone.page.expect_file_chooser() as opened:
        phone.press(phone.page.get_by_text(say("app.photo.file"), exact=True))
    opened.value.set_files({"name": "IMG_0001.jpg", "mimeType": "image/jpeg", "buffer": picture})


def photos_of(phone: Phone, piece_id: str) -> list[dict[str, object]]:
    return [entry["body"] for entry in phone.entries_of(piece_id) if entry["kind"] == "photo"]


def shown_photos(phone: Phone) -> int:
    """Return how many pictures of the log have really been decoded."""
    code = "() => [...document.querySelectorAll('.photo-row img')].filter(one => one.naturalWidth > 0).length"
    return int(phone.page.evaluate(code))


def stored_files(server: RunningServer) -> list[Path]:
    return [path for path in server.data.rglob("*") if path.is_file()]


def test_a_photo_taken_offline_is_on_the_log_goes_up_later_and_shows_on_another_phone(
    server: RunningServer, new_phone: Callable[..., Phone]
) -> None:
    phone = new_phone(server)
    phone.join(server.load_demo())
    smith = Smith(phone)
    smith.wait_until(lambda: phone.stored("outbox") == [], "first sync")
    phone.press(phone.page.locator("button.blade-row", has_text="QF-107"))
    expect(phone.page.locator("main.work")).to_be_visible()
    smith.piece_id = smith.path()[1]
    phone.offline()
    server.stop()

    photo_beside_the_running_clock(phone, smith)
    photo_at_a_station(phone, smith)
    phone.open("blades")
    phone.shows(say("app.only_here", what=", ".join([say("app.n_entries", n=2), say("app.n_photos", n=2)])))
    phone.picture("photo-blades-only-here")
    phone.kill_and_reopen()
    the_log_tells_of_it(phone, smith)

    server.start()
    phone.offline(on=False)
    phone.open("settings")
    phone.press(say("app.sync.now"))
    phone.shows(say("app.sync.all_there"))
    the_server_has_it_without_its_place(phone, smith, server)
    another_phone_shows_it(smith, server, new_phone)
    taken_back(phone, smith)


def photo_beside_the_running_clock(phone: Phone, smith: Smith) -> None:
    """The clock of the hard blade stays on the screen while and after the picture is taken."""
    page = phone.page
    expect(page.locator(".number, .digits").first).to_be_visible()
    phone.press(page.locator(".people-strip .tag"))
    phone.picture("photo-more")
    take_photo(phone, camera_jpeg())
    smith.wait_until(lambda: len(photos_of(phone, smith.piece_id)) == 1, "the photo")
    expect(page.locator("h1")).to_have_text(say("fold.word.brittle"))
    phone.shows(say("app.kept_undo"))
    phone.picture("photo-kept")
    before = page.locator("main.work").inner_text()
    smith.wait_until(lambda: page.locator("main.work").inner_text() != before, "the clock goes on")


def photo_at_a_station(phone: Phone, smith: Smith) -> None:
    """From the picture of the bow the photo knows where along the blade it belongs."""
    phone.open(f"blade/{smith.piece_id}/straightness")
    phone.picture("photo-straightness")
    take_photo(phone, camera_jpeg(), label=say("app.photo.at", at_mm="").strip())
    smith.wait_until(lambda: len(photos_of(phone, smith.piece_id)) == 2, "the second photo")
    body = photos_of(phone, smith.piece_id)[1]
    bow = phone.fold_of(smith.piece_id)["bows"][-1]
    assert body["station_mm"] == bow["at_mm"]
    assert body["of"] == bow["entry_id"]


def the_log_tells_of_it(phone: Phone, smith: Smith) -> None:
    """After a killed page: two pictures, whole, with step and station, and told to be only here."""
    phone.open(f"log/{smith.piece_id}")
    smith.wait_until(lambda: shown_photos(phone) >= 2, "the pictures on the log")
    lines = phone.page.locator("li", has=phone.page.locator("img"))
    expect(lines.first).to_contain_text(say("app.log.only_here"))
    told = lines.nth(0).inner_text() + lines.nth(1).inner_text()
    bodies = photos_of(phone, smith.piece_id)
    assert f"at {bodies[1]['station_mm']:.1f} mm" in told
    assert all(str(body["sha256"]) not in told and "jpeg" not in told for body in bodies)
    assert bodies[0]["step"]
    assert {(body["width"], body["height"]) for body in bodies} == {TURNED}
    phone.picture("photo-log")


def the_server_has_it_without_its_place(phone: Phone, smith: Smith, server: RunningServer) -> None:
    for body in photos_of(phone, smith.piece_id):
        (kept,) = [path for path in stored_files(server) if path.name == body["sha256"]]
        picture = Image.open(io.BytesIO(kept.read_bytes()))
        assert picture.size == TURNED
        assert dict(picture.getexif().get_ifd(GPS_IFD)) == {}
        assert b"Exif" not in kept.read_bytes()


def another_phone_shows_it(smith: Smith, server: RunningServer, new_phone: Callable[..., Phone]) -> None:
    second = new_phone(server)
    second.join(server.join_link())
    second.open(f"log/{smith.piece_id}")
    Smith(second).wait_until(lambda: shown_photos(second) >= 2, "the pictures on the second phone")
    assert photos_of(second, smith.piece_id) == photos_of(smith.phone, smith.piece_id)


def taken_back(phone: Phone, smith: Smith) -> None:
    """A picture that should not be there is taken back by its line: struck through, not shown."""
    phone.open(f"log/{smith.piece_id}")
    smith.wait_until(lambda: shown_photos(phone) >= 2, "the pictures")
    line = phone.page.locator("li", has=phone.page.locator("img")).first
    phone.press(line.locator("summary"))
    phone.press(line.get_by_role("button", name=say("app.log.take_back")))
    smith.wait_until(lambda: len(phone.fold_of(smith.piece_id)["withdrawn"]) > 0, "taken back")
    expect(phone.page.get_by_text(say("app.log.taken_back")).first).to_be_visible()
    phone.picture("photo-log-taken-back")


def finder(phone: Phone) -> dict[str, float]:
    """Return the width of what the camera shows, once it shows anything."""
    phone.page.wait_for_function("() => document.querySelector('video.finder')?.videoWidth > 0")
    box = phone.primary().bounding_box()
    assert box is not None
    return dict(box)


def test_the_shutter_is_for_a_glove_and_the_timer_lets_go_of_the_phone(
    server: RunningServer, new_phone: Callable[..., Phone]
) -> None:
    phone = new_phone(server)
    phone.context.grant_permissions(["camera"])
    phone.join(server.load_demo())
    smith = Smith(phone)
    phone.press(phone.page.locator("button.blade-row", has_text="QF-107"))
    expect(phone.page.locator("main.work")).to_be_visible()
    smith.piece_id = smith.path()[1]
    for label in ("shoot", "timer"):
        before = len(photos_of(phone, smith.piece_id))
        phone.press(phone.page.locator(".people-strip .tag"))
        phone.press(phone.page.get_by_text(say("app.photo.take"), exact=True).first)
        assert finder(phone)["height"] >= 120  # 20 mm at 0.167 mm to the pixel
        phone.picture(f"photo-camera-{label}")
        phone.press(say(f"app.photo.{label}", n=3))
        if label == "timer":  # it counts where the shutter's name stood, and nothing is kept before
            for left in ("3", "2", "1"):
                expect(phone.primary()).to_have_text(left)
                assert len(photos_of(phone, smith.piece_id)) == before
        smith.wait_until(lambda count=before: len(photos_of(phone, smith.piece_id)) == count + 1, label)
        expect(phone.page.locator("main.work")).to_be_visible()
    bodies = photos_of(phone, smith.piece_id)[-2:]
    assert all(body["step"] and body["width"] and body["height"] for body in bodies)
    smith.wait_until(lambda: phone.page.locator("video").count() == 0, "the camera is let go")


NEARLY_FULL = "navigator.storage.estimate = async () => globalThis.room"


def test_a_phone_that_is_nine_tenths_full_says_so_with_the_photo_it_keeps(
    server: RunningServer, new_phone: Callable[..., Phone]
) -> None:
    phone = new_phone(server)
    phone.context.add_init_script(NEARLY_FULL)
    phone.join(server.load_demo())
    smith = Smith(phone)
    phone.press(phone.page.locator("button.blade-row", has_text="QF-107"))
    expect(phone.page.locator("main.work")).to_be_visible()
    smith.piece_id = smith.path()[1]
    sentence = say("phone.nearly_full", n="N").split("N")
    warning = phone.page.get_by_text(re.compile(r"\S+".join(map(re.escape, sentence))))
    # The first browser does not tell how much room there is.
    for room in ({"usage": 95, "quota": 0}, {"usage": 89, "quota": 100}, {"usage": 95, "quota": 100}):
        expect(warning).to_have_count(0)
        before = len(photos_of(phone, smith.piece_id))
        phone.open(f"blade/{smith.piece_id}/photo")
        phone.page.evaluate("room => { globalThis.room = room; }", room)
        picture = {"name": "a.jpg", "mimeType": "image/jpeg", "buffer": camera_jpeg()}
        phone.page.locator("input[type=file]").set_input_files(picture)
        smith.wait_until(lambda count=before: len(photos_of(phone, smith.piece_id)) == count + 1, "the photo")
        expect(phone.page.locator("main.work")).to_be_visible()
    expect(warning).to_contain_text("95")
    phone.picture("photo-nearly-full")
