"""A phone in a browser: 390x844, touch, its own storage, a clock that moves, a page that can be killed."""

from __future__ import annotations

import math
import os
import re
import signal
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from playwright.sync_api import Browser, BrowserContext, CDPSession, Error, Locator, Page, expect
from words import say

VIEWPORT = {"width": 390, "height": 844}
PATIENCE_S = 60  # a busy machine is slow, not wrong
LOOKS = 9
HEIGHTS = (0.5, 0.25, 0.75)  # of the glass: keys lie over one end of it, an alarm over the other
PRESS_S = 0.08  # a gloved knuckle rests about this long
SETTLE_S = 0.2  # contacts within 150 ms of a new screen are ignored by design
APART_S = 0.6  # two contacts at one place within half a second are one, by design
APART_PX = 60
NOISE = re.compile(r"ERR_INTERNET_DISCONNECTED|ERR_CONNECTION_REFUSED|Failed to load resource|ERR_NETWORK")

CLOCK = """
(() => {
  const shift = () => Number(localStorage.getItem("journey-shift-ms") ?? "SHIFT");
  const now = () => Number(localStorage.getItem("journey-held-ms") ?? RealDate.now() + shift());
  const RealDate = Date;
  class MovedDate extends RealDate {
    constructor(...given) { given.length === 0 ? super(now()) : super(...given); }
    static now() { return now(); }
  }
  globalThis.Date = MovedDate;
})();
"""

MOVE_CLOCK = """([shift_ms, by_ms]) => {
  localStorage.setItem("journey-shift-ms", String(shift_ms));
  const held_ms = localStorage.getItem("journey-held-ms");
  if (held_ms !== null) localStorage.setItem("journey-held-ms", String(Number(held_ms) + by_ms));
}"""

WOKE = """
if (SHIFT !== 0 && !sessionStorage.getItem("journey-woke")) {
  sessionStorage.setItem("journey-woke", "yes");
  localStorage.setItem("journey-shift-ms", "SHIFT");
}
"""

SCROLL_TO = """(one, height) => {
  one.scrollIntoView({ block: "center" });
  const { top, bottom } = one.getBoundingClientRect();
  scrollBy(0, (top + bottom) / 2 - innerHeight * height);
}"""

STILL_LOOKS = 4
ROWS = """[...document.querySelectorAll("main button")].map((one) =>
  `${one.offsetTop} ${one.textContent.replace(/[\\d:.+]+/g, "")}`).join()"""

# What became of the last touch: heard before the app hears it, judged after.
TOUCHES = """
addEventListener("pointerdown", ({ target }) => {
  const aim = globalThis.journeyAim;
  const other = target.closest("button")?.innerText ?? "nothing";
  const felt = aim?.matches(".quench *") ? "felt" : "met"; // there the touch itself acts
  globalThis.journeyTouch = !aim || aim.contains(target) ? felt : `met ${other} instead`;
}, true);
const becomes = (from, to) => () => {
  if (globalThis.journeyTouch === from) globalThis.journeyTouch = to;
};
addEventListener("click", becomes("met", "ignored"), true);
document.addEventListener("click", becomes("ignored", "felt"), true); // what is ignored never comes here
"""
AIM = "one => { globalThis.journeyAim = one; globalThis.journeyTouch = 'not felt'; }"
AGAIN = ("ignored", "met nothing instead")
CLICK_S = 0.5
DRAWN_S = 0.05  # what a press changes is drawn a frame or two after it

UNCOVERED = "(one, [x, y]) => one.contains(document.elementFromPoint(x, y))"


def until(page: Page, script: str, holds: Callable[[Any], bool]) -> Any:
    """Ask the page again and again until the answer is such a one.

    The browser library's own wait takes any promise for a yes.
    """
    deadline = time.monotonic() + PATIENCE_S
    while not holds(answer := page.evaluate(script)):
        assert time.monotonic() < deadline, answer
        time.sleep(0.05)
    return answer


def renderers(browser: CDPSession) -> set[int]:
    """Return the processes in which the browser has its pages and workers."""
    processes = browser.send("SystemInfo.getProcessInfo")["processInfo"]
    return {process["id"] for process in processes if process["type"] == "renderer"}


def words_on(button: Locator) -> str:
    """Return what a button says, but for its clock or count."""
    return re.sub(r"[\d:.+]+", "", button.inner_text())


@dataclass
class Phone:
    """One phone. Everything a person does goes through `press`, by the names the screens show."""

    browser: Browser
    base_url: str
    shift_ms: int = 0
    dark: bool = False
    scale: int = 2
    context: BrowserContext = field(init=False)
    page: Page = field(init=False)
    troubles: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.context = self.browser.new_context(
            viewport=VIEWPORT,
            has_touch=True,
            is_mobile=True,
            device_scale_factor=self.scale,
            locale="en-GB",
            timezone_id="Europe/Dublin",
            color_scheme="dark" if self.dark else "light",
            service_workers="allow",
        )
        self.context.set_default_timeout(PATIENCE_S * 1000)
        if self.shift_ms:
            self.context.add_init_script(CLOCK.replace("SHIFT", str(self.shift_ms)))
        self.context.add_init_script(TOUCHES)
        self._new_page()

    def _new_page(self) -> None:
        self.touched = (0.0, 0.0, 0.0)
        self.pressed = ""
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
        by_ms = round(minutes * 60_000)
        self.shift_ms += by_ms
        self.page.evaluate(MOVE_CLOCK, [self.shift_ms, by_ms])

    @contextmanager
    def clock_held(self) -> Iterator[None]:
        """Let the phone's clock stand but for `pass_time`, however slow this machine is."""
        self.page.evaluate("localStorage.setItem('journey-held-ms', String(Date.now()))")
        yield
        self.page.evaluate("localStorage.removeItem('journey-held-ms')")

    def now_ms(self) -> int:
        """Return the phone's wall clock."""
        return int(self.page.evaluate("Date.now()"))

    def kill_and_reopen(self, *, dead_min: float = 0) -> None:
        """Kill the page's process, as a dead battery would; start the app again so much later."""
        url = self.page.url
        dead = self.page
        browser = self.browser.new_browser_cdp_session()
        killed = renderers(browser)
        with dead.expect_event("crash"):
            for process_id in killed:
                os.kill(process_id, signal.SIGKILL)
        # A new page in a process whose death the browser has not noticed yet would be waited for without end.
        until_s = time.monotonic() + PATIENCE_S
        while killed & renderers(browser):
            assert time.monotonic() < until_s, "the browser never noticed"
            time.sleep(0.05)
        browser.detach()
        self._new_page()
        dead.close()
        self.shift_ms += round(dead_min * 60_000)
        self.page.add_init_script(WOKE.replace("SHIFT", str(self.shift_ms)))
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
        self._settle_in()

    def claim(self, code: str, shop_name: str) -> None:
        """Be the first device of a new server: type the code of its console."""
        self.open("join")
        self.press(self.page.get_by_text(say("app.join.claim")))
        self.page.get_by_label(say("app.field.code")).fill(code)
        self.page.get_by_label(say("app.field.shop_name")).fill(shop_name)
        self.press(say("app.join.claim_go"))
        self._settle_in()

    def _settle_in(self) -> None:
        expect(self.page.get_by_role("heading", name=say("app.blades.title"))).to_be_visible()
        self.page.evaluate("navigator.serviceWorker.ready.then(() => true)")
        self.page.reload()  # the second start is the one that must work without a network
        self.shows(say("app.blades.title"))
        assert self.page.evaluate("navigator.serviceWorker.controller !== null")
        self._stands_still()

    def _stands_still(self) -> None:
        """Wait until the list moves no more: blades come in one by one, and a finger would meet another."""
        until_s = time.monotonic() + PATIENCE_S
        last, same = None, 0
        while same < STILL_LOOKS:
            assert time.monotonic() < until_s, "the list never stood still"
            time.sleep(SETTLE_S)
            rows = self.page.evaluate(ROWS)
            last, same = rows, same + 1 if rows == last else 0

    # reading

    def word(self) -> str:
        """Return the state word."""
        return self.page.locator("h1").first.inner_text()

    def reads(self, word: str) -> None:
        """Wait until the state word is this."""
        expect(self.page.locator("h1").first).to_have_text(word)

    def shows(self, text: str | re.Pattern[str]) -> None:
        """Wait until a text is on the screen."""
        expect(self.page.get_by_text(text).first).to_be_visible()

    def lists(self, *tags: str) -> None:
        """Wait until the blades are on the list, folded and stored."""
        for tag in tags:
            expect(self.page.locator("button.blade-row", has_text=tag).first).to_be_visible()
        until_s = time.monotonic() + PATIENCE_S
        while missing := {*tags} - {row["answer"].get("tag") for row in self.stored("folds")}:
            assert time.monotonic() < until_s, f"never folded: {missing}"
            time.sleep(0.1)

    def picture(self, name: str) -> None:
        """Keep the screen by day and by night, where TEMPERWARD_PICTURES names a folder for it."""
        if folder := os.environ.get("TEMPERWARD_PICTURES"):
            for theme in ("night", "day"):
                self.page.evaluate("theme => { document.documentElement.dataset.theme = theme; }", theme)
                time.sleep(SETTLE_S)
                self.page.screenshot(path=Path(folder) / f"{name}-{theme}.png", scale="css")

    def primary(self, label: str = "") -> Locator:
        """Return the one action, of this label where one is given."""
        return self.page.locator("[data-primary]:visible", has_text=label).first

    # pressing

    def press(self, target: str | Locator, *, hold_s: float = PRESS_S, settle_s: float = SETTLE_S) -> None:
        """Press a button by its name, as a thumb does: once the screen has settled, down, a moment, up.

        Where the screen changed under the thumb, the person sees that nothing came of it and presses again.
        """
        button = self.button(target) if isinstance(target, str) else target
        touch = self._press_once(button, hold_s, settle_s)
        name = self.pressed
        if hold_s != PRESS_S:  # a hold acts before the finger is lifted: its click comes too late
            assert touch in ("met", "felt", "ignored"), f"{button}: {touch}"
            return
        if touch in AGAIN:
            touch = self._press_once(button, hold_s, settle_s, name)
        assert touch in ("met", "felt"), f"{button}: {touch}"

    def _press_once(self, button: Locator, hold_s: float, settle_s: float, name: str = "") -> str:
        """Press what has this name; say what the touch met."""
        expect(button).to_be_visible()
        expect(button).to_be_enabled()
        x, y = self._settled(button, settle_s)
        if self._stands_apart(x, y):
            x, y = self._settled(button, settle_s)  # a list moves while it is read
        self.pressed = words_on(button)
        assert self.pressed == (name or self.pressed)
        button.evaluate(AIM)
        self._touch(x, y, hold_s=hold_s)
        return self._became()

    def _became(self) -> str:
        """Return what became of the last touch: its click comes a moment later, after a hold none."""
        touch = "met"
        until_s = time.monotonic() + CLICK_S
        while touch == "met" and time.monotonic() < until_s:
            try:
                touch = str(self.page.evaluate("globalThis.journeyTouch ?? 'felt'"))
            except Error:  # the press led to another page
                return "felt"
        time.sleep(DRAWN_S)
        return touch

    def _settled(self, button: Locator, settle_s: float) -> tuple[float, float]:
        """Scroll a button to where nothing lies over it, once the screen grows no more; return its middle."""
        for look in range(LOOKS):
            button.evaluate(SCROLL_TO, HEIGHTS[look % len(HEIGHTS)])
            time.sleep(settle_s)
            box = button.bounding_box()
            assert box is not None, button
            x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
            if button.evaluate(UNCOVERED, [x, y]):
                return x, y
        raise AssertionError(f"something lies over {button}")

    def _stands_apart(self, x: float, y: float) -> bool:
        """Wait until this touch is none of the last one's; say whether that took time."""
        last_x, last_y, last_s = self.touched
        wait_s = last_s + APART_S - time.monotonic()
        if wait_s <= 0 or abs(x - last_x) >= APART_PX or abs(y - last_y) >= APART_PX:
            return False
        time.sleep(wait_s)
        return True

    def button(self, name: str) -> Locator:
        """Return the button of this name."""
        return self.page.get_by_role("button", name=name, exact=True).first

    def touch(self, target: Locator, *, hold_s: float = PRESS_S) -> None:
        """Touch the middle of something, whether it feels that or not."""
        time.sleep(SETTLE_S)
        box = target.bounding_box()
        assert box is not None, target
        self._touch(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2, hold_s=hold_s)

    def _touch(self, x: float, y: float, *, hold_s: float) -> None:
        with self.finger(x, y):
            time.sleep(hold_s)

    @contextmanager
    def finger(self, x: float, y: float) -> Iterator[None]:
        """Let a finger lie on the glass meanwhile."""
        cdp = self.context.new_cdp_session(self.page)
        cdp.send("Input.dispatchTouchEvent", {"type": "touchStart", "touchPoints": [{"x": x, "y": y}]})
        yield
        cdp.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
        cdp.detach()
        self.touched = (x, y, time.monotonic())

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

    def stations(self, gaps_mm: list[float], *, length_mm: float | None = None, pad_mm: float = 1) -> None:
        """Type the paper of feeler readings and the gaps from station to station, and keep them."""
        tiles = self.page.locator(".station-list")
        if length_mm is not None:
            self.press(tiles.get_by_role("button", name=re.compile(say("app.field.length_mm"))))
            self.page.get_by_role("textbox").first.fill(f"{length_mm:g}")
            self.press_primary()
        known_pad = (
            tiles.get_by_role("button", name=re.compile(say("app.field.pad_mm") + r"\s+\d")).count() > 0
        )
        self._numbers([*([] if known_pad else [pad_mm]), *gaps_mm])

    # the phone's own database, read beside the app

    def stored(self, store: str) -> list[dict[str, Any]]:
        """Return all rows of one of the phone's stores."""
        rows: list[dict[str, Any]] = self._database("store => asked(store.getAll())", store)
        return rows

    def entries_of(self, log_id: str) -> list[dict[str, Any]]:
        """Return the entries of one log in log order."""
        code = "(store, id) => asked(store.index('by_log').getAll(IDBKeyRange.bound([id], [id, []])))"
        entries: list[dict[str, Any]] = self._database(code, "entries", log_id)
        return entries

    def fold_of(self, log_id: str) -> dict[str, Any]:
        """Return the stored answer of the fold, once it has seen every entry of the log."""
        until_s = time.monotonic() + PATIENCE_S
        while time.monotonic() < until_s:
            count = len(self.entries_of(log_id))
            row = self._database("(store, id) => asked(store.get(id))", "folds", log_id)
            if row is not None and row["count"] == count:
                answer: dict[str, Any] = row["answer"]
                return answer
            time.sleep(0.05)
        raise AssertionError("the fold never caught up")

    def folded_for_now(self, log_id: str) -> None:
        """Wait until the stored answer of the fold is the one for the phone's own instant."""
        until_s = time.monotonic() + PATIENCE_S
        while time.monotonic() < until_s:
            row = self._database("(store, id) => asked(store.get(id))", "folds", log_id)
            if row is not None and min(row["changes_at_ms"], default=math.inf) > self.now_ms():
                return
            time.sleep(0.1)
        raise AssertionError("the fold never looked at the clock")

    def _database(self, code: str, store: str, *given: str) -> Any:
        whole = """([name, given]) => new Promise((resolve, reject) => {
          const opening = indexedDB.open("temperward");
          const asked = (request) => new Promise((yes, no) => {
            request.onsuccess = () => yes(request.result);
            request.onerror = () => no(request.error);
          });
          opening.onerror = () => reject(opening.error);
          opening.onsuccess = () => {
            const done = (end) => (value) => { opening.result.close(); end(value); };
            const store = opening.result.transaction(name).objectStore(name);
            (CODE)(store, ...given).then(done(resolve), done(reject));
          };
        })""".replace("CODE", code)
        return self.page.evaluate(whole, [store, list(given)])
