"""Builds the engine's bench page, serves it the way the app is served, and opens it in Chromium."""

from __future__ import annotations

import functools
import http.server
import os
import subprocess
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from common.chromium import chromium_path, chromium_words
from playwright.sync_api import Page, sync_playwright

ROOT = Path(__file__).resolve().parents[2]
PHONE = ROOT / "pwa"
BUILT = PHONE / "build" / "bench"
CONTENT_POLICY = (
    "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; connect-src 'self'; worker-src 'self'"
)
START_LIMIT_MS = 60_000


def build() -> None:
    """Build the page from the sources as they are now."""
    found = os.environ["PATH"]
    path = f"{ROOT / '.venv' / 'bin'}{os.pathsep}{found}"
    command = [
        "node",
        "node_modules/vite/bin/vite.js",
        "build",
        "-c",
        "bench/vite.config.ts",
        "--logLevel",
        "warn",
    ]
    subprocess.run(command, cwd=PHONE, env={**os.environ, "PATH": path}, check=True)


class _Handler(http.server.SimpleHTTPRequestHandler):
    """Sends the built files under the content policy of the app."""

    def end_headers(self) -> None:
        self.send_header("Content-Security-Policy", CONTENT_POLICY)
        super().end_headers()

    def log_message(self, format: str, *args: Any) -> None:  # noqa: A002 (the name of the base class)
        """Keep quiet."""


@contextmanager
def served(folder: Path = BUILT) -> Iterator[str]:
    """Serve the built page on a free port of this machine."""
    handler = functools.partial(_Handler, directory=str(folder))
    with http.server.ThreadingHTTPServer(("127.0.0.1", 0), handler) as server:
        thread = threading.Thread(target=server.serve_forever, daemon=True)
        thread.start()
        try:
            yield f"http://127.0.0.1:{server.server_port}/"
        finally:
            server.shutdown()
            thread.join()


@contextmanager
def bench_page(*, slowed: float = 1.0) -> Iterator[Page]:
    """Open the built page in Chromium, its CPU slowed by this factor."""
    with served() as url, sync_playwright() as play:
        browser = play.chromium.launch(executable_path=chromium_path(), args=chromium_words())
        page = browser.new_page()
        page.goto(url)
        page.wait_for_function("document.title === 'ready'", timeout=START_LIMIT_MS)
        page.context.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": slowed})
        yield page
        browser.close()
