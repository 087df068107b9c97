"""Back after an absence: what ran on, the most dangerous first, and each answer leads to the right step."""

from __future__ import annotations

import time
from collections.abc import Callable

import pytest
from brought import ending, shop_with
from common.running_server import RunningServer
from engine_scenes import begin, hard
from log_maker import Log
from phone import Phone
from playwright.sync_api import Locator, expect
from smith import Smith
from words import say

AWAY_MIN = 3  # more than two minutes
MINUTE_MS = 60_000
HARD, IN_OVEN, COOLING = "QF-170", "QF-171", "QF-172"


def cooling() -> Log:
    """Out of the fire after the first heat."""
    log = begin().ground()
    log.mark("in_fire", after_s=60)
    log.mark("even_heat", after_s=300)
    log.mark("out_of_fire", after_s=200)
    return log


def in_oven() -> Log:
    """In the oven, which was read at its heat."""
    log = hard()
    log.mark("in_oven", after_s=60, body={"purpose": "temper"})
    log.check("oven_temperature", {"temperature_c": 204}, after_s=600)
    return log


@pytest.fixture
def phone(server: RunningServer, new_phone: Callable[..., Phone]) -> tuple[Phone, dict[str, str]]:
    """A phone with three blades on which something runs on; the least dangerous was made last."""
    now_ms = round(time.time() * 1000)
    blades = shop_with(
        server,
        ending(hard(), tag=HARD, at_ms=now_ms - 30 * MINUTE_MS),
        ending(in_oven(), tag=IN_OVEN, at_ms=now_ms - 200 * MINUTE_MS),
        ending(cooling(), tag=COOLING, at_ms=now_ms - 50 * MINUTE_MS),
    )
    made = new_phone(server, shift_ms=1)  # with a clock that can be moved
    made.join(server.join_link())
    made.lists(HARD, IN_OVEN, COOLING)
    made.offline()
    return made, dict(zip((HARD, IN_OVEN, COOLING), blades, strict=True))


def back_after_a_while(phone: Phone) -> None:
    """The page is gone, time passes, the app is started again."""
    phone.pass_time(minutes=AWAY_MIN)
    phone.open("blades")
    phone.page.reload()
    expect(phone.page.locator("h1")).to_have_text(say("app.catch_up.title"))


def of(phone: Phone, tag: str) -> Locator:
    """Return what is asked about one blade."""
    return phone.page.locator("main.sit section", has_text=tag)


def test_what_ran_on_is_asked_in_the_order_of_danger_and_every_answer_is_one_press(
    phone: tuple[Phone, dict[str, str]],
) -> None:
    glass, ids = phone
    back_after_a_while(glass)
    glass.shows(say("app.catch_up.away", time=f"{AWAY_MIN}:")[: len("Away for 3:")])
    asked = glass.page.locator("main.sit section h2").all_inner_texts()
    assert [next(tag for tag in ids if tag in text) for text in asked] == [HARD, IN_OVEN, COOLING]
    for tag in ids:
        assert of(glass, tag).get_by_role("button").count() >= 3

    # Not yet: nothing is written, the blade's own screen is there.
    before = len(glass.entries_of(ids[HARD]))
    glass.press(of(glass, HARD).get_by_role("button", name=say("fold.do.not_yet"), exact=True))
    glass.reads(say("fold.word.brittle"))
    assert len(glass.entries_of(ids[HARD])) == before

    # It went wrong: the card of that finding is there at once.
    back_after_a_while(glass)
    glass.press(of(glass, HARD).get_by_role("button", name=say("fold.do.went_wrong"), exact=True))
    expect(glass.page).to_have_url(f"{glass.base_url}/#/blade/{ids[HARD]}/wrong/called_away_hard")
    expect(glass.page.locator("h1")).to_have_text(say("findings.called_away_hard.title"))
    assert len(glass.entries_of(ids[HARD])) == before

    # Done meanwhile: one press, and the log says since when that may have been so.
    back_after_a_while(glass)
    for tag, mark, word in (
        (HARD, "in_oven", say("fold.word.temper", number=1)),
        (COOLING, "cold", None),
    ):
        glass.press(of(glass, tag).get_by_role("button").first)
        expect(glass.page).to_have_url(f"{glass.base_url}/#/blade/{ids[tag]}")
        if word:
            glass.reads(word)
        made = Smith(glass, piece_id=ids[tag])
        made.wait_until(lambda tag=tag, mark=mark: last_mark(glass, ids[tag])["mark"] == mark, mark)  # type: ignore[misc]
        entry = glass.entries_of(ids[tag])[-1]
        assert entry["at_source"] == "back_dated"
        assert entry["plus_minus_s"] > AWAY_MIN * 60
        back_after_a_while(glass)
    assert of(glass, COOLING).count() == 0


def last_mark(phone: Phone, log_id: str) -> dict[str, object]:
    """Return what the newest entry of a blade says."""
    body: dict[str, object] = phone.entries_of(log_id)[-1]["body"]
    return body
