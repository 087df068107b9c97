"""A phone that has joined the demo shop and looks at it, for all tests of a file."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from common.running_server import RunningServer
from phone import Phone
from playwright.sync_api import Browser


@contextmanager
def demo_phone(
    browser: Browser, server: RunningServer, *tags: str, offline: bool = False, dark: bool = False
) -> Iterator[Phone]:
    """Join and wait for these blades; offline, what the tests change stays this phone's own."""
    joined = Phone(browser, server.base_url, dark=dark)
    joined.join(server.join_link())
    joined.lists(*tags)
    joined.offline(on=offline)
    yield joined
    assert joined.troubles == []
    joined.close()
