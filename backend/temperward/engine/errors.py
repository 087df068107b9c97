"""What the engine says instead of an answer.

    EngineError
    |- UnknownQuestion   no such question
    |- UnknownField      a fact nobody asked for
    |- MissingField      a fact that is needed
    |- OutOfRange        a value outside what its source covers
    |- UnknownName       a name that is on no list
    `- Refused           asked for something this program does not compute, with the reason

Every error carries field, value, low, high, unit and reason; reason is a words key.
"""

from __future__ import annotations

from typing import Any


def shown(value: Any) -> Any:
    """Return a refused value as text; of a list or a group only its size: a phone keeps no order in a group.

    A fraction stays a number: a phone writes the last of its figures in another way, and screens round.
    >>> shown("O3"), shown([1, 2]), shown({"at_mm": 0}), shown(0.1)
    ('O3', '[2]', '{1}', 0.1)
    """
    if isinstance(value, list):
        return "[" + str(len(value)) + "]"
    if isinstance(value, dict):
        return "{" + str(len(value)) + "}"
    if isinstance(value, float):
        return value
    return str(value)


class EngineError(Exception):
    """The root: carries what a screen needs to name the field and the fix."""

    def __init__(
        self,
        *,
        field: str,
        value: Any = None,
        low: float | None = None,
        high: float | None = None,
        unit: str = "",
        reason: str = "refusal.wrong",
        choices: list[str] | None = None,
    ) -> None:
        """Keep the parts: the screen words them."""
        super().__init__(field + ": " + reason)
        self.field = field
        self.value = value
        self.low = low
        self.high = high
        self.unit = unit
        self.reason = reason
        self.choices = choices

    def as_json(self) -> dict[str, Any]:
        """Return the refusal as it goes over the wire."""
        return {
            "field": self.field,
            "value": self.value,
            "low": self.low,
            "high": self.high,
            "unit": self.unit,
            "reason": self.reason,
            "choices": self.choices,
        }


class UnknownQuestion(EngineError):
    """No such question."""


class UnknownField(EngineError):
    """A fact nobody asked for: refused by name, so that a typing slip is not a silent default."""


class MissingField(EngineError):
    """A fact that is needed and was not given."""


class OutOfRange(EngineError):
    """A value outside the range its source covers."""


class UnknownName(EngineError):
    """A name that is on no list of ours; choices holds the list."""


class Refused(EngineError):
    """Something this program does not compute, by name, with the reason."""
