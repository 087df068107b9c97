"""An alarm that is due is heard, felt and seen; who would warn is told truly, NOBODY in the shape of stop."""

from __future__ import annotations

import time
from collections.abc import Iterator
from typing import Any

import pytest
from brought import ending, shop_with
from common.running_server import RunningServer
from engine_scenes import hard
from phone import Phone
from playwright.sync_api import Browser, expect
from smith import Smith
from test_refused_by_the_phone import permission
from words import say

MINUTE_MS = 60_000
ALARM_MIN = 60
LONG_SHORT_MS = [800, 200, 250, 500]  # the alarm's rhythm, SCREENS.md 4.6
SWEEP_HZ = 2000  # from 500
# Notes every tone, vibration, change of the light and wish for a lit screen, and lets the page be hidden.
SPY = """
(() => {
  const heard = { tones: [], ramps: [], vibrations: [], lights: [], wishes: 0 };
  globalThis.heard = heard;
  const start = AudioScheduledSourceNode.prototype.start;
  AudioScheduledSourceNode.prototype.start = function (...given) {
    heard.tones.push([this.context.state, ...given]);
    return start.apply(this, given);
  };
  const ramp = AudioParam.prototype.linearRampToValueAtTime;
  AudioParam.prototype.linearRampToValueAtTime = function (value, ...given) {
    heard.ramps.push([this.value, value]);
    return ramp.call(this, value, ...given);
  };
  const vibrate = Navigator.prototype.vibrate;
  Navigator.prototype.vibrate = function (rhythm) {
    heard.vibrations.push(rhythm);
    return vibrate.call(this, rhythm);
  };
  const ask = WakeLock.prototype.request;
  WakeLock.prototype.request = async function (...given) {
    heard.wishes += 1;
    heard.lock = await ask.apply(this, given);
    return heard.lock;
  };
  let hidden = false;
  const own = Object.getOwnPropertyDescriptor(Document.prototype, "visibilityState").get;
  const seen = { get() { return hidden ? "hidden" : own.call(document); } };
  Object.defineProperty(document, "visibilityState", seen);
  globalThis.hide = (on) => {
    hidden = on;
    if (on) void heard.lock?.release();
    document.dispatchEvent(new Event("visibilitychange"));
  };
  let light = "off";
  addEventListener("DOMContentLoaded", () => new MutationObserver(() => {
    const now = document.documentElement.dataset.light;
    if (now !== light) heard.lights.push([now, performance.now()]);
    light = now;
  }).observe(document.documentElement, { attributes: true, attributeFilter: ["data-light"] }));
})();
"""


def heard(phone: Phone) -> dict[str, Any]:
    noted: dict[str, Any] = phone.page.evaluate("({ ...heard, lock: undefined })")
    return noted


def forget(phone: Phone) -> None:
    phone.page.evaluate("Object.assign(heard, { tones: [], ramps: [], vibrations: [], lights: [] })")


@pytest.fixture(scope="module")
def phone(chromium: Browser, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Phone]:
    """A phone with a blade that was quenched a while ago; the page notes what it does to be noticed."""
    server = RunningServer(tmp_path_factory.mktemp("alarms")).start()
    now_ms = round(time.time() * 1000)
    (blade,) = shop_with(server, ending(hard(), tag="QF-160", at_ms=now_ms - 20 * MINUTE_MS))
    made = Phone(chromium, server.base_url, shift_ms=1)  # with a clock that can be moved
    made.context.add_init_script(SPY)
    made.open("blades")
    permission(made, "screen-wake-lock", "granted")
    made.join(server.join_link())
    made.lists("QF-160")
    made.open(f"blade/{blade}")
    made.reads(say("fold.word.brittle"))
    yield made
    assert made.troubles == []
    made.close()
    server.stop()


def asleep(phone: Phone, *, minutes: float) -> None:
    """Hide the page, let time pass, and look at it again."""
    phone.page.evaluate("hide(true)")
    phone.pass_time(minutes=minutes)
    phone.page.evaluate("hide(false)")


def unlock_by_the_test_of_the_sound(phone: Phone) -> None:
    """Try the sound out in the settings: it is heard, and from then on the page may sound."""
    blade = phone.page.url
    phone.open("settings")
    forget(phone)
    phone.press(say("app.alarm.test_one", way=say("app.alarm.sound")))
    expect(phone.page.locator("li", has_text=say("app.alarm.sound")).first).to_contain_text(
        say("app.alarm.worked")
    )
    Smith(phone).wait_until(lambda: len(heard(phone)["tones"]) >= 2, "two tones")
    phone.page.goto(blade)
    phone.reads(say("fold.word.brittle"))


def test_nobody_is_told_in_the_shape_of_stop_until_something_really_warns(phone: Phone) -> None:
    nobody = phone.page.locator("main.work .warns.nobody")
    expect(nobody).to_have_text(say("app.warns.nobody"))
    state = phone.page.locator("main.work .top svg path")  # BRITTLE is told in the shape of stop
    assert phone.fold_of(phone.page.url.rsplit("/", 1)[1])["shape"] == "octagon"
    assert nobody.locator("svg path").get_attribute("d") == state.get_attribute("d")
    unlock_by_the_test_of_the_sound(phone)
    warns = phone.page.locator("main.work .warns")
    expect(warns).to_have_text(say("app.warns.line", who=say("app.warns.screen")))
    phone.page.evaluate("hide(true)")
    expect(nobody).to_be_attached()
    phone.page.evaluate("hide(false)")
    expect(nobody).to_have_count(0)
    phone.offline()
    phone.kill_and_reopen()  # a new page has not been touched: it may not sound, and says so
    expect(phone.page.locator("main.work .warns.nobody")).to_have_text(say("app.warns.nobody"))
    expect(phone.page.get_by_text(say("app.warns.screen"))).to_have_count(0)


def test_the_screen_is_asked_to_stay_lit_again_after_the_page_was_hidden(phone: Phone) -> None:
    Smith(phone).wait_until(lambda: heard(phone)["wishes"] >= 1, "the first wish")
    before = heard(phone)["wishes"]
    asleep(phone, minutes=0.1)
    Smith(phone).wait_until(lambda: heard(phone)["wishes"] > before, "the second wish")


def test_a_brittle_alarm_that_falls_due_sounds_vibrates_and_lights_the_screen_at_most_once_a_second(
    phone: Phone,
) -> None:
    unlock_by_the_test_of_the_sound(phone)
    phone.press(say("app.quiet"))
    expect(phone.page.locator(".notice.ring")).to_have_count(0)
    forget(phone)
    asleep(phone, minutes=ALARM_MIN)
    ring = phone.page.locator(".notice.ring.alarm")
    expect(ring).to_contain_text("QF-160")
    Smith(phone).wait_until(lambda: len(heard(phone)["lights"]) >= 3, "the light changes")
    noted = heard(phone)
    assert len(noted["tones"]) >= 2
    assert {tone[0] for tone in noted["tones"]} == {"running"}
    assert SWEEP_HZ in [to for _, to in noted["ramps"]]
    assert LONG_SHORT_MS in noted["vibrations"]
    times = [at for _, at in noted["lights"]]
    assert len(times) - 1 <= (times[-1] - times[0]) / 1000 + 1, "more than one change a second"
    assert {state for state, _ in noted["lights"]} == {"on", "off"}

    phone.page.emulate_media(reduced_motion="reduce")
    Smith(phone).wait_until(lambda: light(phone) == "on", "lit, and steady")
    forget(phone)
    time.sleep(2.5)
    assert heard(phone)["lights"] == []
    phone.page.emulate_media(reduced_motion="no-preference")

    phone.press(say("app.quiet"))
    expect(ring).to_have_count(0)
    forget(phone)
    time.sleep(2.5)  # the alarm comes again after 1.75 s
    assert heard(phone)["tones"] == []
    assert light(phone) == "off"


def light(phone: Phone) -> str:
    return str(phone.page.evaluate("document.documentElement.dataset.light"))
