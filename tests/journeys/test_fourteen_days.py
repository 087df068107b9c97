"""A fortnight with no network: every day a blade and its photos; then all goes up, and nothing is lost."""

from __future__ import annotations

import hashlib
import io
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from common.running_server import RunningServer
from phone import Phone
from photo_pick import pick_photo
from PIL import Image
from playwright.sync_api import expect
from smith import Smith
from words import say

DAYS, PHOTOS_A_DAY = 14, 22  # STORIES 15: 14 days, at least 300 photos of 300 kB
PHOTO_BYTES = 300_000
DAY_MIN = 24 * 60
KILLED_ON = {4, 9}
FACTS = {"steel": "1084", "thickness_mm": "4", "edge_mm": "1", "length_mm": "230", "target_hrc": "60"}
PICKS = {"heat_source": say("app.choice.forge_thermocouple")}
ALL_SENT_S = 600  # a busy machine is slow, not wrong
# Every picture the phone holds, hashed by the browser: the name it is kept under, its hash, its length.
HELD = """async () => {
  const asked = (request) => new Promise((yes, no) => {
    request.onsuccess = () => yes(request.result);
    request.onerror = () => no(request.error);
  });
  const opening = await asked(indexedDB.open("temperward"));
  const store = () => opening.transaction("photos").objectStore("photos");
  const found = [];
  for (const key of await asked(store().getAllKeys())) {
    const { bytes } = await asked(store().get(key));
    const digest = new Uint8Array(await crypto.subtle.digest("SHA-256", bytes));
    found.push([key, [...digest].map((one) => one.toString(16).padStart(2, "0")).join(""), bytes.byteLength]);
  }
  opening.close();
  return found;
}"""


def camera() -> Iterator[bytes]:
    """Return pictures, each another one, that are well over 300 kB as the app keeps them."""
    base = Image.effect_noise((800, 600), 60).resize((1600, 1200), Image.Resampling.BICUBIC).convert("RGB")
    for number in range(DAYS * PHOTOS_A_DAY):
        left, top = number % 20 * 70, number // 20 * 50
        one = base.copy()
        one.paste((number % 256, 50, 90), (left, top, left + 64, top + 48))
        out = io.BytesIO()
        one.save(out, "JPEG", quality=92)
        yield out.getvalue()


def take(phone: Phone, smith: Smith, picture: bytes) -> None:
    """Take one photo of the blade, and wait until it is kept."""
    before = len(phone.entries_of(smith.piece_id))
    pick_photo(phone, smith.piece_id, picture)
    smith.wait_until(lambda: len(phone.entries_of(smith.piece_id)) == before + 1, "the photo")
    expect(phone.page.locator("main.work")).to_be_visible()  # the app goes back there by itself


def a_day(phone: Phone, smith: Smith, day: int, pictures: Iterator[bytes]) -> None:
    """Start the app, make a blade and its card, take its photos, and let the night pass."""
    if day in KILLED_ON:
        phone.kill_and_reopen()
    phone.open("blades")
    phone.page.reload()
    smith.begin(f"QF-{200 + day}", FACTS, PICKS)
    for _ in range(PHOTOS_A_DAY):
        take(phone, smith, next(pictures))
    assert phone.fold_of(smith.piece_id)["next"] is not None
    phone.pass_time(minutes=DAY_MIN)


@pytest.mark.long
def test_fourteen_days_without_a_network_lose_neither_a_mark_nor_a_photo(
    server: RunningServer, new_phone: Callable[..., Phone]
) -> None:
    phone = new_phone(server, shift_ms=-DAYS * DAY_MIN * 60_000)
    phone.claim(server.claim_code(), "Quillfen Forge")
    smith = Smith(phone)
    smith.wait_until(lambda: phone.stored("outbox") == [], "first sync")
    phone.offline()
    server.stop()

    pictures = camera()
    for day in range(DAYS):
        a_day(phone, smith, day, pictures)
    entries = phone.stored("entries")
    named = {entry["body"]["sha256"] for entry in entries if entry["kind"] == "photo"}
    assert len(named) == DAYS * PHOTOS_A_DAY >= 300
    held: list[tuple[str, str, int]] = phone.page.evaluate(HELD)
    assert {key for key, _digest, _length in held} == named
    assert [key for key, digest, _length in held if key != digest] == []
    assert min(length for _key, _digest, length in held) >= PHOTO_BYTES
    waiting = {row["id"] for row in phone.stored("outbox")}
    told = [say("app.n_entries", n=len(waiting)), say("app.n_photos", n=len(named))]
    phone.open("blades")
    phone.shows(say("app.only_here", what=", ".join(told)))

    server.start()
    phone.offline(on=False)
    phone.open("settings")
    phone.press(say("app.sync.now"))
    expect(phone.page.get_by_text(say("app.sync.all_there")).first).to_be_visible(timeout=ALL_SENT_S * 1000)
    rows = {str(row["id"]) for row in server.rows("SELECT id FROM entries")}
    assert rows == {entry["id"] for entry in phone.stored("entries")}
    assert waiting <= rows
    assert the_servers_photos(server) == dict.fromkeys(named, True)


def the_servers_photos(server: RunningServer) -> dict[str, bool]:
    """Return every photo that the server says it holds whole, and whether the bytes are those of its name."""
    found: dict[str, Any] = {}
    for row in server.rows("SELECT shop_id, sha256 FROM photos"):
        content = (server.data / "photos" / str(row["shop_id"]) / str(row["sha256"])).read_bytes()
        found[str(row["sha256"])] = hashlib.sha256(content).hexdigest() == row["sha256"]
    return found
