"""The engine that iPhones run: the app starts, joins, shows the demo and takes a mark under WebKitGTK."""

from __future__ import annotations

import os
import shutil
import subprocess
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from common.running_server import RunningServer, free_port
from selenium import webdriver
from selenium.common.exceptions import NoSuchElementException, StaleElementReferenceException
from selenium.webdriver.common.by import By
from selenium.webdriver.support.wait import WebDriverWait
from selenium.webdriver.webkitgtk.options import Options
from selenium.webdriver.webkitgtk.service import Service
from words import say

DRIVER = shutil.which("WebKitWebDriver")
XVFB = shutil.which("Xvfb")
BROWSERS = [
    *Path("/usr/lib").glob("*/webkit2gtk-4.*/MiniBrowser"),
    *Path("/usr/libexec").glob("webkit2gtk-4.*/MiniBrowser"),
]
LIMIT_S = 60
MISSING = "WebKitGTK, its driver or Xvfb is not on this machine"

pytestmark = [
    pytest.mark.webkit,
    pytest.mark.skipif(not (DRIVER and XVFB and BROWSERS), reason=MISSING),
    # selenium's own WebKitGTK driver still builds its connection the old way
    pytest.mark.filterwarnings("ignore:setting remote_server_addr:DeprecationWarning"),
]


@pytest.fixture
def screen(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """A screen in memory."""
    display = f":{free_port() % 20_000 + 100}"
    words = [str(XVFB), display, "-screen", "0", "800x1000x24"]
    process = subprocess.Popen(words, stderr=subprocess.DEVNULL)
    monkeypatch.setenv("DISPLAY", display)
    while not Path(f"/tmp/.X11-unix/X{display[1:]}").exists():  # noqa: S108 - where X puts its sockets
        assert process.poll() is None
        time.sleep(0.05)
    yield
    process.terminate()
    process.wait()


@pytest.fixture
def webkit(screen: None) -> Iterator[webdriver.WebKitGTK]:  # noqa: ARG001 - it must be up first
    options = Options()
    options.binary_location = str(BROWSERS[0])
    options.add_argument("--automation")
    driver = webdriver.WebKitGTK(options=options, service=Service(str(DRIVER), env=dict(os.environ)))
    driver.set_window_size(390, 844)
    yield driver
    driver.quit()


HARD_ROW = "//button[contains(@class, 'blade-row')][contains(., 'QF-107')]"
# The list is drawn anew while the shop comes in: a row that is gone is looked for again.
GONE = [StaleElementReferenceException, NoSuchElementException]


def hard_blade_opened(page: webdriver.WebKitGTK) -> bool:
    """Press the row until its blade is open: a press on one that has just moved opens nothing."""
    if page.find_elements(By.CSS_SELECTOR, "main.work"):
        return True
    page.find_element(By.XPATH, HARD_ROW).click()
    return False


def test_webkit_joins_shows_the_hard_blade_and_takes_a_mark(
    server: RunningServer, webkit: webdriver.WebKitGTK
) -> None:
    webkit.get(server.load_demo())
    wait = WebDriverWait(webkit, LIMIT_S, ignored_exceptions=GONE)
    wait.until(hard_blade_opened)
    wait.until(lambda page: page.find_element(By.TAG_NAME, "h1").text == say("fold.word.brittle"))
    time.sleep(0.3)  # contacts within 150 ms of a new screen are ignored by design
    webkit.find_element(By.XPATH, f"//button[normalize-space()='{say('fold.do.in_oven')}']").click()
    wait.until(lambda page: page.find_element(By.TAG_NAME, "h1").text == say("fold.word.temper", number=1))
    deadline = time.monotonic() + LIMIT_S
    query = (
        "SELECT count(*) AS n FROM entries WHERE kind = 'mark' AND text LIKE '%in_oven%' AND received_ms > ?"
    )
    newest = "SELECT max(received_ms) AS ms FROM entries"
    demo_ms = server.rows("SELECT min(received_ms) AS ms FROM entries")[0]["ms"]
    while server.rows(newest)[0]["ms"] == demo_ms:
        assert time.monotonic() < deadline, "the mark never reached the server"
        time.sleep(0.3)
    assert server.rows(query, demo_ms)[0]["n"] == 1


# What the browser itself has, by the way that needs it.
HAS = """return {
  push: "serviceWorker" in navigator && "PushManager" in window && "Notification" in window,
  wake_lock: "wakeLock" in navigator,
  vibration: typeof navigator.vibrate === "function",
}"""


def test_what_this_browser_has_not_is_said_to_be_missing_and_never_to_warn(
    server: RunningServer, webkit: webdriver.WebKitGTK
) -> None:
    webkit.get(server.load_demo())
    wait = WebDriverWait(webkit, LIMIT_S, ignored_exceptions=GONE)
    wait.until(lambda page: page.find_elements(By.XPATH, HARD_ROW))
    has = webkit.execute_script(HAS)
    assert not all(has.values()), "this browser has everything: the test has lost its subject"
    webkit.execute_script("location.hash = '/settings'")
    wait.until(lambda page: page.find_elements(By.XPATH, f"//*[text()='{say('app.alarm.push_state')}']"))
    for way in (way for way, there in has.items() if not there):
        name = say("app.alarm.test_one", way=say(f"app.alarm.{way}"))
        webkit.execute_script(f"document.querySelector('button[aria-label=\"{name}\"]').click()")
        line = f"//li[.//button[@aria-label='{name}']]"
        wait.until(
            lambda page, line=line: say("app.alarm.unsupported") in page.find_element(By.XPATH, line).text
        )
    if not has["push"]:
        state = webkit.find_element(By.XPATH, f"//li[.//*[text()='{say('app.alarm.push_state')}']]").text
        assert say("app.alarm.push.unsupported") in state or say("app.alarm.push.needs_install") in state
        assert say("app.alarm.push.on") not in state.splitlines()
    if not has["wake_lock"]:
        webkit.execute_script("location.hash = '/blades'")
        wait.until(hard_blade_opened)
        wait.until(lambda page: page.find_elements(By.CSS_SELECTOR, "main.work .warns"))
        told = webkit.find_element(By.CSS_SELECTOR, "main.work .warns").text
        only_while_lit = say("app.warns.screen_lit")
        assert say("app.warns.nobody") in told or only_while_lit in told, told
