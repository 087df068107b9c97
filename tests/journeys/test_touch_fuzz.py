"""Drops, chips, a palm, a pedal that is leant on: hundreds of touches, keys and turns that nobody meant."""

from __future__ import annotations

import os
import random
import time
from collections.abc import Callable
from typing import Any

import pytest
from brought import bring, ending, joined
from common.running_server import RunningServer
from engine_scenes import going, ready
from log_maker import Log
from phone import VIEWPORT, Phone
from playwright.sync_api import CDPSession, expect

from temperward.engine import api
from temperward.engine.process.folded import UNDOABLE

# Screen -> where it is. The first two are brought: their state is over within a minute.
SCREENS = {
    "going to the bath": "blade/{QF-180}",
    "straighten now": "blade/{QF-181}",
    "hard": "blade/{QF-107}",
    "in the oven": "blade/{QF-108}",
    "stop point": "blade/{QF-110}",
    "choices": "blade/{QF-109}/check/magnet",
    "pad": "blade/{QF-108}/check/oven_temperature",
    "batch": "batch",
    "catch-up": "catch-up",
    "settings": "settings",
}
TOUCHES = 500
AT_A_TIME = 100  # then the glass may be turned
SEEDS = (1, 2)
LONG_SEEDS = range(100, 100 + int(os.environ.get("TEMPERWARD_FUZZ_SEEDS", "50")))
KEYS = {
    " ": "Space",
    "Enter": "Enter",
    "Backspace": "Backspace",
    "Escape": "Escape",
    "f": "KeyF",
    "ArrowLeft": "ArrowLeft",
    "ArrowDown": "ArrowDown",
    "7": "Digit7",
}
# By the phone's own clock, which is moved on: nobody waits. A new screen is deaf for less than the last two.
APART_MS = (0, 0, 20, 60, 160, 400)
PAUSES_MS = (*[0] * 30, 5, 20)  # really waited, so that what was begun comes to its end among the touches
SENT_LIMIT_S = 180  # a phone that failed for long waits longer each time
STRIP_PX = 74
TURNED = {"width": VIEWPORT["height"], "height": VIEWPORT["width"]}


# Touches and keys as the page hears them; holds, double touches and palms come through the browser's input.
# Whoever is lost for a while is put back, and a fire that chance reported is over after a few more touches:
# a key that is pressed twice does what a long hold does.
IN_PAGE = """async ([touches, wanted]) => {
  const channel = new MessageChannel();
  const turn = () => new Promise((done) => { channel.port1.onmessage = done; channel.port2.postMessage(0); });
  let lost = 0, fires = 0;
  const find_home = async () => {
    const clear = document.querySelector(".people-view button");
    fires = clear ? fires + 1 : 0;
    if (fires > 6) { clear.click(); await turn(); clear.click(); fires = 0; await turn(); }
    lost = location.hash === wanted ? 0 : lost + 1;
    if (lost > 8) { location.hash = wanted; lost = 0; await turn(); }
  };
  let shift_ms = Number(localStorage.getItem("journey-shift-ms"));
  for (const [key, code, x, y, apart_ms, wait_ms] of touches) {
    await find_home();
    shift_ms += apart_ms;
    localStorage.setItem("journey-shift-ms", String(shift_ms));
    const at = document.elementFromPoint(x, y) ?? document.body;
    const place = { bubbles: true, cancelable: true, composed: true, clientX: x, clientY: y };
    if (key) document.activeElement.dispatchEvent(new KeyboardEvent("keydown", { ...place, key, code }));
    else {
      const finger = { ...place, pointerId: 7, pointerType: "touch", isPrimary: true };
      at.dispatchEvent(new PointerEvent("pointerdown", finger));
      at.dispatchEvent(new PointerEvent("pointerup", finger));
      at.dispatchEvent(new MouseEvent("click", { ...place, detail: 1 }));
    }
    await (wait_ms ? new Promise((done) => setTimeout(done, wait_ms)) : turn());
  }
}"""


class Fingers:
    """What falls on the glass, by chance and by seed."""

    def __init__(self, phone: Phone, seed: int) -> None:
        self.phone = phone
        self.chance = random.Random(seed)  # noqa: S311 - the same seed, the same touches
        self.turned = False

    def fall(self, count: int, route: str) -> None:
        """Let so many touches and keys fall on a screen, and after them a hold, a double touch or a palm."""
        self.phone.page.evaluate(IN_PAGE, [[self._light() for _ in range(count - 1)], f"#/{route}"])
        session = self.phone.context.new_cdp_session(self.phone.page)
        self.chance.choice((self._hold, self._twice, self._twice, self._palm, self._palm))(session)
        session.detach()

    def turn(self) -> None:
        """Turn the phone, or leave it."""
        if self.chance.random() < 0.3:
            self.turned = not self.turned
            self.phone.page.set_viewport_size(TURNED if self.turned else VIEWPORT)

    def _light(self) -> list[Any]:
        """Mostly below the strip for people: FIRE is wanted among the rest, not above all of it."""
        key = self.chance.choice(list(KEYS)) if self.chance.random() < 0.25 else ""
        if key == "f" and self.chance.random() < 0.8:
            key = "Enter"
        place = self._place()
        if place["y"] < STRIP_PX and self.chance.random() < 0.8:
            place = self._place()
        waits = [self.chance.choice(APART_MS), self.chance.choice(PAUSES_MS)]
        return [key, KEYS.get(key, ""), place["x"], place["y"], *waits]

    def _place(self) -> dict[str, float]:
        size = TURNED if self.turned else VIEWPORT
        return {
            "x": self.chance.uniform(1, size["width"] - 1),
            "y": self.chance.uniform(1, size["height"] - 1),
        }

    def _touch(self, session: CDPSession, *places: dict[str, float], hold_s: float = 0.0) -> None:
        session.send("Input.dispatchTouchEvent", {"type": "touchStart", "touchPoints": list(places)})
        time.sleep(hold_s)
        session.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})

    def _hold(self, session: CDPSession) -> None:
        self._touch(session, self._place(), hold_s=self.chance.uniform(0.3, 1.3))

    def _twice(self, session: CDPSession) -> None:
        place = self._place()
        self._touch(session, place)
        time.sleep(self.chance.uniform(0.02, 0.15))
        self._touch(session, place)

    def _palm(self, session: CDPSession) -> None:
        self._touch(session, *({**self._place(), "id": n} for n in range(self.chance.randint(2, 5))))


def by_log(phone: Phone) -> dict[str, list[dict[str, Any]]]:
    """Return what the phone holds of its blades, in log order."""
    found: dict[str, list[dict[str, Any]]] = {}
    for entry in sorted(phone.stored("entries"), key=lambda one: (one["lamport"], one["id"])):
        if entry["log_kind"] == "piece":
            found.setdefault(entry["log_id"], []).append(entry)
    return found


def folded(log_id: str, entries: list[dict[str, Any]], now_ms: int) -> dict[str, Any]:
    facts = {"log_kind": "piece", "log_id": log_id, "entries": entries, "now_ms": now_ms}
    said = api.ask("fold", facts)
    assert "answer" in said, said
    return {
        name: said["answer"][name] for name in ("state", "people", "cycles_done", "tempers_done", "findings")
    }


def taken_back(entries: list[dict[str, Any]], new: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Return a log in which everything new is taken back, the newest first.

    What undo can reach goes by undo; what undo itself took away of the old is put back, as the log offers it.
    """
    whole = list(entries)
    undone = {entry["body"]["entry_id"] for entry in new if entry["kind"] == "withdraw"}
    made = {entry["id"] for entry in new}
    for number, entry in enumerate(reversed(new)):
        took_old = entry["kind"] == "withdraw" and entry["body"]["entry_id"] not in made
        if (entry["kind"] in UNDOABLE or took_old) and entry["id"] not in undone:
            line = {"kind": "withdraw", "body": {"entry_id": entry["id"]}, "id": f"undo-{number}"}
            whole.append({**entries[-1], **line, "lamport": whole[-1]["lamport"] + 1})
    return whole


# They are not ours: paper is not printed, and no window opens to choose a file from. A touch made in the page
# is no touch to the browser, which would refuse that window with an error of its own.
WINDOWS_OF_THE_BROWSER = """
window.print = () => {};
document.addEventListener("click", (event) => {
  if (event.target instanceof HTMLInputElement && event.target.type === "file") event.preventDefault();
}, true);
"""

ALL_CLEAR = """() => {
  const clear = document.querySelector(".people-view button");
  clear?.click();
  setTimeout(() => clear?.click(), 50);
}"""


def put_on(phone: Phone, route: str) -> None:
    """Go to a screen from wherever the touches have led; a fire that chance reported is over."""
    phone.open(route)
    expect(phone.page.locator("main")).to_be_visible()
    phone.page.evaluate(ALL_CLEAR)
    expect(phone.page.locator(".people-view")).to_have_count(0)


def touch_on(phone: Phone) -> None:
    """Chance may have switched touches off: switched on again as by keys, which press twice for a hold."""
    strip = phone.page.locator(".touch-strip button")
    if strip.count():
        strip.evaluate("one => { one.click(); setTimeout(() => one.click(), 50); }")
        expect(strip).to_have_count(0)


def let_fall(fingers: Fingers, route: str) -> None:
    put_on(fingers.phone, route)
    for _ in range(TOUCHES // AT_A_TIME):
        fingers.fall(AT_A_TIME, route)
        fingers.turn()


def real_undo(phone: Phone, log_id: str) -> bool:
    """Press undo on a blade whose last entry can be taken back; say whether there was one."""
    put_on(phone, f"blade/{log_id}")
    touch_on(phone)
    undo = phone.page.locator(".small-row button").last
    if phone.page.locator("main.work").count() == 0 or not undo.is_enabled():
        return False
    offered = phone.fold_of(log_id)["undo"]
    mine = next(one for one in phone.entries_of(log_id) if one["id"] == offered["entry_id"])
    phone.press(undo)
    until_s = time.monotonic() + SENT_LIMIT_S
    while phone.entries_of(log_id)[-1]["body"] != {"entry_id": mine["id"]}:
        assert time.monotonic() < until_s, "undo was pressed and nothing was taken back"
        time.sleep(0.05)
    assert phone.entries_of(log_id)[-1]["kind"] == "withdraw"
    return True


def everything_is_sent(phone: Phone, server: RunningServer) -> None:
    phone.offline(on=False)
    until_s = time.monotonic() + SENT_LIMIT_S
    while phone.stored("outbox") and time.monotonic() < until_s:
        time.sleep(0.5)
    on_server = {row["id"] for row in server.rows("SELECT id FROM entries")}
    assert {entry["id"] for entry in phone.stored("entries")} <= on_server, phone.stored("outbox")


def out_of_the_bath() -> Log:
    """Out of the bath, and still to be straightened."""
    log = ready().harden()
    log.mark("out_of_bath", after_s=14)
    return log


def shop_to_touch(server: RunningServer, phone: Phone) -> dict[str, str]:
    """Join the demo shop with two blades that are in the middle of it; return the blades by their tags."""
    link = server.load_demo()
    now_ms = round(time.time() * 1000)
    brought = (("QF-180", going()), ("QF-181", out_of_the_bath()))
    bring(joined(server), *(ending(log, tag=tag, at_ms=now_ms) for tag, log in brought))
    phone.join(link)
    phone.lists("QF-107", "QF-108", "QF-109", "QF-110", *(tag for tag, _ in brought))
    return {
        entry["body"]["tag"]: entry["log_id"]
        for entry in phone.stored("entries")
        if entry["kind"] == "piece_made" and "tag" in entry["body"]
    }


def fuzz(seed: int, server: RunningServer, phone: Phone) -> None:
    phone.context.add_init_script(WINDOWS_OF_THE_BROWSER)
    ids = shop_to_touch(server, phone)
    known = {entry["id"] for entry in phone.stored("entries")}
    before = by_log(phone)
    phone.offline()
    fingers = Fingers(phone, seed)
    for route in SCREENS.values():
        let_fall(fingers, route.format_map(ids))
    phone.page.set_viewport_size(VIEWPORT)
    put_on(phone, "blades")
    touched = [log_id for log_id, entries in by_log(phone).items() if len(entries) > len(before[log_id])]
    assert [log_id for log_id in touched if real_undo(phone, log_id)], "no undo was ever on offer"
    phone.page.reload()
    after = by_log(phone)
    now_ms = phone.now_ms()
    for log_id, entries in before.items():
        new = [entry for entry in after[log_id] if entry not in entries]
        assert [entry for entry in after[log_id] if entry in entries] == entries, "nothing is lost"
        back = folded(log_id, taken_back(after[log_id], new), now_ms)
        assert back == folded(log_id, entries, now_ms), "undo takes everything back"
    everything_is_sent(phone, server)
    made = [entry for entry in phone.stored("entries") if entry["id"] not in known]
    assert len(made) > len(SCREENS), "the touches touched nothing"
    assert {entry["log_id"] for entry in made} >= {ids["QF-180"], ids["QF-107"]}


@pytest.mark.parametrize("seed", SEEDS)
def test_touches_by_chance_lose_nothing_and_do_nothing_that_undo_cannot_take_back(
    seed: int, server: RunningServer, new_phone: Callable[..., Phone]
) -> None:
    fuzz(seed, server, new_phone(server, shift_ms=1, scale=1))


@pytest.mark.long
@pytest.mark.parametrize("seed", LONG_SEEDS)
def test_many_more_touches_by_chance(
    seed: int, server: RunningServer, new_phone: Callable[..., Phone]
) -> None:
    fuzz(seed, server, new_phone(server, shift_ms=1, scale=1))
