"""gunicorn's worker of many threads, with one thing done elsewhere: the last goodbye to a phone.

Whoever is hung up on gets two seconds to hang up too, lest the end of the answer be lost (RFC 9112, section
9.6). A phone that has gone out of the network never does. gunicorn waits for it in the one thread that takes
every new call; and sixteen such phones in a row make it take the worker for one that hangs, and kill it.
"""

from __future__ import annotations

import contextlib
from typing import Any

from gunicorn.workers.gthread import ThreadWorker  # type: ignore[import-untyped]


class PatientWorker(ThreadWorker):  # type: ignore[misc]
    """Says goodbye in the thread that served, which has nothing else to do."""

    def handle(self, conn: Any) -> Any:
        """Serve a connection; one that is not to be kept is closed when this returns."""
        kept = super().handle(conn)
        if not kept:
            with contextlib.suppress(OSError):  # it was closed already
                conn.close(graceful=True)
            conn.close = _nothing_left
        return kept


def _nothing_left(*, graceful: bool = False) -> None:
    del graceful
