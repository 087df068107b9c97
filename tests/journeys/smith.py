"""A smith at work: presses the one action, answers what is asked, lets time pass."""

from __future__ import annotations

import re
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from phone import PATIENCE_S, Phone
from playwright.sync_api import expect
from words import say

TOO_EARLY = (say("fold.do.out_early"), say("fold.do.going_early"))

Answers = dict[str, dict[str, Any]]
START_S = 1.6  # an app that starts looks at its list first, then at how long it was away
LONG_STORY = 60  # presses; a story that needs more goes round in circles

USUAL: Answers = {
    "edge_thickness": {"readings_mm": [1.05, 1, 1.02]},
    "edge_off_centre": {"value_mm": 0.1},
    "left_right": {"difference_mm": 0.1},
    "scratches": {"along": True, "grit": 220},
    "corners": {"radiused": True, "deburred": True},
    "bath_temperature": {"temperature_c": 54},
    "bath_ready": {"covers_blade": True, "lid": True, "extinguisher": True, "path": True, "tipping": True},
    "oven_temperature": {"temperature_c": 205},
    "flash_point": {"flash_c": 190},
    "magnet": {"rising": True, "answer": "none"},
    "colour": {"even": True, "bright": False},
    "sight": {"answer": "straight"},
    "file": {"file_hrc": "62", "place": "edge", "answer": "skates"},
    "crack": {"method": "sight", "answer": "none"},
    "blade_temperature": {"temperature_c": 31},
}


def even_bow(bow_mm: float) -> list[float]:
    """Return seven gaps over 1.0 mm pads, an arc whose chord bow is bow_mm in the middle and no kink."""
    return [round(1 + bow_mm * 4 * (k / 6) * (1 - k / 6), 2) for k in range(7)]


@dataclass
class Smith:
    """The person at the phone; answers hold what this blade says when it is asked."""

    phone: Phone
    answers: Answers = field(default_factory=lambda: {name: dict(body) for name, body in USUAL.items()})
    piece_id: str = ""

    def path(self) -> list[str]:
        """Return the parts of the route."""
        return [part for part in self.phone.page.url.split("#", 1)[-1].split("/") if part]

    def begin(self, tag: str, facts: dict[str, str], picks: dict[str, str]) -> None:
        """Make a new blade: facts, card, begin."""
        phone = self.phone
        phone.open("blades")
        phone.press(say("app.blades.new"))
        for name, text in {"tag": tag, **facts}.items():
            label = phone.page.get_by_label(re.compile("^" + re.escape(say(f"app.field.{name}"))))
            if name == "steel":
                label.select_option(text)
            else:
                label.fill(text)
        for name, choice in picks.items():
            phone.pick(name, choice)
        phone.press(say("app.new.ask"))
        phone.press(say("app.new.make"))
        expect(phone.page.get_by_role("button", name=re.compile(f"^{tag}"))).to_be_visible()
        self.piece_id = self.path()[1]

    def blade(self) -> None:
        """Go to the working screen of this blade."""
        self.phone.open(f"blade/{self.piece_id}")

    def press_on(self) -> str:
        """Press the one action; answer the check that it opens. Return what was pressed."""
        primary = self.phone.primary()
        expect(primary).to_be_enabled()
        label = primary.inner_text()
        before = len(self.phone.entries_of(self.piece_id))
        self.phone.press(self.phone.primary(label))
        self.wait_until(
            lambda: "check" in self.path() or len(self.phone.entries_of(self.piece_id)) > before, label
        )
        if "check" in self.path():
            self.answer(self.path()[3])
            self.wait_until(lambda: len(self.phone.entries_of(self.piece_id)) > before, label)
        self.phone.fold_of(self.piece_id)
        return label

    def wait_until(self, holds: Callable[[], bool], what: str, *, limit_s: float = PATIENCE_S) -> None:
        """Wait until something holds."""
        deadline = time.monotonic() + limit_s
        while not holds():
            assert time.monotonic() < deadline, f"nothing came of: {what}"
            time.sleep(0.05)

    def answer(self, check: str) -> None:
        """Fill the check that is open with what this blade says, and come back to it."""
        if check == "straightness":
            self.phone.stations(
                self.answers["straightness"]["gaps_mm"], **self.answers["straightness"]["paper"]
            )
        else:
            self.phone.check(check, **self.answers[check])
        expect(self.phone.page.locator("main.work, main.quench")).to_be_visible()

    def bow(self, bow_mm: float, *, gaps_mm: list[float] | None = None) -> None:
        """Let the next straightness reading say this."""
        self.answers["straightness"] = {"gaps_mm": gaps_mm or even_bow(bow_mm), "paper": {}}

    def press(self, label: str) -> None:
        """Press the one action, which must be this one."""
        expect(self.phone.primary()).to_have_text(label)
        self.press_on()

    def primary_label(self) -> str:
        """Return the label of the one action, once the screen shows what the fold says.

        The screen comes first and the stored fold after it, so both are read until they agree.
        """

        def folded() -> str:
            label = self.phone.fold_of(self.piece_id)["next"]["label"]
            return say(label["key"], **label["facts"])

        deadline = time.monotonic() + PATIENCE_S
        while (shown := self.phone.primary().inner_text()) != (told := folded()):
            assert time.monotonic() < deadline, f"the screen says {shown}, the fold {told}"
            time.sleep(0.1)
        return shown

    def until_can(self, label: str) -> list[str]:
        """Press on until the one action is this, and hold where a hold runs; return what was pressed."""
        pressed: list[str] = []
        for _ in range(LONG_STORY):
            shown = self.primary_label()
            if shown == label:
                return pressed
            if shown in TOO_EARLY:
                self.hold()
            else:
                pressed.append(self.press_on())
        raise AssertionError(f"never {label}: {pressed}")

    def hold(self) -> None:
        """Let the hold run that the screen counts down."""
        until_ms = self.phone.fold_of(self.piece_id)["number"]["until_ms"]
        self.wait((until_ms - self.phone.now_ms()) / 60_000 + 0.1)

    def until_asked(self, check: str) -> None:
        """Press on until the one action asks for this check, by its name on the button."""
        self.until_can(say(f"fold.do.check_{check}"))

    def wait(self, minutes: float) -> None:
        """Let time pass with the phone asleep, and look at it again."""
        self.phone.pass_time(minutes=minutes)
        self.phone.folded_for_now(self.piece_id)
        self.look()

    def die(self, *, dead_min: float = 0) -> None:
        """Lose the page, start the app again, and look; after more than two minutes the app asks."""
        self.phone.kill_and_reopen(dead_min=dead_min)
        if dead_min > 0:
            expect(self.phone.page.get_by_role("heading", name=say("app.catch_up.title"))).to_be_visible()
        else:
            time.sleep(START_S)
        self.look()

    def look(self) -> None:
        """Where the app asks what ran on meanwhile, answer "not yet" and go on."""
        page = self.phone.page
        if page.get_by_role("heading", name=say("app.catch_up.title")).is_visible():
            self.phone.press(say("fold.do.not_yet"))
        expect(page.locator("main.work, main.quench")).to_be_visible()
