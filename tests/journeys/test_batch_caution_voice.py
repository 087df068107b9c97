"""Six blades and one bath, a caution that is read once, and a voice: stories 18, 19, 25 and 36."""

from __future__ import annotations

import math
import re
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from brought import ending, shop_with
from common.running_server import RunningServer
from engine_scenes import cooling, going, ready
from log_maker import Log
from phone import Phone
from playwright.sync_api import Browser, expect
from smith import Smith
from words import say

LETTERS = "ABCDEF"
BATCH, HOT_BATCH = "QF-205", "QF-206"
BEHIND_MS = 120_000  # the phone's clock, so that what is over in a minute has not begun when it has joined
MONTH_MIN = 30 * 24 * 60
SHORT_OIL = {"name": "Short oil", "litres": 12, "flash_c": 190, "low_c": 35, "high_c": 65}
LIMIT_C = 65
# PROBLEMS P4: heat capacities in J/kg/K [S46], the oil's density in kg/L from memory there.
STEEL_J_KG_K, OIL_J_KG_K, OIL_KG_L = 711, 1883, 0.87
ROOM_C = 20
# A voice of the phone's own; a page without one hears nothing. What is said is kept in order.
VOICE = """
  globalThis.told = [];
  globalThis.SpeechSynthesisUtterance = class { constructor(text) { this.text = text; } };
  speechSynthesis.getVoices = () => [{ localService: true, lang: "en-GB", name: "own" }];
  speechSynthesis.speak = ({ text }) => told.push(text);
"""


def in_batch(log: Log, *, batch: str, letter: str) -> Log:
    """A blade of a batch."""
    log.entries[0]["body"] = {**log.entries[0]["body"], "batch": batch, "letter": letter}
    return log


def of_six(letter: str) -> Log:
    """Weighed, and its bath read at 50 degC just now; A is on its way to it."""
    log = going(bath=SHORT_OIL) if letter == "A" else ready(bath=SHORT_OIL)
    log.check("weight", {"mass_g": 173.5}, after_s=1)
    log.check("bath_temperature", {"temperature_c": 50}, after_s=1)
    return in_batch(log, batch=BATCH, letter=letter)


def before_a_hot_bath(letter: str) -> Log:
    """The bath fell from 74 to 70 degC in four minutes."""
    log = ready(bath={**SHORT_OIL, "name": "Hot oil"})
    log.check("weight", {"mass_g": 173.5}, after_s=1)
    for temperature_c, after_s in ((74, 1), (70, 240)):
        log.check("bath_temperature", {"temperature_c": temperature_c}, after_s=after_s)
    return in_batch(log, batch=HOT_BATCH, letter=letter)


@contextmanager
def shop_of(
    chromium: Browser, folder: Path, stories: dict[str, Log]
) -> Iterator[tuple[Phone, dict[str, str]]]:
    """A phone with these blades, a voice and no network."""
    server = RunningServer(folder).start()
    now_ms = round(time.time() * 1000)
    ids = shop_with(server, *(ending(log, tag=tag, at_ms=now_ms) for tag, log in stories.items()))
    phone = Phone(chromium, server.base_url, shift_ms=-BEHIND_MS)
    phone.context.add_init_script(VOICE)
    phone.join(server.join_link())
    phone.lists(*stories)
    phone.offline()
    yield phone, dict(zip(stories, ids, strict=True))
    assert phone.troubles == []
    phone.close()
    server.stop()


@pytest.fixture(scope="module")
def shop(
    chromium: Browser, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[tuple[Phone, dict[str, str]]]:
    """Two batches."""
    stories = {f"{BATCH}-{letter}": of_six(letter) for letter in LETTERS}
    stories |= {f"{HOT_BATCH}-{letter}": before_a_hot_bath(letter) for letter in "AB"}
    with shop_of(chromium, tmp_path_factory.mktemp("six"), stories) as made:
        yield made


def rise_k(steel_c: float, bath_c: float) -> float:
    """Return what one blade does to the bath, as PROBLEMS P4 states it."""
    steel_j_k, oil_j_k = 0.1735 * STEEL_J_KG_K, 12 * OIL_KG_L * OIL_J_KG_K
    return steel_j_k * (steel_c - bath_c) / (oil_j_k + steel_j_k)


def tile(phone: Phone, letter: str) -> str:
    """Return what a blade's tile says under its letter."""
    one = phone.page.locator("button.tile").filter(has=phone.page.locator("b", has_text=letter))
    return one.locator("span").inner_text().strip()


def test_six_blades_follow_each_other_into_a_bath_that_says_what_each_will_find(
    shop: tuple[Phone, dict[str, str]],
) -> None:
    """Stories 18 and 19: letters, the bath before each, one mark for the next, and where it stops."""
    phone, ids = shop
    steel_c = phone.fold_of(ids[f"{BATCH}-B"])["lot"]["steel_c"]
    before_c = [50.0]
    for _ in range(4):
        before_c.append(before_c[-1] + rise_k(steel_c, before_c[-1]))
    phone.open(f"batch/{BATCH}")
    names = phone.page.locator("button.tile b")
    expect(names).to_have_text([f"{letter}" for letter in LETTERS])
    phone.open(f"blade/{ids[f'{BATCH}-A']}")
    expect(phone.page.locator("main.quench")).to_be_visible()
    phone.pass_time(minutes=BEHIND_MS / 60_000 + 0.2)  # past the reading of the bath
    phone.press(phone.page.locator("main.quench .field"))
    Smith(phone).wait_until(
        lambda: any(one["body"].get("mark") == "quenched" for one in phone.entries_of(ids[f"{BATCH}-A"])),
        "the blade is in the bath",
    )
    phone.pass_time(minutes=0.5)
    phone.open(f"batch/{BATCH}")
    expect(phone.page.locator("button.tile b").first).to_have_text("A")
    for place, letter in ((1, "B"), (2, "C")):
        assert tile(phone, letter) == f"{round(before_c[place])} °C"
    last = next(place for place, one in enumerate(before_c) if one + rise_k(steel_c, one) > LIMIT_C)
    assert LETTERS[last] == "D"
    assert tile(phone, "D") == f"to {round(before_c[last] + rise_k(steel_c, before_c[last]))} °C"


def test_a_bath_too_hot_says_how_long_to_wait_from_two_readings(
    shop: tuple[Phone, dict[str, str]],
) -> None:
    """Story 19: Newton's law of cooling by hand, in a room of 20 degC, within a fifth and a whole minute."""
    phone, ids = shop
    steel_c = phone.fold_of(ids[f"{HOT_BATCH}-A"])["lot"]["steel_c"]
    phone.open(f"batch/{HOT_BATCH}")
    phone.reads(say("batch.word.hot"))
    said = phone.page.locator("p.say").inner_text()
    wait = re.search(r"(\d+) min", said)
    assert wait is not None, said
    per_min = math.log((74 - ROOM_C) / (70 - ROOM_C)) / 4
    cool_enough_c = LIMIT_C - rise_k(steel_c, LIMIT_C - rise_k(steel_c, LIMIT_C))
    by_hand_min = math.log((70 - ROOM_C) / (cool_enough_c - ROOM_C)) / per_min
    assert 0.8 * by_hand_min - 1 <= int(wait[1]) <= 1.2 * by_hand_min + 1


def test_the_voice_says_state_and_what_is_left_in_six_words_and_is_hushed_in_one_press(
    chromium: Browser, tmp_path: Path
) -> None:
    """Story 36."""
    with shop_of(chromium, tmp_path, {"QF-207": cooling()}) as (phone, ids):
        smith = Smith(phone)
        phone.open(f"blade/{ids['QF-207']}/more")
        phone.press(say("app.more.speak"))
        phone.open(f"blade/{ids['QF-207']}")
        phone.reads(say("fold.word.cooling"))
        smith.wait_until(lambda: len(heard(phone)) == 1, "the state is said")
        assert heard(phone)[0].startswith(say("fold.word.cooling").lower())
        phone.pass_time(minutes=16)
        smith.wait_until(lambda: len(heard(phone)) >= 2, "what is left is said")
        assert re.search(r"under \d+ minutes", heard(phone)[-1])
        assert all(len(line.replace(".", "").split()) <= 6 for line in heard(phone))
        phone.open(f"blade/{ids['QF-207']}/more")
        phone.press(say("app.more.hush"))
        before = heard(phone)
        phone.open(f"blade/{ids['QF-207']}")
        phone.pass_time(minutes=6)
        phone.reads(say("fold.word.cooling"))  # the screen says it all the same
        expect(phone.page.locator(".number")).to_have_text(re.compile("^[0-5]\\D"))
        assert heard(phone) == before


def heard(phone: Phone) -> list[str]:
    """Return what the voice has said."""
    return list(phone.page.evaluate("told"))


def just_hard() -> Log:
    """Out of the bath, and at once hand-warm: its first reminder is minutes away."""
    log = ready().harden()
    log.mark("out_of_bath", after_s=14)
    log.mark("hand_warm", after_s=60)
    return log


def test_a_caution_is_read_once_and_is_back_after_a_month_and_brittle_is_said_every_time(
    chromium: Browser, tmp_path: Path
) -> None:
    """Story 25."""
    with shop_of(chromium, tmp_path, {"QF-208": cooling(), "QF-209": just_hard()}) as (phone, ids):
        phone.open(f"blade/{ids['QF-209']}")
        expect(phone.page.locator(".hazard-slot p.hazard")).to_contain_text(say("caution.hard_shatters"))
        phone.open(f"blade/{ids['QF-208']}")
        caution = phone.page.locator(".hazard-slot button.hazard")
        expect(caution).to_have_attribute("aria-expanded", "true")
        expect(caution).to_contain_text(say("caution.black_is_hot"))
        phone.press(caution)
        expect(caution).to_have_attribute("aria-expanded", "false")
        expect(caution).to_have_text("HOT")
        phone.page.reload()
        phone.open(f"blade/{ids['QF-208']}")
        expect(caution).to_have_text("HOT")
        with phone.clock_held():
            phone.pass_time(minutes=MONTH_MIN + 1)
            expect(caution).to_contain_text(say("caution.black_is_hot"))
