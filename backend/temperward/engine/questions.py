"""Which function answers which question."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from temperward.engine.metallurgy.alloys import steels
from temperward.engine.metallurgy.hardness import as_quenched_hardness
from temperward.engine.metallurgy.transformation import transformation_temperatures
from temperward.engine.thermal.media import media

Answerer = Callable[[dict[str, Any]], Any]


def all_questions() -> dict[str, Answerer]:
    """Return each question's name with the function that takes its facts."""
    return {
        "as_quenched_hardness": as_quenched_hardness,
        "media": media,
        "steels": steels,
        "transformation_temperatures": transformation_temperatures,
    }
