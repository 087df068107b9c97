"""What STORIES.md asks for and no other journey tells: clock, window, list, dates, again or not, why."""

from __future__ import annotations

import math
import re
import time
from collections.abc import Iterator
from typing import Any

import pytest
from brought import ending, shop_with
from common.running_server import RunningServer
from engine_scenes import SOFT_HRC, cooling, finish, going, hard, ready
from log_maker import Log
from phone import Phone
from playwright.sync_api import Browser, expect
from smith import Smith
from words import say

from temperward.engine import data_files

MINUTE_MS = 60_000
DAY_MS = 86_400_000
HALF_A_DAY_MS = 43_200_000
BEHIND_MS = (
    3 * MINUTE_MS
)  # the phone's clock, so that what is over in seconds has not begun when it has joined
WHY_WORDS = 40  # STORIES 35
HARD, WINDOW, COOLING, SOFT = "QF-190", "QF-191", "QF-192", "QF-193"
LETTERS = "AF"


def lifted() -> Log:
    """Out of the bath, just now."""
    log = ready().harden()
    log.mark("out_of_bath", after_s=14)
    return log


def too_soft() -> Log:
    """Under the promised hardness."""
    log = finish(hard())
    log.check("hardness", SOFT_HRC, after_s=60)
    return log


def of_batch(letter: str) -> Log:
    """One blade of a batch; the first is on its way to the bath."""
    log = going() if letter == "A" else ready()
    log.entries[0]["body"] = {**log.entries[0]["body"], "batch": "QF-195", "letter": letter}
    return log


def looked_after(now_ms: int) -> list[list[dict[str, Any]]]:
    """The oil was tried for water 40 days ago, and the extinguisher's date is over."""
    bath, extinguisher = Log(), Log()
    bath.add("made", {"name": "Tall oil", "medium": "fast_oil", "litres": 20, "low_c": 35, "high_c": 65})
    bath.check("crackle", {"water": False}, after_s=60)
    extinguisher.add("made", {"name": "By the door", "what": "extinguisher", "until": "2026-01-31"})
    logs = {"bath": bath, "instrument": extinguisher}
    made = [(kind, ending(log, tag="", at_ms=now_ms - 40 * DAY_MS)) for kind, log in logs.items()]
    return [[{**entry, "log_kind": kind} for entry in entries] for kind, entries in made]


@pytest.fixture(scope="module")
def shop(
    chromium: Browser, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[tuple[Phone, dict[str, str]]]:
    """A phone with blades at many moments, no network, and a clock that can be moved."""
    server = RunningServer(tmp_path_factory.mktemp("stories")).start()
    now_ms = round(time.time() * 1000)
    stories = {HARD: hard(), WINDOW: lifted(), COOLING: cooling(), SOFT: too_soft()}
    stories |= {f"QF-195-{letter}": of_batch(letter) for letter in LETTERS}
    # What is answered for on this phone was read on another: long enough ago for a clock that is behind.
    ended_ms = {SOFT: now_ms - 2 * BEHIND_MS}
    blades = [ending(log, tag=tag, at_ms=ended_ms.get(tag, now_ms)) for tag, log in stories.items()]
    ids = shop_with(server, *blades, *looked_after(now_ms))
    phone = Phone(chromium, server.base_url, shift_ms=-BEHIND_MS)
    phone.join(server.join_link())
    phone.lists(*stories)
    phone.offline()
    yield phone, dict(zip(stories, ids, strict=False))
    assert phone.troubles == []
    phone.close()
    server.stop()


def wait_until(phone: Phone, at_ms: float) -> None:
    """Let the phone's clock come to an instant."""
    phone.pass_time(minutes=(at_ms - phone.now_ms()) / MINUTE_MS)


def open_blade(shop: tuple[Phone, dict[str, str]], tag: str) -> Phone:
    """Open a blade; what ran on meanwhile is looked at first, where the app asks for that."""
    phone, ids = shop
    phone.open(f"blade/{ids[tag]}")
    asked = phone.page.get_by_role("heading", name=say("app.catch_up.title"))
    expect(phone.page.locator("main.work, main.quench").or_(asked).first).to_be_visible()
    if asked.is_visible():
        phone.press_primary()
        phone.open(f"blade/{ids[tag]}")
    expect(phone.page.locator("main.work, main.quench")).to_be_visible()
    return phone


def last_ms(phone: Phone, piece_id: str, mark: str) -> int:
    entries = phone.entries_of(piece_id)
    return int(next(one["happened_ms"] for one in reversed(entries) if one["body"].get("mark") == mark))


def test_the_list_is_in_the_order_of_danger_and_the_hard_blade_is_first(
    shop: tuple[Phone, dict[str, str]],
) -> None:
    """Story 34."""
    phone, ids = shop
    phone.open("blades")
    phone.lists(*ids)
    rows = phone.page.locator("button.blade-row b span:first-child").all_inner_texts()
    danger = {
        row["answer"]["tag"]: row["answer"]["danger"]
        for row in phone.stored("folds")
        if row["answer"].get("tag")
    }
    assert sorted(rows) == sorted(ids)
    assert [danger[tag] for tag in rows] == sorted(danger[tag] for tag in rows)
    assert danger[rows[0]] <= data_files.load("states")["by_id"]["hard"]["danger"]  # less as its stages pass


def test_the_bar_of_the_window_shrinks_on_an_estimate_and_the_word_changes(
    shop: tuple[Phone, dict[str, str]],
) -> None:
    """Story 9."""
    phone, ids = shop
    lift_ms = last_ms(phone, ids[WINDOW], "out_of_bath")
    wait_until(phone, lift_ms + 1000)
    open_blade(shop, WINDOW)
    phone.reads(say("fold.word.straighten"))
    phone.shows(say("fold.number.bend"))
    window = phone.fold_of(ids[WINDOW])["window"]
    bar = phone.page.locator(".bar i")
    shares = []
    with phone.clock_held():
        for share in (0.3, 0.5):
            wait_until(phone, lift_ms + share * (window["bend_until_ms"] - lift_ms))
            left_s = math.ceil((window["bend_until_ms"] - phone.now_ms()) / 1000)
            expect(phone.page.locator(".number")).to_have_text(re.compile(rf"^{left_s}\s*s$"))
            shares.append(bar.evaluate("one => new DOMMatrix(getComputedStyle(one).transform).a"))
        wait_until(phone, window["stiffening_ms"] + 500)
        phone.reads(say("fold.word.stiffening"))
    assert shares[1] < shares[0] < 1


def test_what_the_shop_has_not_looked_at_for_too_long_shows_at_the_gate_and_blocks_nothing(
    shop: tuple[Phone, dict[str, str]],
) -> None:
    """Story 37."""
    phone = open_blade(shop, "QF-195-F")
    for name in ("crackle", "extinguisher_date"):
        line = phone.page.locator(".gate-list li", has_text=say(f"fold.item.{name}"))
        expect(line).to_contain_text(say("fold.value.overdue"))
    expect(phone.primary()).to_have_text(say("fold.do.hardening_fire"))


def test_hardening_again_is_weighed_against_living_with_it_and_the_reason_is_kept(
    shop: tuple[Phone, dict[str, str]],
) -> None:
    """Stories 26 and 28."""
    phone, ids = shop
    phone.open(f"log/{ids[SOFT]}")
    for part in ("54 HRC", "54.5 HRC", "mean 54.2 HRC", "spread 0.5"):
        phone.shows(re.compile(re.escape(part)))
    open_blade(shop, SOFT)
    phone.shows(say("fold.say.final.hardness_out"))
    phone.press(say("fold.do.reharden_why"))
    weighed = phone.page.locator("main.sit li", has_text=say("fold.item.reharden"))
    expect(weighed).to_contain_text(
        re.compile(r"heats so far\. Edge .* needs .*\. Again: 0 of 2\. Then .* to .* HRC")
    )
    phone.page.get_by_label(say("app.field.reason")).fill("oil was cold")
    phone.page.get_by_label(say("app.field.initials")).fill("MO")
    phone.press(say("fold.do.reharden_why").split(":")[0])
    Smith(phone).wait_until(lambda: phone.entries_of(ids[SOFT])[-1]["kind"] == "override", "the choice")
    assert phone.entries_of(ids[SOFT])[-1]["body"]["reason"] == "oil was cold"
    expect(phone.primary()).to_have_text(say("fold.do.rework"))


def test_why_is_said_in_few_words_with_room_for_a_picture_until_it_is_switched_off(
    shop: tuple[Phone, dict[str, str]],
) -> None:
    """Story 35."""
    phone, ids = shop
    phone.open(f"blade/{ids[COOLING]}/more")
    why = phone.page.locator("section.why")
    expect(why).to_be_visible()
    assert 0 < len(why.locator("p").inner_text().split()) <= WHY_WORDS
    expect(why).to_contain_text(say("app.photo.of_step"))
    phone.open("settings")
    group = phone.page.get_by_role("group", name=say("app.set.apprentice_on"), exact=True)
    phone.press(group.get_by_role("button", name=say("app.set.apprentice_on.off"), exact=True))
    phone.open(f"blade/{ids[COOLING]}/more")
    expect(phone.page.get_by_role("button", name=say("app.log.title"), exact=True)).to_be_visible()
    expect(why).to_have_count(0)


def test_every_reason_of_a_card_is_short_enough_to_be_read() -> None:
    """Story 35: at most forty words, whatever the step."""
    words = data_files.load("words/en/card")
    reasons = {key: str(text) for key, text in words.items() if key.startswith("card.why.")}
    assert len(reasons) > 20
    assert {key: text for key, text in reasons.items() if len(text.split()) > WHY_WORDS} == {}


def test_the_clock_of_a_hard_blade_is_right_to_a_second_after_half_a_day_killed(
    shop: tuple[Phone, dict[str, str]],
) -> None:
    """Story 2: reminder, hurry and alarm at their minutes; then killed, and twelve hours later."""
    phone, ids = shop
    quenched_ms = last_ms(phone, ids[HARD], "quenched")
    open_blade(shop, HARD)
    stages = {
        one["stage"]: one["due_ms"] - quenched_ms for one in phone.fold_of(ids[HARD])["clocks"][0]["stages"]
    }
    assert stages == {"reminder": 10 * MINUTE_MS, "hurry": 30 * MINUTE_MS, "alarm": 60 * MINUTE_MS}
    wait_until(phone, quenched_ms + HALF_A_DAY_MS - 10 * MINUTE_MS)
    phone.kill_and_reopen()
    phone.shows(say("app.catch_up.title"))
    open_blade(shop, HARD)
    number = phone.page.locator(".number")
    with phone.clock_held():
        for before_ms, text in ((1000, "11 h 59"), (0, "12 h 00")):
            wait_until(phone, quenched_ms + HALF_A_DAY_MS - before_ms)
            expect(number).to_have_text(text)
