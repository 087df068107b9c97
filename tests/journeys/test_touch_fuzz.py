"""Drops, chips, a palm, a pedal that is leant on: hundreds of touches, keys and turns that nobody meant."""

from __future__ import annotations

import os
import random
import time
from collections.abc import Callable
from typing import Any

import pytest
from common.running_server import RunningServer
from phone import VIEWPORT, Phone
from playwright.sync_api import CDPSession, expect
from words import say

from temperward.engine import api
from temperward.engine.process.folded import UNDOABLE

SCREENS = ("QF-107", "QF-108", "QF-110", "settings")  # hard, in the oven, before the fire, sitting
TOUCHES = 500
AT_A_TIME = 25  # then the glass is turned, and whoever got lost is put back on the screen
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
PAUSES_S = (0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.005, 0.02, 0.16)  # the last is longer than a new screen is deaf
SENT_LIMIT_S = 60
ALL_CLEAR_S = 1.2
MOST_FIRES = 10  # one after another: FIRE, CO and HURT may all have been touched
TURNED = {"width": VIEWPORT["height"], "height": VIEWPORT["width"]}


class Fingers:
    """What falls on the glass, by chance and by seed."""

    def __init__(self, phone: Phone, seed: int) -> None:
        self.phone = phone
        self.chance = random.Random(seed)  # noqa: S311 - the same seed, the same touches
        self.turned = False

    def fall(self, count: int) -> None:
        """Let so many touches, keys and palms fall."""
        session = self.phone.context.new_cdp_session(self.phone.page)
        for _ in range(count):
            self.chance.choices(
                (self._touch, self._twice, self._hold, self._palm, self._key), (62, 10, 1, 5, 22)
            )[0](session)
            time.sleep(self.chance.choice(PAUSES_S))
        session.detach()

    def turn(self) -> None:
        """Turn the phone, or leave it."""
        if self.chance.random() < 0.3:
            self.turned = not self.turned
            self.phone.page.set_viewport_size(TURNED if self.turned else VIEWPORT)

    def _place(self) -> dict[str, float]:
        size = TURNED if self.turned else VIEWPORT
        return {
            "x": self.chance.uniform(1, size["width"] - 1),
            "y": self.chance.uniform(1, size["height"] - 1),
        }

    def _send(self, session: CDPSession, kind: str, places: list[dict[str, float]]) -> None:
        session.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": places})

    def _touch(
        self, session: CDPSession, place: dict[str, float] | None = None, *, hold_s: float = 0.0
    ) -> None:
        self._send(session, "touchStart", [place or self._place()])
        time.sleep(hold_s)
        self._send(session, "touchEnd", [])

    def _twice(self, session: CDPSession) -> None:
        place = self._place()
        self._touch(session, place)
        time.sleep(self.chance.uniform(0.02, 0.15))
        self._touch(session, place)

    def _hold(self, session: CDPSession) -> None:
        self._touch(session, hold_s=self.chance.uniform(0.3, 1.3))

    def _palm(self, session: CDPSession) -> None:
        places = [{**self._place(), "id": number} for number in range(self.chance.randint(2, 5))]
        self._send(session, "touchStart", places)
        self._send(session, "touchEnd", [])

    def _key(self, session: CDPSession) -> None:
        key = self.chance.choice(list(KEYS))
        more = {"key": key, "code": KEYS[key], **({"text": key} if len(key) == 1 else {})}
        session.send("Input.dispatchKeyEvent", {"type": "keyDown", **more})
        session.send("Input.dispatchKeyEvent", {"type": "keyUp", "key": key, "code": KEYS[key]})


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
    """Return a log in which everything new that undo can reach is taken back, the newest first."""
    whole = list(entries)
    undone = {entry["body"]["entry_id"] for entry in new if entry["kind"] == "withdraw"}
    for number, entry in enumerate(reversed(new)):
        if entry["kind"] in UNDOABLE and entry["id"] not in undone:
            line = {"kind": "withdraw", "body": {"entry_id": entry["id"]}, "id": f"undo-{number}"}
            whole.append({**entries[-1], **line, "lamport": whole[-1]["lamport"] + 1})
    return whole


def put_on(phone: Phone, screen: str, routes: dict[str, str]) -> None:
    """Go to the screen, from wherever the touches have led; a fire that chance reported is over."""
    phone.open(routes[screen])
    expect(phone.page.locator("main")).to_be_visible()
    all_clear = phone.button(say("app.people.all_clear"))
    for _ in range(MOST_FIRES):
        if all_clear.count() == 0:
            return
        phone.press(all_clear, hold_s=ALL_CLEAR_S)
        time.sleep(0.5)


def routes_of(phone: Phone) -> dict[str, str]:
    tags = {
        entry["body"]["tag"]: f"blade/{entry['log_id']}"
        for entry in phone.stored("entries")
        if entry["kind"] == "piece_made" and "tag" in entry["body"]
    }
    return {**tags, "settings": "settings", "blades": ""}


def let_fall(phone: Phone, fingers: Fingers, screen: str, routes: dict[str, str]) -> None:
    put_on(phone, screen, routes)
    for _ in range(TOUCHES // AT_A_TIME):
        fingers.fall(AT_A_TIME)
        fingers.turn()
        if fingers.chance.random() < 0.5:
            put_on(phone, screen, routes)


def everything_is_sent(phone: Phone, server: RunningServer) -> None:
    phone.offline(on=False)
    until_s = time.monotonic() + SENT_LIMIT_S
    while phone.stored("outbox") and time.monotonic() < until_s:
        time.sleep(0.5)
    on_server = {row["id"] for row in server.rows("SELECT id FROM entries")}
    assert {entry["id"] for entry in phone.stored("entries")} <= on_server


def fuzz(seed: int, server: RunningServer, phone: Phone) -> None:
    phone.context.add_init_script("window.print = () => {};")  # the browser's own window, not ours
    phone.join(server.load_demo())
    routes = routes_of(phone)
    known = phone.stored("entries")
    before = by_log(phone)
    phone.offline()
    fingers = Fingers(phone, seed)
    for screen in SCREENS:
        let_fall(phone, fingers, screen, routes)
    phone.page.set_viewport_size(VIEWPORT)
    put_on(phone, "blades", routes)
    phone.page.reload()
    phone.shows(say("app.blades.title"))
    after = by_log(phone)
    now_ms = phone.now_ms()
    for log_id, entries in before.items():
        new = [entry for entry in after[log_id] if entry not in entries]
        assert [entry for entry in after[log_id] if entry in entries] == entries, "nothing is lost"
        back = folded(log_id, taken_back(after[log_id], new), now_ms)
        assert back == folded(log_id, entries, now_ms), "undo takes everything back"
    everything_is_sent(phone, server)
    assert len(phone.stored("entries")) > len(known) + 20, "the touches touched nothing"


@pytest.mark.parametrize("seed", SEEDS)
def test_touches_by_chance_lose_nothing_and_do_nothing_that_undo_cannot_take_back(
    seed: int, server: RunningServer, new_phone: Callable[..., Phone]
) -> None:
    fuzz(seed, server, new_phone(server))


@pytest.mark.long
@pytest.mark.parametrize("seed", LONG_SEEDS)
def test_many_more_touches_by_chance(
    seed: int, server: RunningServer, new_phone: Callable[..., Phone]
) -> None:
    fuzz(seed, server, new_phone(server))
