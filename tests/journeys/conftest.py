"""The browser, the server, the phones."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from common.chromium import chromium_path, chromium_words
from common.running_server import RunningServer
from phone import PATIENCE_S, Phone
from playwright.sync_api import Browser, expect, sync_playwright

expect.set_options(timeout=PATIENCE_S * 1000)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Everything here is a journey."""
    here = Path(__file__).parent
    for item in items:
        if here in Path(item.path).parents:
            item.add_marker(pytest.mark.journey)


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    """A browser."""
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=chromium_path(),
            args=chromium_words("--disable-quic", "--use-fake-device-for-media-stream"),
        )
        yield browser
        browser.close()


@pytest.fixture
def server(tmp_path: Path) -> Iterator[RunningServer]:
    """A server of this test's own."""
    running = RunningServer(tmp_path).start()
    yield running
    running.stop()


@pytest.fixture
def push_server(tmp_path: Path) -> Iterator[RunningServer]:
    """A server of this test's own that may push, also to this machine."""
    settings = {
        "TEMPERWARD_PUSH_SUBJECT": "mailto:smith@quillfen.example",
        "TEMPERWARD_PUSH_ALLOW": "http://127.0.0.1:",
    }
    running = RunningServer(tmp_path, settings=settings).start()
    yield running
    running.stop()


@pytest.fixture(scope="session")
def demo_server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[RunningServer]:
    """A server with the demo shop, shared by tests that look and do not harm."""
    running = RunningServer(tmp_path_factory.mktemp("demo")).start()
    running.load_demo()
    yield running
    running.stop()


@pytest.fixture
def new_phone(chromium: Browser) -> Iterator[Callable[..., Phone]]:
    """Make phones; each must come through the journey without an error of its own."""
    phones: list[Phone] = []

    def make(running: RunningServer, **options: object) -> Phone:
        phones.append(Phone(chromium, running.base_url, **options))  # type: ignore[arg-type]
        return phones[-1]

    yield make
    troubles = [trouble for phone in phones for trouble in phone.troubles]
    for phone in phones:
        phone.close()
    assert troubles == []
