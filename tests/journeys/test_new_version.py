"""A new version of the app on the phone: what it fetches, and what a broken try leaves."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from threading import Thread

import pytest
from phone import until
from playwright.sync_api import Browser, Page, expect
from words import say

DIST = Path(__file__).resolve().parents[2] / "backend" / "temperward" / "app_dist"
READY = "async () => { await navigator.serviceWorker.ready; }"
LOOK = "async () => { await (await navigator.serviceWorker.ready).update(); }"
# Looked at again and again: a change of state that nobody heard in time would be waited for without end.
STATES = """async () => {
  const { installing, waiting, active } = await navigator.serviceWorker.getRegistration();
  return { installing: installing?.state, waiting: waiting?.state, active: active?.state };
}"""
# As the app's own button has it.
TAKE_OVER = "async () => { (await navigator.serviceWorker.ready).waiting.postMessage('take-over'); }"
KEPT = "async () => (await (await caches.open((await caches.keys())[0])).keys()).map(({ url }) => url)"


@dataclass
class Shelf:
    """The built app on a server of files, which notes what it is asked for."""

    folder: Path
    asked: list[str] = field(default_factory=list)
    broken: set[str] = field(default_factory=set)

    def start(self) -> ThreadingHTTPServer:
        shelf = self

        class Files(SimpleHTTPRequestHandler):
            def do_GET(self) -> None:
                shelf.asked.append(self.path)
                if self.path in shelf.broken:
                    self.send_error(503)
                else:
                    super().do_GET()

            def log_message(self, *_: object) -> None:
                """Keep the test's own output."""

        running = ThreadingHTTPServer(("127.0.0.1", 0), partial(Files, directory=str(self.folder)))
        Thread(target=running.serve_forever, daemon=True).start()
        return running

    def changes(self, name: str) -> None:
        """A new version: one file is another, and the worker names it so."""
        worker = self.folder / "sw.js"
        before, _, after = worker.read_text("utf-8").partition(f"url:`{name}`,revision:`")
        assert after
        worker.write_text(
            f"{before}url:`{name}`,revision:`{'0' if after[0] != '0' else '1'}{after[1:]}", "utf-8"
        )
        self.asked.clear()


@pytest.fixture
def shelf(tmp_path: Path) -> Shelf:
    return Shelf(Path(shutil.copytree(DIST, tmp_path / "app")))


@pytest.fixture
def page(shelf: Shelf, chromium: Browser) -> Iterator[Page]:
    """The app with its worker in charge; the server is gone once the test has closed it."""
    running = shelf.start()
    context = chromium.new_context()
    opened = context.new_page()
    opened.goto(f"http://127.0.0.1:{running.server_port}/")
    opened.evaluate(READY)
    opened.reload()
    yield opened
    context.close()
    running.shutdown()
    running.server_close()


def came(page: Page) -> bool:
    """Say, once nothing is installing any more, whether a version waits."""
    states = until(page, STATES, lambda states: states["installing"] is None)
    return states["waiting"] is not None


def has_begun(page: Page) -> None:
    """Wait until the new version is in charge, which it is once it has tidied up."""
    begun = {"installing": None, "waiting": None, "active": "activated"}
    until(page, STATES, lambda states: states == begun)


def files(asked: list[str]) -> set[str]:
    return {path for path in asked if not path.startswith("/api/")}


def test_a_new_version_fetches_only_what_has_changed(shelf: Shelf, page: Page) -> None:
    shelf.changes("icon.svg")
    page.evaluate(LOOK)
    assert came(page)
    assert files(shelf.asked) == {"/sw.js", "/icon.svg"}
    kept = page.evaluate(KEPT)
    assert sum("/icon.svg" in url for url in kept) == 2  # the page that is open still has its own


def test_the_new_version_leaves_nothing_of_the_old(shelf: Shelf, page: Page) -> None:
    shelf.changes("icon.svg")
    page.evaluate(LOOK)
    assert came(page)
    page.evaluate(TAKE_OVER)
    has_begun(page)
    assert sum("/icon.svg" in url for url in page.evaluate(KEPT)) == 1


def test_a_version_that_comes_in_part_is_none_and_the_next_try_goes_on_from_there(
    shelf: Shelf, page: Page
) -> None:
    shelf.changes("icon.svg")
    shelf.changes("manifest.webmanifest")
    shelf.broken = {"/manifest.webmanifest"}
    page.evaluate(LOOK)
    assert not came(page)
    assert {"/icon.svg", "/manifest.webmanifest"} <= files(shelf.asked)
    page.reload()
    assert page.locator("#app").inner_text() != ""
    shelf.broken.clear()
    shelf.asked.clear()
    page.evaluate(LOOK)
    assert came(page)
    assert "/icon.svg" not in shelf.asked
    assert "/manifest.webmanifest" in shelf.asked


def test_a_new_version_is_announced_by_itself_and_begins_with_one_touch(shelf: Shelf, page: Page) -> None:
    shelf.changes("icon.svg")
    page.evaluate("location.hash = '#/blades'")
    expect(page.locator("h1")).to_have_text(say("app.blades.title"))
    take = page.get_by_role("button", name=say("app.update.take"))
    expect(take).to_have_count(0)
    page.evaluate("document.dispatchEvent(new Event('visibilitychange'))")  # seen again: it looks
    expect(take).to_be_visible()
    assert sum("/icon.svg" in url for url in page.evaluate(KEPT)) == 2
    with page.expect_event("load"):
        take.click()
    has_begun(page)
    assert sum("/icon.svg" in url for url in page.evaluate(KEPT)) == 1
    expect(page.locator("#app")).not_to_be_empty()
    expect(take).to_have_count(0)
