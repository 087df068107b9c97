"""The screen that asks nothing: knuckle or pedal marks, then it is deaf a while; FIRE is never the mark."""

from __future__ import annotations

import time
from collections.abc import Iterator

import pytest
from brought import ending, shop_with
from common.running_server import RunningServer
from engine_scenes import going, hard
from phone import Phone
from playwright.sync_api import Browser, expect
from smith import Smith
from words import say

DEAF_MIN, HEARING_MIN = 1.5 / 60, 2.5 / 60  # deaf for 2 s, SCREENS.md 4.5
APART_S = 0.7  # farther apart than the half second in which a bouncing pedal counts once
MINUTE_MS = 60_000


@pytest.fixture(scope="module")
def shop(chromium: Browser, tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Phone, list[str]]]:
    """A phone with two blades on their way to the bath and a hard one, whose clock rings."""
    server = RunningServer(tmp_path_factory.mktemp("quench")).start()
    now_ms = round(time.time() * 1000)
    tags = [f"QF-15{number}" for number in range(3)]
    logs = [ending(going(), tag=tag, at_ms=now_ms) for tag in tags[:2]]
    ids = shop_with(server, *logs, ending(hard(), tag=tags[2], at_ms=now_ms - 10 * MINUTE_MS))
    phone = Phone(chromium, server.base_url, shift_ms=1)  # with a clock that can be held
    phone.join(server.join_link())
    phone.lists(*tags)
    yield phone, ids
    assert phone.troubles == []
    phone.close()
    server.stop()


def open_going(shop: tuple[Phone, list[str]], number: int) -> Smith:
    phone, ids = shop
    phone.open(f"blade/{ids[number]}")
    expect(phone.page.locator("main.quench")).to_be_visible()
    return Smith(phone, piece_id=ids[number])


def marks(phone: Phone, smith: Smith) -> list[str]:
    """Return the marks since it went to the bath."""
    made = [one["body"]["mark"] for one in phone.entries_of(smith.piece_id) if one["kind"] == "mark"]
    return made[made.index("going_to_quench") + 1 :]


def marked(phone: Phone, smith: Smith, *wanted: str) -> None:
    smith.wait_until(lambda: len(marks(phone, smith)) >= len(wanted), wanted[-1])
    assert marks(phone, smith) == list(wanted)


def all_clear(phone: Phone) -> None:
    expect(phone.page.locator("h1")).to_have_text(say("app.people.fire"))
    phone.press(say("app.people.all_clear"), hold_s=1.0)
    expect(phone.page.locator("main.work")).to_be_visible()


def test_a_pedal_marks_the_quench_backspace_takes_back_arrows_change_the_blade_and_escape_is_quiet(
    shop: tuple[Phone, list[str]],
) -> None:
    phone, smith = shop[0], open_going(shop, 1)
    keys = phone.page.keyboard
    with phone.clock_held():
        keys.press("Space")
        marked(phone, smith, "quenched")
        phone.pass_time(minutes=DEAF_MIN)
        time.sleep(APART_S)
        keys.press("Enter")
        time.sleep(APART_S)
        assert marks(phone, smith) == ["quenched"]
        phone.pass_time(minutes=HEARING_MIN - DEAF_MIN)
        keys.press("Enter")
        marked(phone, smith, "quenched", "out_of_bath")
    expect(phone.page.locator("main.work h1")).to_have_text(say("fold.word.straighten"))
    out = phone.entries_of(smith.piece_id)[-1]["id"]
    keys.press("Backspace")
    smith.wait_until(lambda: out in phone.fold_of(smith.piece_id)["withdrawn"], "taken back")
    expect(phone.page.locator("main.quench")).to_be_visible()
    seen = [phone.page.url]
    for _ in shop[1]:
        keys.press("ArrowRight")
        expect(phone.page).not_to_have_url(seen[-1])
        expect(phone.page.locator("main.work, main.quench")).to_be_visible()
        seen.append(phone.page.url)
    assert {url.rsplit("/", 1)[1] for url in seen} == set(shop[1])
    keys.press("ArrowLeft")
    expect(phone.page).to_have_url(seen[-2])
    phone.open(f"blade/{shop[1][2]}")
    ring = phone.page.locator(".notice.ring")
    expect(ring).to_be_visible()
    heard = ring.inner_text()
    keys.press("Escape")
    expect(phone.page.locator(".notice.ring", has_text=heard.splitlines()[0])).to_have_count(0)


def test_fire_on_the_way_to_the_bath_is_never_the_mark(shop: tuple[Phone, list[str]]) -> None:
    phone, smith = shop[0], open_going(shop, 0)
    for fire in (lambda: phone.press(say("app.people.fire")), lambda: phone.page.keyboard.press("f")):
        expect(phone.page.locator(".notice")).to_have_count(0)  # nothing rings into the quench
        before = marks(phone, smith)
        fire()
        all_clear(phone)
        assert marks(phone, smith) == [*before, "all_clear"]
        undo_all(phone, smith)


def undo_all(phone: Phone, smith: Smith) -> None:
    """Take the all-clear and the fire back: it was a false one, and the blade is on its way again."""
    while phone.page.locator("main.quench").count() == 0:
        before = len(phone.entries_of(smith.piece_id))
        phone.page.keyboard.press("Backspace")
        smith.wait_until(lambda before=before: len(phone.entries_of(smith.piece_id)) > before, "taken back")  # type: ignore[misc]
        phone.fold_of(smith.piece_id)


def test_a_second_knuckle_counts_once_and_fire_in_the_bath_is_not_out_of_it(
    shop: tuple[Phone, list[str]],
) -> None:
    phone, smith = shop[0], open_going(shop, 0)
    before = len(marks(phone, smith))
    field = phone.page.locator("main.quench [data-primary]")
    with phone.clock_held():
        phone.press(field)
        phone.shows(say("fold.word.in_bath"))
        phone.pass_time(minutes=DEAF_MIN)
        phone.touch(field)
        time.sleep(APART_S)
        assert marks(phone, smith)[before:] == ["quenched"]
        phone.pass_time(minutes=HEARING_MIN - DEAF_MIN)
    phone.press(say("app.people.fire"))
    all_clear(phone)
    assert marks(phone, smith)[before:] == ["quenched", "all_clear"]
