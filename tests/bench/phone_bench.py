"""Prints what a person waits for on the phone, beside its budget: `phone_bench.py [--slowed 4]`.

The real server, the demo shop, the network off. The instants are the page's own: a touch's time stamp, and
the moment at which the screen said so.
"""

from __future__ import annotations

import argparse
import statistics
import sys
import tempfile
from pathlib import Path
from typing import Any

HERE = Path(__file__).resolve().parent
sys.path[:0] = [str(HERE.parent), str(HERE.parent / "journeys")]

from common.chromium import chromium_path, chromium_words  # noqa: E402
from common.running_server import RunningServer  # noqa: E402
from phone import Phone  # noqa: E402
from playwright.sync_api import expect, sync_playwright  # noqa: E402
from smith import Smith  # noqa: E402
from words import say  # noqa: E402

TAPS = 12
STARTS = 5
LISTS = 7
MANY = 30
KEPT = say("app.kept_undo").split(".")[0]
WATCH = """
(() => {
  const seen = { start: null, rows: null, asked: null, word: "" };
  Object.assign(seen, { tap: null, kept: null, painted: null, seconds: null });
  globalThis.seen = seen;
  const look = () => {
    const now = performance.now();
    const text = (css) => document.querySelector(css)?.textContent ?? "";
    if (seen.start === null && document.querySelector("button.blade-row")) seen.start = now;
    if (seen.asked !== null && document.querySelectorAll("button.blade-row").length >= MANY) {
      const asked = seen.asked;
      seen.asked = null;
      requestAnimationFrame(() => setTimeout(() => { seen.rows = performance.now() - asked; }));
    }
    if (seen.tap === null) { seen.word = text("h1"); return; }
    if (seen.kept === null && [...document.querySelectorAll(".small-row button")].some((one) =>
      one.textContent.startsWith("KEPT"))) seen.kept = now - seen.tap;
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


def cold_starts(phone: Phone, rate: float) -> list[float]:
    """Start the app on a fresh page with no network, several times; return ms to the first blade."""
    took = []
    for _ in range(STARTS):
        phone.page.close()
        phone._new_page()  # noqa: SLF001 - the bench is the phone's other half
        slow(phone, rate)
        phone.open("blades")
        expect(phone.page.locator("button.blade-row").first).to_be_visible()
        took.append(float(seen(phone)["start"]))
    return took


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
        # The word for the undo before stands a while: only then is the next one's to be seen.
        expect(phone.page.locator(".small-row button", has_text=KEPT)).to_have_count(0)
        phone.page.wait_for_timeout(400)
        phone.press_primary()
        expect(phone.page.locator("h1")).not_to_have_text(say("fold.word.cooling"))
        phone.page.wait_for_timeout(300)
        noted = seen(phone)
        kept.append(float(noted["kept"]))
        painted.append(float(noted["painted"]) - float(noted["kept"]))
        phone.press(phone.page.locator(".small-row button").last)
    return kept, painted


def quench(phone: Phone, rate: float) -> float:
    """Harden the blade that waits for its oven; return ms from the touch to running seconds."""
    slow(phone, 1)
    smith = Smith(phone)
    phone.open("blades")
    phone.press(phone.page.locator("button.blade-row", has_text="QF-110"))
    smith.piece_id = phone.page.url.rsplit("/", 1)[1]
    smith.until_can(say("fold.do.hardening_fire"))
    smith.press(say("fold.do.hardening_fire"))
    smith.until_can(say("fold.do.going_to_quench"))
    phone.press(say("fold.do.going_to_quench"))
    slow(phone, rate)
    phone.page.wait_for_timeout(800)
    phone.press(phone.page.locator("main.quench [data-primary]"))
    phone.shows(say("fold.word.in_bath"))
    phone.page.wait_for_timeout(500)
    return float(seen(phone)["seconds"])


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
    line(
        f"cold offline start to the list of blades{slowed}", statistics.median(cold_starts(phone, rate)), 1500
    )
    kept, painted = taps(phone, rate)
    line(f"touch to kept, 95 of 100{slowed}", p95(kept), 150 if rate > 1 else 50)
    line(f"kept to the fold's answer painted, 95 of 100{slowed}", p95(painted), 250)


def main() -> None:
    """Start server and browser, join the demo, measure with the network off."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--slowed", type=float, default=4)
    rate = parser.parse_args().slowed
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        server = RunningServer(Path(folder)).start()
        try:
            browser = playwright.chromium.launch(executable_path=chromium_path(), args=chromium_words())
            phone = Phone(browser, server.base_url)
            phone.context.add_init_script(WATCH.replace("KEPT", KEPT).replace("MANY", str(MANY)))
            phone.join(server.load_demo())
            phone.offline()
            for one in (1.0, rate):
                measure(phone, one)
            line(f"quench mark to running seconds, slowed {rate:g}x", quench(phone, rate), 200)
            line(f"{MANY} blades in the list, slowed {rate:g}x", statistics.median(lists(phone, rate)), 300)
            browser.close()
        finally:
            server.stop()


if __name__ == "__main__":
    main()
