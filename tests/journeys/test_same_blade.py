"""Two phones with no network begin one blade: both logs stay, say that they are one, and show one history."""

from __future__ import annotations

import re
from collections.abc import Callable

from common.running_server import RunningServer
from phone import Phone
from playwright.sync_api import expect
from smith import Smith
from test_two_phones import FACTS, add_note, new_person, synced
from words import say

TIE = say("app.same.tie", tag="QF-150", word="{word}", since_ms="{since_ms}").split("{")[0]
HEAT = {"heat_source": say("app.choice.forge_thermocouple")}


def tied(phone: Phone, piece_id: str) -> list[str]:
    return list(phone.fold_of(piece_id)["same_as"])


def test_one_blade_begun_twice_is_tied_together_shown_as_one_history_and_untied(
    server: RunningServer, new_phone: Callable[..., Phone]
) -> None:
    first, second = new_phone(server), new_phone(server)
    first.claim(server.claim_code(), "Test Forge")
    new_person(first, "MO")
    synced(first)
    second.join(server.join_link())
    new_person(second, "TK")
    synced(second)
    smiths = []
    for phone in (first, second):
        phone.offline()
        smiths.append(Smith(phone))
        smiths[-1].begin("QF-150", FACTS, HEAT)
    mine, theirs = smiths
    add_note(first, mine, "Fuller deeper on the left")
    add_note(second, theirs, "Tang left long")
    add_note(first, mine, "Stamp is shallow")
    mine.begin("QF-151", FACTS, HEAT)
    other_blade = mine.piece_id
    mine.piece_id = next(
        row["log_id"] for row in first.stored("folds") if row["answer"].get("tag") == "QF-150"
    )
    for phone in (first, second, first):
        synced(phone)
    first.open("blades")
    first.lists("QF-150", "QF-151")

    def both() -> bool:
        return [row["answer"].get("tag") for row in first.stored("folds")].count("QF-150") == 2

    mine.wait_until(both, "both logs are folded")

    tie(first, mine, theirs)
    assert tied(first, other_blade) == []
    one_history(first, mine.piece_id)
    first.picture("same-log")
    first.press(say("app.same.to"))
    expect(first.page.locator("main.work")).to_be_visible()
    assert first.page.url.endswith(theirs.piece_id)
    synced(first)
    synced(second)
    mine.wait_until(lambda: tied(second, theirs.piece_id) == [mine.piece_id], "there too")
    one_history(second, theirs.piece_id)
    untie(second, theirs, mine)
    synced(second)
    synced(first)
    mine.wait_until(lambda: tied(first, mine.piece_id) == [], "untied there too")
    first.open(f"log/{mine.piece_id}")
    expect(first.page.locator(".log-line", has_text=say("app.entry.note"))).to_have_count(2)


def tie(first: Phone, mine: Smith, theirs: Smith) -> None:
    """Under more, the other log of the same tag; by holding, since two logs become one."""
    first.open(f"blade/{mine.piece_id}/more")
    rows = first.page.get_by_role("button", name=re.compile("^" + re.escape(TIE)))
    expect(rows).to_have_count(1)
    first.picture("same-choose")
    first.press(rows.first)  # a short press ties nothing
    first.page.wait_for_timeout(400)
    assert tied(first, mine.piece_id) == []
    first.press(rows.first, hold_s=1.0)
    mine.wait_until(lambda: tied(first, mine.piece_id) == [theirs.piece_id], "tied")
    assert tied(first, theirs.piece_id) == [mine.piece_id]


def untie(second: Phone, theirs: Smith, mine: Smith) -> None:
    """By undo on the other phone, in both logs; another's act is asked about first."""
    theirs.blade()
    undo = second.page.locator(".small-row button").last
    second.press(undo)
    expect(second.button(say("app.undo_sure"))).to_be_visible()
    second.press(undo)
    theirs.wait_until(lambda: tied(second, theirs.piece_id) == [], "untied")
    theirs.wait_until(lambda: tied(second, mine.piece_id) == [], "on both")


def one_history(phone: Phone, piece_id: str) -> None:
    """Both say that they are one, and the notes of both stand in the order in which they were written."""
    phone.open(f"log/{piece_id}")
    phone.shows(say("fold.flag.same_as"))
    notes = phone.page.locator(".log-line", has_text=say("app.entry.note"))
    expect(notes).to_have_count(3)
    for place, text in enumerate(["Stamp is shallow", "Tang left long", "Fuller deeper on the left"]):
        expect(notes.nth(place)).to_contain_text(text)
