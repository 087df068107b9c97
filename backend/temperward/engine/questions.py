"""Which function answers which question."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

Answerer = Callable[[dict[str, Any]], Any]


def all_questions() -> dict[str, Answerer]:
    """Return each question's name with the function that takes its facts."""
    return {}
