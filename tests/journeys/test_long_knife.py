"""The whole job by taps with no network: a growing bow is flagged, put right; hard, tempered; then synced."""

from __future__ import annotations

import json
from collections.abc import Callable

from common.running_server import RunningServer
from phone import Phone
from playwright.sync_api import expect
from smith import Smith
from test_photos import camera_jpeg, photos_of, shown_photos, stored_files, take_photo
from test_reminders import waiting
from words import say

HOUR_MS = 3_600_000
STORY_H = 11
NOTE = "Rested on the cold brick, rear third"
SECOND_CYCLE_MM = [1.00, 1.10, 1.35, 1.55, 1.45, 1.20, 1.00]
FACTS = {
    "steel": "1075",
    "thickness_mm": "4,2",
    "edge_mm": "1,0",
    "length_mm": "440",
    "width_mm": "34",
    "bath_c": "54",
    "target_hrc": "58,5",
}


def word(name: str, **facts: object) -> str:
    return say(f"fold.word.{name}", **facts)


def do(name: str) -> str:
    return say(f"fold.do.{name}")


def one_cycle(smith: Smith, *, bow_mm: float, gaps_mm: list[float] | None = None) -> None:
    """Into the fire, even heat, soak, out, cold, straightness."""
    smith.press(do("in_fire"))
    smith.wait(5)
    smith.press(do("even_heat"))
    smith.wait(4)
    smith.press(do("out_of_fire"))
    smith.wait(26)
    smith.bow(bow_mm, gaps_mm=gaps_mm)
    smith.until_asked("straightness")
    smith.press_on()


def one_temper(smith: Smith) -> None:
    """In the oven (already), read, hold, out, cold, blade temperature."""
    smith.wait(25)
    smith.press(do("check_oven_temperature"))
    smith.wait(121)
    smith.press(do("out_of_oven"))
    smith.wait(40)
    smith.press(do("cold_after_temper"))


def test_a_blade_goes_from_ground_to_tempered_offline_and_then_everything_is_on_the_server(
    server: RunningServer, new_phone: Callable[..., Phone]
) -> None:
    phone = new_phone(server, shift_ms=-STORY_H * HOUR_MS)
    phone.claim(server.claim_code(), "Test Forge")
    phone.offline()
    server.stop()
    smith = Smith(phone)
    smith.begin("QF-102", FACTS, {"cycles": "3", "heat_source": say("app.choice.forge_thermocouple")})

    to_ground_ready(smith)
    the_bow_grows(smith)
    put_right(smith)
    note_and_photo(smith)
    harden(smith)
    temper_twice(smith)

    server.start()
    phone.offline(on=False)
    everything_is_on_the_server(phone, smith, server)
    a_second_phone_shows_the_same(phone, smith, server, new_phone)


def to_ground_ready(smith: Smith) -> None:
    smith.answers["straightness"] = {
        "gaps_mm": [1, 1.05, 1.1, 1.15, 1.1, 1.05, 1],
        "paper": {"length_mm": 420},
    }
    smith.until_can(do("ground_ready"))
    smith.press(do("ground_ready"))


def the_bow_grows(smith: Smith) -> None:
    phone = smith.phone
    one_cycle(smith, bow_mm=0.30)
    smith.die()
    expect(phone.page.get_by_role("button", name=do("in_fire"))).to_be_visible()
    one_cycle(smith, bow_mm=0.55, gaps_mm=SECOND_CYCLE_MM)
    phone.reads(word("bow_grows"))


def put_right(smith: Smith) -> None:
    """What the flag asks for: find the cause, straighten hot, one more cycle."""
    phone = smith.phone
    phone.press(do("what_to_look_for"))
    phone.page.get_by_label(say("app.what_now.what_done")).fill("Evened the left side, hung it in the fire")
    phone.press(say("app.what_now.dealt"))
    expect(phone.page.locator("main.work h1")).not_to_have_text(word("bow_grows"))
    smith.press(do("straightening"))
    smith.press(do("straightened"))
    smith.bow(0.10)
    smith.press(do("check_straightness"))
    one_cycle(smith, bow_mm=0.15)
    smith.press(do("ready"))


def note_and_photo(smith: Smith) -> None:
    """What was seen, in words and in a picture."""
    phone = smith.phone
    phone.open(f"blade/{smith.piece_id}/note")
    phone.page.get_by_label(say("app.note.label")).fill(NOTE)
    phone.press(say("app.keep"))
    expect(phone.page.locator("main.work")).to_be_visible()
    phone.open(f"blade/{smith.piece_id}/more")
    take_photo(phone, camera_jpeg())
    smith.wait_until(lambda: len(photos_of(phone, smith.piece_id)) == 1, "the photo")
    expect(phone.page.locator("main.work")).to_be_visible()


def harden(smith: Smith) -> None:
    """Bath and oven, magnet, colour, soak, then a whole screen that only wants one touch."""
    phone = smith.phone
    smith.until_can(do("hardening_fire"))
    smith.press(do("hardening_fire"))
    smith.wait(8)
    smith.until_can(do("going_to_quench"))
    smith.wait(3)
    phone.press(do("going_to_quench"))
    field = phone.page.locator("main.quench [data-primary]")
    phone.press(field)
    phone.shows(word("in_bath"))
    smith.die()
    phone.shows(word("in_bath"))
    assert marks(phone, smith)[-1] == "quenched"
    smith.wait(0.25)
    expect(phone.page.locator("h1")).to_have_text(word("straighten"))
    assert phone.fold_of(smith.piece_id)["window"] is not None
    smith.wait(1.2)
    expect(phone.page.locator("h1")).to_have_text(word("stiffening"))
    smith.wait(12)
    phone.reads(word("brittle"))


def temper_twice(smith: Smith) -> None:
    """The brittle clock until the oven; killed once more; two tempers with a reading between; tempered."""
    phone = smith.phone
    smith.die(dead_min=3)
    phone.shows(word("brittle"))
    smith.until_can(do("in_oven"))
    smith.wait(4)
    smith.press(do("in_oven"))
    one_temper(smith)
    smith.bow(0.12)
    smith.until_can(do("in_oven_again"))
    smith.press(do("in_oven_again"))
    smith.answers["oven_temperature"] = {"temperature_c": 220}
    one_temper(smith)
    smith.until_can(do("tempered"))
    smith.press(do("tempered"))
    phone.reads(word("tempered"))


def marks(phone: Phone, smith: Smith) -> list[str]:
    return [entry["body"]["mark"] for entry in phone.entries_of(smith.piece_id) if entry["kind"] == "mark"]


def everything_is_on_the_server(phone: Phone, smith: Smith, server: RunningServer) -> None:
    """Row for row what the phone has, and nothing left to send."""
    phone.open("settings")
    phone.press(say("app.sync.now"))
    smith.wait_until(lambda: phone.stored("outbox") == [], "sync now")
    rows = server.rows("SELECT id, seq, text FROM entries")
    on_server = {row["id"]: json.loads(str(row["text"])) for row in rows}
    added = ("seq", "received_ms")
    on_phone = {
        entry["id"]: {name: value for name, value in entry.items() if name not in added}
        for entry in phone.stored("entries")
    }
    assert len(on_phone) > 40
    assert on_server == on_phone
    assert len({row["seq"] for row in rows}) == len(rows)
    (photo,) = photos_of(phone, smith.piece_id)
    smith.wait_until(
        lambda: photo["sha256"] in {file.name for file in stored_files(server)}, "the photo there"
    )
    assert waiting(server, smith.piece_id) == []  # it is tempered: nobody is warned of it any more


def a_second_phone_shows_the_same(
    phone: Phone, smith: Smith, server: RunningServer, new_phone: Callable[..., Phone]
) -> None:
    """A second browser joins by code and folds the same log to the same state."""
    second = new_phone(server)
    second.join(server.join_link())
    second.open(f"blade/{smith.piece_id}")
    second.shows(word("tempered"))
    ours = [(entry["id"], entry["body"]) for entry in phone.entries_of(smith.piece_id)]
    theirs = [(entry["id"], entry["body"]) for entry in second.entries_of(smith.piece_id)]
    assert theirs == ours
    assert second.fold_of(smith.piece_id)["bows"] == phone.fold_of(smith.piece_id)["bows"]
    second.open(f"log/{smith.piece_id}")
    second.shows(do("quenched"))
    second.shows(NOTE)
    Smith(second).wait_until(lambda: shown_photos(second) == 1, "the photo on the second phone")
