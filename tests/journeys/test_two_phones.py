"""Two phones on one blade with no network: one log afterwards, and undo asks before it takes another's."""

from __future__ import annotations

import time
from collections.abc import Callable

from brought import ending, shop_with
from common.running_server import RunningServer
from engine_scenes import begin, ready
from phone import Phone
from playwright.sync_api import expect
from smith import Smith
from words import say

DIFFER = say("fold.flag.conflict", check=say("fold.told.bow"))
FACTS = {"steel": "1084", "thickness_mm": "4", "edge_mm": "1", "length_mm": "230", "target_hrc": "60"}


def new_person(phone: Phone, initials: str) -> None:
    phone.open("settings")
    name = phone.page.get_by_label(say("app.field.person_name"))
    if not name.is_visible():
        phone.press(phone.page.get_by_text(say("app.set.new_person")))
    name.fill(initials)
    phone.page.get_by_label(say("app.field.initials")).fill(initials)
    phone.press(say("app.keep"))
    expect(phone.page.get_by_role("button", name=initials, exact=True)).to_be_visible()


def add_note(phone: Phone, smith: Smith, text: str) -> None:
    phone.open(f"blade/{smith.piece_id}/note")
    phone.page.get_by_label(say("app.note.label")).fill(text)
    phone.press(say("app.keep"))
    expect(phone.page.locator("main.work")).to_be_visible()


def synced(phone: Phone) -> None:
    phone.offline(on=False)
    phone.open("settings")
    phone.press(say("app.sync.now"))
    Smith(phone).wait_until(lambda: phone.stored("outbox") == [], "sync")


def ids(phone: Phone, smith: Smith) -> list[str]:
    return [entry["id"] for entry in phone.entries_of(smith.piece_id)]


def undo(phone: Phone) -> None:
    """Press the third of the small ones, whatever it says."""
    phone.press(phone.page.locator(".small-row button").last)


def test_two_phones_mark_one_blade_offline_and_undo_names_whose_mark_it_takes(
    server: RunningServer, new_phone: Callable[..., Phone]
) -> None:
    first, second = new_phone(server), new_phone(server)
    first.claim(server.claim_code(), "Test Forge")
    new_person(first, "MO")
    smith = Smith(first)
    smith.begin("QF-130", FACTS, {"heat_source": say("app.choice.forge_thermocouple")})
    smith.wait_until(lambda: first.stored("outbox") == [], "sync")
    second.join(server.join_link())
    new_person(second, "TK")
    other = Smith(second, piece_id=smith.piece_id)
    other.wait_until(lambda: second.stored("outbox") == [], "sync")
    other.blade()
    expect(second.page.locator("main.work")).to_be_visible()

    for phone in (first, second):
        phone.offline()
    add_note(first, smith, "Fuller deeper on the left")
    add_note(second, other, "Tang left long")
    smith.blade()
    smith.press_on()
    add_note(second, other, "Stamp is shallow")
    for phone in (first, second, first):
        synced(phone)

    one_log_on_both(first, second, smith)
    undo_asks(first, second, smith)


def one_log_on_both(first: Phone, second: Phone, smith: Smith) -> None:
    """Each entry once, in one order, with one state."""
    smith.wait_until(lambda: ids(first, smith) == ids(second, smith), "one order")
    order = ids(first, smith)
    assert len(set(order)) == len(order)
    notes = [entry["body"]["text"] for entry in first.entries_of(smith.piece_id) if entry["kind"] == "note"]
    assert sorted(notes) == ["Fuller deeper on the left", "Stamp is shallow", "Tang left long"]
    folds = [phone.fold_of(smith.piece_id) for phone in (first, second)]
    assert folds[0]["state"] == folds[1]["state"]
    for phone in (first, second):
        phone.open(f"log/{smith.piece_id}")
        expect(phone.page.locator(".log-line", has_text="Stamp is shallow")).to_have_count(1)
    second.picture("two-log")


def undo_asks(first: Phone, second: Phone, smith: Smith) -> None:
    """One's own goes by one press; another's is named, and goes by a second press."""
    fold = first.fold_of(smith.piece_id)
    last = next(one for one in first.entries_of(smith.piece_id) if one["id"] == fold["undo"]["entry_id"])
    mine, theirs = (first, second) if last["initials"] == "MO" else (second, first)
    theirs.open(f"blade/{smith.piece_id}")
    expect(theirs.button(say("app.undo_of", who=last["initials"]))).to_be_visible()
    theirs.picture("two-undo-of")
    before = len(theirs.entries_of(smith.piece_id))
    undo(theirs)
    expect(theirs.button(say("app.undo_sure"))).to_be_visible()
    theirs.picture("two-undo-sure")
    assert len(theirs.entries_of(smith.piece_id)) == before
    undo(theirs)
    smith.wait_until(lambda: len(theirs.entries_of(smith.piece_id)) == before + 1, "taken back")
    assert last["id"] in theirs.fold_of(smith.piece_id)["withdrawn"]
    synced(theirs)
    synced(mine)
    smith.wait_until(lambda: last["id"] in mine.fold_of(smith.piece_id)["withdrawn"], "here too")
    assert mine.fold_of(smith.piece_id)["state"] == theirs.fold_of(smith.piece_id)["state"]


def test_one_phone_marks_the_heat_and_the_other_the_quench_and_two_bows_stand_until_one_is_chosen(
    server: RunningServer, new_phone: Callable[..., Phone]
) -> None:
    heated = ready()
    bowed = begin().ground()
    for device, bow_mm in (("phone-a", 0.15), ("phone-b", 0.55)):
        bowed.bow(bow_mm, device=device)
    now_ms = round(time.time() * 1000)
    blade, argued = shop_with(
        server, ending(heated, tag="QF-131", at_ms=now_ms), ending(bowed, tag="QF-132", at_ms=now_ms)
    )
    first, second = new_phone(server), new_phone(server)
    for phone in (first, second):
        phone.join(server.join_link())
        phone.lists("QF-131", "QF-132")
        phone.offline()
    smith, other = Smith(first, piece_id=blade), Smith(second, piece_id=blade)
    for one, marks in ((smith, ["hardening_fire"]), (other, ["hardening_fire", "going_early"])):
        one.blade()
        for mark in marks:
            one.until_can(say(f"fold.do.{mark}"))
            one.press(say(f"fold.do.{mark}"))
    second.press(second.page.locator("main.quench [data-primary]"))
    second.shows(say("fold.word.in_bath"))
    for phone in (first, second, first):
        synced(phone)
    smith.wait_until(lambda: ids(first, smith) == ids(second, smith), "one order")
    assert len(set(ids(first, smith))) == len(ids(first, smith))
    assert first.fold_of(blade)["state"] == second.fold_of(blade)["state"]
    assert first.fold_of(blade)["state"]["id"] == "in_quench"

    before = first.fold_of(argued)
    (conflict,) = before["conflicts"]
    first.open(f"log/{argued}")
    both = first.page.locator("section", has_text=DIFFER).get_by_role("listitem")
    expect(both.filter(has_text=say("app.check.bow"))).to_have_count(2)  # side by side, open, before the log
    first.picture("two-values")
    first.press(both.filter(has_text="0.15 mm").get_by_role("button", name=say("app.log.this_counts")))
    smith.wait_until(lambda: first.entries_of(argued)[-1]["kind"] == "choose", "chosen")
    assert first.entries_of(argued)[-1]["body"]["entry_id"] in conflict["entry_ids"]
    assert before["flags"] != first.fold_of(argued)["flags"]
    assert "conflict" not in {flag["id"] for flag in first.fold_of(argued)["flags"]}
    expect(first.page.locator("section", has_text=DIFFER)).to_have_count(0)
