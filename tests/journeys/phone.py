"""A phone in a browser: 390x844, touch, its own storage, a clock that moves, a page that can be killed."""

from __future__ import annotations

import itertools
import re
import time
from dataclasses import dataclass, field
from typing import Any

from playwright.sync_api import Browser, BrowserContext, Locator, Page, expect
from words import say

VIEWPORT = {"width": 390, "height": 844}
PRESS_S = 0.08  # a gloved knuckle rests about this long
SETTLE_S = 0.2  # contacts within 150 ms of a new screen are ignored by design
NOISE = re.compile(r"ERR_INTERNET_DISCONNECTED|ERR_CONNECTION_REFUSED|Failed to load resource|ERR_NETWORK")

CLOCK = """
(() => {
  const shift = () => Number(localStorage.getItem("journey-shift-ms") ?? "SHIFT");
  const RealDate = Date;
  class MovedDate extends RealDate {
    constructor(...given) { given.length === 0 ? super(RealDate.now() + shift()) : super(...given); }
    static now() { return RealDate.now() + shift(); }
  }
  globalThis.Date = MovedDate;
})();
"""


@dataclass
class Phone:
    """One phone. Everything a person does goes through `press`, by the names the screens show."""

    browser: Browser
    base_url: str
    shift_ms: int = 0
    dark: bool = False
    context: BrowserContext = field(init=False)
    page: Page = field(init=False)
    troubles: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.context = self.browser.new_context(
            viewport=VIEWPORT,
            has_touch=True,
            is_mobile=True,
            device_scale_factor=2,
            locale="en-GB",
            timezone_id="Europe/Dublin",
            color_scheme="dark" if self.dark else "light",
            service_workers="allow",
        )
        self.context.set_default_timeout(20_000)
        if self.shift_ms:
            self.context.add_init_script(CLOCK.replace("SHIFT", str(self.shift_ms)))
        self._new_page()

    def _new_page(self) -> None:
        self.page = self.context.new_page()
        self.page.on("pageerror", lambda error: self.troubles.append(str(error)))
        self.page.on("console", self._hear)

    def _hear(self, message: Any) -> None:
        if message.type in ("error", "warning") and not NOISE.search(message.text):
            self.troubles.append(message.text)

    def close(self) -> None:
        """Put the phone away."""
        self.context.close()

    # the clock, the page, the network

    def pass_time(self, *, minutes: float) -> None:
        """Let wall time pass, as while the phone sleeps."""
        self.shift_ms += round(minutes * 60_000)
        self.page.evaluate("ms => localStorage.setItem('journey-shift-ms', String(ms))", self.shift_ms)

    def now_ms(self) -> int:
        """Return the phone's wall clock."""
        return int(self.page.evaluate("Date.now()"))

    def kill_and_reopen(self) -> None:
        """End the page as a dead battery would, without a goodbye; start the app again at its address."""
        url = self.page.url
        cdp = self.context.new_cdp_session(self.page)
        with self.page.expect_event("crash"):
            cdp.send("Page.crash")
        self.page.close()
        self._new_page()
        self.page.goto(url)

    def offline(self, *, on: bool = True) -> None:
        """Airplane mode on or off."""
        self.context.set_offline(on)

    # getting in

    def open(self, path: str = "") -> None:
        """Open the app, or one of its routes."""
        self.page.goto(f"{self.base_url}/#/{path}")

    def join(self, link: str) -> None:
        """Follow a joining link to the list of blades, and wait until the app can start without a network."""
        self.page.goto(link)
        self.press_primary()
        expect(self.page.get_by_role("heading", name=say("app.blades.title"))).to_be_visible()
        self.page.evaluate("navigator.serviceWorker.ready.then(() => true)")
        self.page.reload()  # the second start is the one that must work without a network
        self.shows(say("app.blades.title"))
        assert self.page.evaluate("navigator.serviceWorker.controller !== null")

    # reading

    def word(self) -> str:
        """Return the state word."""
        return self.page.locator("h1").first.inner_text()

    def shows(self, text: str | re.Pattern[str]) -> None:
        """Wait until a text is on the screen."""
        expect(self.page.get_by_text(text).first).to_be_visible()

    def primary(self) -> Locator:
        """Return the one action."""
        return self.page.locator("[data-primary]:visible").first

    # pressing

    def press(self, target: str | Locator, *, hold_s: float = PRESS_S) -> None:
        """Press a button by its name, as a thumb does: down, a moment, up; then the screen settles."""
        button = self.button(target) if isinstance(target, str) else target
        expect(button).to_be_visible()
        expect(button).to_be_enabled()
        button.scroll_into_view_if_needed()
        time.sleep(SETTLE_S)
        box = button.bounding_box()
        assert box is not None, target
        self._touch(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2, hold_s=hold_s)

    def button(self, name: str) -> Locator:
        """Return the button of this name."""
        return self.page.get_by_role("button", name=name, exact=True).first

    def _touch(self, x: float, y: float, *, hold_s: float) -> None:
        cdp = self.context.new_cdp_session(self.page)
        cdp.send("Input.dispatchTouchEvent", {"type": "touchStart", "touchPoints": [{"x": x, "y": y}]})
        time.sleep(hold_s)
        cdp.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
        cdp.detach()

    def press_primary(self, *, hold_s: float = PRESS_S) -> None:
        """Press the one action."""
        self.press(self.primary(), hold_s=hold_s)

    # forms

    def yes_no(self, field_name: str, *, yes: bool) -> None:
        """Answer one yes or no of a check."""
        group = self.page.get_by_role("group", name=say(f"app.field.{field_name}"))
        self.press(group.get_by_role("button", name=say("app.yes" if yes else "app.no"), exact=True))

    def pick(self, field_name: str, choice: str) -> None:
        """Pick one of several."""
        group = self.page.get_by_role("group", name=say(f"app.field.{field_name}"))
        self.press(group.get_by_role("button", name=choice, exact=True))

    def type_number(self, number: float, *, places: int | None = None) -> None:
        """Type a number on the pad, with a decimal comma."""
        text = f"{number:g}" if places is None else f"{number:.{places}f}"
        pad = self.page.get_by_role("group", name=say("app.pad.keys"))
        for key in text.replace(".", ","):
            self.press(
                pad.get_by_role("button", name=say("app.pad.comma") if key == "," else key, exact=True)
            )

    def check(self, check: str, **values: Any) -> None:
        """Fill the form of a check that is open, and keep it."""
        expect(self.page.locator("h1")).to_have_text(say(f"app.check.{check}"))
        for name, value in values.items():
            if isinstance(value, bool):
                self.yes_no(name, yes=value)
            elif isinstance(value, str) and name == "answer":
                self.press(say(f"app.choice.{value}"))
                return
            elif isinstance(value, str):
                self.pick(name, value if value.isdigit() else say(f"app.choice.{value}"))
            else:
                self._numbers(value if isinstance(value, list) else [value])
                return
        self.press_primary()

    def _numbers(self, numbers: list[float]) -> None:
        for number in numbers:
            self.type_number(number)
            self.press_primary()

    def stations(self, gaps_mm: list[float]) -> None:
        """Type feeler gaps from station to station, and keep them."""
        for gap_mm in gaps_mm:
            self.type_number(gap_mm)
            self.press_primary()

    # the phone's own database

    def stored(self, store: str) -> list[dict[str, Any]]:
        """Return all rows of one of the phone's stores, read beside the app."""
        code = """name => new Promise((resolve, reject) => {
          const opening = indexedDB.open("temperward");
          opening.onerror = () => reject(opening.error);
          opening.onsuccess = () => {
            const asked = opening.result.transaction(name).objectStore(name).getAll();
            asked.onsuccess = () => { opening.result.close(); resolve(asked.result); };
            asked.onerror = () => reject(asked.error);
          };
        })"""
        rows: list[dict[str, Any]] = self.page.evaluate(code, store)
        return rows

    def entries_of(self, log_id: str) -> list[dict[str, Any]]:
        """Return the entries of one log in log order."""
        entries = [row for row in self.stored("entries") if row["log_id"] == log_id]
        return sorted(entries, key=lambda entry: (entry["lamport"], entry["id"]))

    def wait_for_entries(self, log_id: str, count: int) -> None:
        """Wait until a log has so many entries on this phone."""
        for _ in itertools.repeat(None, 100):
            if len(self.entries_of(log_id)) >= count:
                return
            time.sleep(0.1)
        raise AssertionError(f"{len(self.entries_of(log_id))} of {count} entries on the phone")
