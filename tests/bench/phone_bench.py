"""Prints what a person waits for on the phone, beside its budget: `phone_bench.py [--slowed 4]`.

The real server, the demo shop, the network off. The instants are the page's own: a touch's time stamp, and
the moment at which the screen said so.
"""

from __future__ import annotations

import argparse
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

HERE = Path(__file__).resolve().parent
sys.path[:0] = [str(HERE.parent), str(HERE.parent / "journeys")]

from brought import bring, ending, joined  # noqa: E402
from common.chromium import chromium_path, chromium_words  # noqa: E402
from common.running_server import RunningServer  # noqa: E402
from engine_scenes import begin, going, hard  # noqa: E402
from phone import VIEWPORT, Phone  # noqa: E402
from playwright.sync_api import Playwright, expect, sync_playwright  # noqa: E402
from smith import Smith, even_bow  # noqa: E402
from test_photos import camera_jpeg  # noqa: E402
from words import say  # noqa: E402

TAPS = 60
QUENCHES = 7
PHOTOS = 5
FRAME_MS = 1000 / 60
MINUTE_MS = 60_000
STARTS = 5
LISTS = 7
MANY = 30
WATCH = """
(() => {
  const seen = { start: null, rows: null, asked: null, word: "" };
  Object.assign(seen, { tap: null, kept: null, painted: null, seconds: null, rang: null, nobody: null });
  globalThis.seen = seen;
  // Kept is what the store has completed, whenever the screen comes to say so.
  const transaction = IDBDatabase.prototype.transaction;
  IDBDatabase.prototype.transaction = function (stores, mode, ...more) {
    const made = transaction.call(this, stores, mode, ...more);
    if (mode === "readwrite" && [stores].flat().includes("entries"))
      made.addEventListener("complete", () => {
        if (seen.tap !== null) seen.kept ??= performance.now() - seen.tap;
      });
    return made;
  };
  let hidden = false;
  Object.defineProperty(document, "visibilityState", { get: () => (hidden ? "hidden" : "visible") });
  globalThis.hide = (on) => {
    hidden = on;
    if (!on) seen.woken = performance.now();
    document.dispatchEvent(new Event("visibilitychange"));
  };
  const look = () => {
    const now = performance.now();
    const text = (css) => document.querySelector(css)?.textContent ?? "";
    if (seen.start === null && document.querySelector("button.blade-row")) seen.start = now;
    if (seen.asked !== null && document.querySelectorAll("button.blade-row").length >= MANY) {
      const asked = seen.asked;
      seen.asked = null;
      requestAnimationFrame(() => setTimeout(() => { seen.rows = performance.now() - asked; }));
    }
    if (seen.rang === null && document.querySelector(".notice.ring.alarm"))
      requestAnimationFrame(() => { seen.rang = performance.now() - seen.woken; });
    if (seen.nobody === null && document.querySelector(".warns.nobody")) seen.nobody = now;
    if (seen.tap === null) { seen.word = text("h1"); return; }
    if (seen.painted === null && text("h1") !== seen.word) seen.painted = now - seen.tap;
    if (seen.seconds === null && document.querySelector("main.quench .digits, main.quench .number")) {
      seen.seconds = now - seen.tap;
    }
  };
  new MutationObserver(look).observe(document, { childList: true, subtree: true, characterData: true });
  const tapped = (event) => {
    if (!event.target.closest("[data-primary]")) return;
    Object.assign(seen, { tap: event.timeStamp, kept: null, painted: null, seconds: null });
  };
  const quench = () => document.querySelector("main.quench") !== null;
  addEventListener("pointerup", (event) => quench() || tapped(event), true);
  addEventListener("pointerdown", (event) => quench() && tapped(event), true);
})();
"""


GO_TO_THE_LIST = """
() => {
  Object.assign(seen, { rows: null, asked: performance.now() });
  location.hash = "/blades";
}
"""
MORE_BLADES = """
async (many) => {
  const asked = (request) => new Promise((done, failed) => {
    request.onsuccess = () => done(request.result);
    request.onerror = () => failed(request.error);
  });
  const db = await asked(indexedDB.open("temperward"));
  const folds = db.transaction("folds", "readwrite").objectStore("folds");
  const pieces = (await asked(folds.getAll())).filter((row) => row.log_kind === "piece");
  for (let at = 0; at < many - pieces.length; at += 1) {
    const row = pieces[at % pieces.length];
    const answer = { ...row.answer, tag: `B-${at}` };
    await asked(folds.put({ ...row, log_id: crypto.randomUUID(), answer }));
  }
  db.close();
}
"""


def slow(phone: Phone, rate: float) -> None:
    """Slow the page's processor."""
    phone.context.new_cdp_session(phone.page).send("Emulation.setCPUThrottlingRate", {"rate": rate})


def seen(phone: Phone) -> dict[str, Any]:
    """Return what the page has noted."""
    noted: dict[str, Any] = phone.page.evaluate("globalThis.seen")
    return noted


def cold_starts(playwright: Playwright, server: RunningServer, folder: Path, rate: float) -> list[float]:
    """Start browser, service worker and app anew with no network, again and again; return ms to a blade."""
    took = []
    for _ in range(STARTS):
        context = playwright.chromium.launch_persistent_context(
            folder,
            executable_path=chromium_path(),
            args=chromium_words(),
            viewport=VIEWPORT,
            has_touch=True,
            is_mobile=True,
        )
        context.set_offline(True)
        context.add_init_script(WATCH.replace("MANY", str(MANY)))
        page = context.pages[0]
        context.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": rate})
        page.goto(f"{server.base_url}/#/blades")
        expect(page.locator("button.blade-row").first).to_be_visible()
        took.append(float(page.evaluate("seen.start")))
        context.close()
    return took


def installed(playwright: Playwright, server: RunningServer, folder: Path) -> None:
    """Put the app with the demo shop into a browser's own folder, as a phone has it."""
    context = playwright.chromium.launch_persistent_context(
        folder, executable_path=chromium_path(), args=chromium_words(), viewport=VIEWPORT
    )
    page = context.pages[0]
    page.goto(server.join_link())
    expect(page.locator("button.blade-row").first).to_be_visible()
    page.evaluate("navigator.serviceWorker.ready.then(() => true)")
    page.reload()
    expect(page.locator("button.blade-row").first).to_be_visible()
    context.close()


def lists(phone: Phone, rate: float) -> list[float]:
    """Go to a list of thirty blades, several times; return ms from the asking to the painted list."""
    slow(phone, 1)
    phone.open("blades")
    phone.page.evaluate(MORE_BLADES, MANY)
    phone.page.reload()
    expect(phone.page.locator("button.blade-row")).to_have_count(MANY)
    slow(phone, rate)
    took = []
    for _ in range(LISTS):
        phone.open("settings")
        phone.page.wait_for_timeout(500)
        phone.page.evaluate(GO_TO_THE_LIST)
        phone.page.wait_for_function("() => seen.rows !== null")
        took.append(float(seen(phone)["rows"]))
    return took


def taps(phone: Phone, rate: float) -> tuple[list[float], list[float]]:
    """Mark and take back a cooling blade; return ms from touch to kept, and from there to the answer."""
    slow(phone, rate)
    kept, painted = [], []
    phone.open("blades")
    phone.press(phone.page.locator("button.blade-row", has_text="QF-109"))
    for _ in range(TAPS):
        expect(phone.page.locator("h1")).to_have_text(say("fold.word.cooling"))
        phone.page.wait_for_timeout(400)
        phone.press_primary()
        expect(phone.page.locator("h1")).not_to_have_text(say("fold.word.cooling"))
        phone.page.wait_for_timeout(300)
        noted = seen(phone)
        kept.append(float(noted["kept"]))
        painted.append(float(noted["painted"]) - float(noted["kept"]))
        phone.press(phone.page.locator(".small-row button").last)
    return kept, painted


def quenches(phone: Phone, blades: list[str], rate: float) -> list[float]:
    """Mark the quench of several blades; return ms from the touch to running seconds."""
    took = []
    for blade in blades:
        slow(phone, 1)
        phone.open(f"blade/{blade}")
        field = phone.page.locator("main.quench [data-primary]")
        expect(field).to_be_visible()
        slow(phone, rate)
        phone.page.wait_for_timeout(800)
        phone.press(field)
        phone.shows(say("fold.word.in_bath"))
        phone.page.wait_for_timeout(500)
        took.append(float(seen(phone)["seconds"]))
    return took


def alarm(phone: Phone, blade: str, rate: float) -> float:
    """Let an alarm fall due while the page sleeps; return ms from waking to the frame that shows it."""
    slow(phone, 1)
    phone.open(f"blade/{blade}")
    phone.reads(say("fold.word.brittle"))
    while phone.page.locator(".notice.ring").count():
        phone.page.keyboard.press("Escape")
        phone.page.wait_for_timeout(300)
    slow(phone, rate)
    phone.page.evaluate("hide(true)")
    phone.pass_time(minutes=60)
    phone.page.evaluate("seen.rang = null; hide(false)")
    phone.page.wait_for_function("() => seen.rang !== null")
    took = float(seen(phone)["rang"])
    slow(phone, 1)
    phone.open("blades")
    phone.press(say("app.catch_up.all"))  # an hour has passed: what ran on was asked
    return took


def nobody(phone: Phone, blade: str, rate: float) -> float:
    """Open a hard blade on a page that was never touched; return ms to the word NOBODY."""
    phone.page.close()
    phone._new_page()  # noqa: SLF001 - the bench is the phone's other half
    slow(phone, rate)
    phone.open(f"blade/{blade}")
    phone.page.wait_for_function("() => seen.nobody !== null")
    return float(seen(phone)["nobody"])


def seconds(work: Callable[[], object]) -> float:
    """Return the ms a scripted person took, who presses no faster than a thumb."""
    started = time.perf_counter()
    work()
    return (time.perf_counter() - started) * 1000


def new_blade(phone: Phone) -> float:
    """Type a new blade of a known steel, look at its card and begin it."""
    facts = {"steel": "1084", "thickness_mm": "4", "edge_mm": "1", "length_mm": "230", "target_hrc": "60"}
    picks = {"heat_source": say("app.choice.kiln")}
    return seconds(lambda: Smith(phone).begin("QF-182", facts, picks))


def feelers(phone: Phone, blade: str) -> float:
    """Type seven feeler readings."""
    phone.open(f"blade/{blade}/check/straightness")
    expect(phone.page.locator(".station-list")).to_be_visible()

    def typed() -> None:
        phone.page.get_by_role("textbox").first.fill("420")
        phone.press_primary()
        phone.stations(even_bow(0.3))
        expect(phone.page.locator("main.work")).to_be_visible()

    return seconds(typed)


def catch_up(phone: Phone) -> float:
    """Come back after an absence; answer the first question; return ms until its step is there."""
    phone.pass_time(minutes=3)

    def answer() -> None:
        phone.page.reload()
        expect(phone.page.locator("h1")).to_have_text(say("app.catch_up.title"))
        phone.press(phone.page.get_by_role("button", name=say("fold.do.not_yet"), exact=True).first)
        expect(phone.page.locator("main.work")).to_be_visible()

    phone.open("blades")
    return seconds(answer)


def photos(phone: Phone, blade: str) -> list[float]:
    """Take photos; return ms from the camera's answer until each is kept."""
    took = []
    for _ in range(PHOTOS):
        phone.open(f"blade/{blade}/photo")
        phone.page.wait_for_timeout(300)
        chooser = phone.page.locator("input[type=file]").first
        phone.page.evaluate("Object.assign(seen, { tap: performance.now(), kept: null })")
        chooser.set_input_files({"name": "a.jpg", "mimeType": "image/jpeg", "buffer": camera_jpeg()})
        phone.page.wait_for_function("() => seen.kept !== null")
        took.append(float(seen(phone)["kept"]))
    return took


def p95(values: list[float]) -> float:
    """Return the value that 19 of 20 stay under."""
    return sorted(values)[max(0, round(len(values) * 0.95) - 1)]


def line(what: str, ms: float, budget_ms: float) -> None:
    """Print one row."""
    word = "kept" if ms <= budget_ms else "MISSED"
    sys.stdout.write(f"{what:<66} {ms:>6.0f} ms   budget {budget_ms:>5.0f} ms   {word}\n")
    sys.stdout.flush()


def measure(phone: Phone, rate: float) -> None:
    """Measure everything at one rate and print it."""
    slowed = f", processor slowed {rate:g}x" if rate > 1 else ""
    kept, painted = taps(phone, rate)
    line(f"touch to kept, 95 of 100 of {TAPS}{slowed}", p95(kept), 150 if rate > 1 else 50)
    line(f"kept to the fold's answer painted, 95 of 100 of {TAPS}{slowed}", p95(painted), 250)


def main() -> None:
    """Start server and browser, join the demo, measure with the network off."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--slowed", type=float, default=4)
    rate = parser.parse_args().slowed
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        server = RunningServer(Path(folder)).start()
        try:
            link = server.load_demo()
            now_ms = round(time.time() * 1000)
            ids = bring(
                joined(server),
                *(ending(going(), tag=f"QF-19{n}", at_ms=now_ms) for n in range(QUENCHES)),
                ending(hard(), tag="QF-180", at_ms=now_ms),
                ending(begin(), tag="QF-181", at_ms=now_ms),
            )
            home = Path(folder) / "browser"
            installed(playwright, server, home)
            for one in (1.0, rate):
                starts = statistics.median(cold_starts(playwright, server, home, one))
                line(f"cold start of browser and app, offline, processor slowed {one:g}x", starts, 1500)
            browser = playwright.chromium.launch(executable_path=chromium_path(), args=chromium_words())
            phone = Phone(browser, server.base_url, shift_ms=1)
            phone.context.add_init_script(WATCH.replace("MANY", str(MANY)))
            phone.join(link)
            phone.lists("QF-107", "QF-109", "QF-180", "QF-181")
            phone.offline()
            for one in (1.0, rate):
                measure(phone, one)
            quenched = quenches(phone, ids[:QUENCHES], rate)
            line(
                f"quench mark to running seconds, slowest of {QUENCHES}, slowed {rate:g}x", max(quenched), 200
            )
            line("blade opened to NOBODY", nobody(phone, ids[-2], 1), 1000)
            line("photo kept, slowest", max(photos(phone, ids[-1])), 1000)
            line("seven feeler readings by a scripted thumb", feelers(phone, ids[-1]), 20_000)
            line("a new blade by a scripted thumb", new_blade(phone), 90_000)
            line("back after an absence: to the right step", catch_up(phone), 10_000)
            line("an alarm that is due to its frame", alarm(phone, ids[-2], 1), FRAME_MS)
            line(f"{MANY} blades in the list, slowed {rate:g}x", statistics.median(lists(phone, rate)), 300)
            browser.close()
        finally:
            server.stop()


if __name__ == "__main__":
    main()
