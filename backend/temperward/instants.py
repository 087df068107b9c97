"""The present instant, as everything of ours counts it."""

from __future__ import annotations

import time


def now_ms() -> int:
    """Return the milliseconds since 1970 in UTC."""
    return time.time_ns() // 1_000_000
