"""Where Chromium is, and the words that every test starts it with."""

from __future__ import annotations

import os
import shutil

NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")
QUIET = ("--disable-background-networking", "--disable-component-update", "--disable-sync", "--no-first-run")


def chromium_path() -> str | None:
    """Return the one named in TEMPERWARD_CHROMIUM or the system's; None lets Playwright take its own."""
    found = (shutil.which(name) for name in NAMES)
    return os.environ.get("TEMPERWARD_CHROMIUM") or next((path for path in found if path), None)


def chromium_words(*more: str) -> list[str]:
    """Return the start words; as root it cannot have its own sandbox."""
    root = hasattr(os, "geteuid") and os.geteuid() == 0
    return [*QUIET, *more, *(["--no-sandbox"] if root else [])]
