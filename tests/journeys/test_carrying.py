"""What is only on one phone goes to another by a file; a phone that is put out keeps what it has."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from common.pictures import jpeg
from common.running_server import RunningServer
from phone import Phone
from playwright.sync_api import expect
from smith import Smith
from words import say

FACTS = {"steel": "1084", "thickness_mm": "4", "edge_mm": "1", "length_mm": "230", "target_hrc": "60"}
PICKS = {"heat_source": say("app.choice.forge_thermocouple")}
OTHERS_ID = "01a20fad-e613-7f8d-a785-2f775822b404"


def told(phone: Phone, key: str, **facts: object) -> None:
    """Wait until the bar says this, and put it away."""
    bar = phone.page.locator(".notice").filter(has_text=say(key, **facts))
    expect(bar).to_be_visible()
    phone.press(bar.get_by_role("button", name=say("app.notice.seen")))


def saved_file(phone: Phone, into: Path) -> Path:
    """Save everything as one file."""
    phone.open("settings")
    with phone.page.expect_download() as handed:
        phone.press(say("app.sync.save"))
    handed.value.save_as(into)
    return into


def read_in(phone: Phone, content: bytes) -> None:
    """Read a file in on the settings screen."""
    phone.open("settings")
    with phone.page.expect_file_chooser() as opened:
        phone.press(phone.page.get_by_text(say("app.sync.read_file")))
    opened.value.set_files({"name": "shop.json", "mimeType": "application/json", "buffer": content})


def take_photo(phone: Phone) -> None:
    phone.press(phone.page.get_by_text(say("app.photo.take"), exact=True).first)
    with phone.page.expect_file_chooser() as opened:
        phone.press(phone.page.get_by_text(say("app.photo.file"), exact=True))
    opened.value.set_files({"name": "a.jpg", "mimeType": "image/jpeg", "buffer": jpeg()})


def a_blade_with_a_photo(phone: Phone, tag: str) -> Smith:
    smith = Smith(phone)
    smith.begin(tag, FACTS, PICKS)
    phone.open(f"blade/{smith.piece_id}/more")
    take_photo(phone)
    smith.wait_until(lambda: len(phone.entries_of(smith.piece_id)) == 3, "the photo")
    phone.fold_of(smith.piece_id)
    return smith


def holds(phone: Phone) -> dict[str, Any]:
    """Return what a phone holds: entries by id, hashes of pictures, what waits."""
    return {
        "entries": sorted(json.dumps(entry, sort_keys=True) for entry in phone.stored("entries")),
        "photos": sorted(row["sha256"] for row in phone.stored("photos")),
        "waiting": sorted(row["id"] for row in phone.stored("outbox")),
    }


def state_of(phone: Phone, piece_id: str) -> dict[str, Any]:
    fold = phone.fold_of(piece_id)
    return {name: fold[name] for name in ("state", "count", "last_id", "gates", "next", "facts", "card_id")}


def broken(text: str, how: str) -> bytes:
    """Return the file with one kind of damage."""
    file = json.loads(text)
    if how == "not_json":
        return text[: len(text) // 2].encode()
    if how == "other_format":
        file["format_version"] = 2
    elif how == "broken_photo":
        file["photos"][0]["base64"] = "AAAA" + file["photos"][0]["base64"][4:]
    else:
        return text.replace('"thickness_mm":4,', '"thickness_mm":5,').encode()
    return json.dumps(file, separators=(",", ":"), ensure_ascii=False).encode()


def test_a_file_carries_entries_and_photos_to_another_phone_once(
    server: RunningServer, new_phone: Callable[..., Phone], tmp_path: Path
) -> None:
    phone = new_phone(server)
    phone.open("blades")
    smith = a_blade_with_a_photo(phone, "QF-120")
    file = saved_file(phone, tmp_path / "shop.json")
    phone.picture("file-settings")
    text = file.read_text("utf-8")

    second = new_phone(server)
    second.open("settings")
    for how in ("not_json", "other_format", "broken_entries", "broken_photo"):
        read_in(second, broken(text, how))
        expect(second.page.locator(".notice")).to_be_visible()
        second.picture(f"file-{how}")
        told(second, f"app.sync.bad.{how}")
        assert holds(second) == {"entries": [], "photos": [], "waiting": []}

    read_in(second, file.read_bytes())
    told(second, "app.sync.taken", what=f"{say('app.n_entries', n=3)}, {say('app.n_photos', n=1)}")
    assert holds(second) == holds(phone)
    second.open("blades")
    expect(second.page.locator("button.blade-row", has_text="QF-120")).to_be_visible()
    assert state_of(second, smith.piece_id) == state_of(phone, smith.piece_id)
    read_in(second, file.read_bytes())
    told(second, "app.sync.taken_none")
    assert holds(second) == holds(phone)

    second.claim(server.claim_code(), "Test Forge")
    Smith(second).wait_until(lambda: second.stored("outbox") == [], "sent from the second phone")
    stored = [row["id"] for row in server.rows("SELECT id FROM entries WHERE log_id = ?", smith.piece_id)]
    assert sorted(map(str, stored)) == sorted(entry["id"] for entry in phone.entries_of(smith.piece_id))


def test_a_phone_that_is_put_out_says_so_keeps_everything_and_can_save_it(
    server: RunningServer, new_phone: Callable[..., Phone], tmp_path: Path
) -> None:
    owner, other = new_phone(server), new_phone(server)
    owner.claim(server.claim_code(), "Test Forge")
    other.join(server.join_link())
    other.offline()
    smith = a_blade_with_a_photo(other, "QF-121")

    owner.open("settings")
    owner.press(say("app.devices.show"))
    rows = owner.page.locator("li", has_text=say("app.devices.smith"))
    own = owner.page.locator("li", has_text=say("app.devices.this"))
    expect(own).to_have_count(1)
    expect(own.get_by_role("button", name=say("app.devices.put_out"))).to_have_count(0)
    rows.first.scroll_into_view_if_needed()
    owner.picture("out-devices")
    owner.press(rows.get_by_role("button", name=say("app.devices.put_out")).first)
    expect(owner.page.locator("li small", has_text=say("app.devices.out"))).to_be_visible()

    other.offline(on=False)
    other.open("blades")
    other.shows(say("app.sync.signed_out"))
    other.picture("out-blades")
    before = holds(other)
    assert len(before["waiting"]) == 3
    other.page.reload()
    other.shows(say("app.sync.signed_out"))
    smith.blade()
    expect(other.page.locator("main.work")).to_be_visible()
    file = json.loads(saved_file(other, tmp_path / "out.json").read_text("utf-8"))
    assert sorted(entry["id"] for entry in file["entries"] if entry["log_id"] == smith.piece_id) == [
        entry["id"] for entry in other.entries_of(smith.piece_id)
    ]
    assert len(file["photos"]) == 1
    assert holds(other) == before
    assert server.rows("SELECT id FROM entries WHERE log_id = ?", smith.piece_id) == []

    read_in(owner, (tmp_path / "out.json").read_bytes())
    Smith(owner).wait_until(
        lambda: len(server.rows("SELECT id FROM entries WHERE log_id = ?", smith.piece_id)) == 3,
        "the master's phone brings it home",
    )


@pytest.mark.parametrize("place", ["blade", "log", "card"])
def test_an_id_that_is_not_of_this_shop_gets_a_plain_answer(
    demo_server: RunningServer, new_phone: Callable[..., Phone], place: str
) -> None:
    phone = new_phone(demo_server)
    phone.join(demo_server.load_demo())
    phone.press(phone.page.locator("button.blade-row", has_text="QF-102"))
    expect(phone.page.locator("main.work")).to_be_visible()
    phone.open(f"{place}/{OTHERS_ID}")
    phone.shows(say("app.blades.not_here_hint"))
    expect(phone.page.get_by_text("QF-102")).to_have_count(0)
    phone.picture(f"not-here-{place}")
    phone.press(say("app.back"))
    phone.shows(say("app.blades.title"))
