"""What a torch does in seconds, against the oven's hours: only ever a range."""

from __future__ import annotations

from typing import Any

from temperward.engine.metallurgy.equivalents import equivalent_temperature_c
from temperward.engine.process.card_parts import set_point
from temperward.engine.process.card_work import Work
from temperward.engine.process.limit_values import sources_of, value_of
from temperward.engine.quantities import note


def torch_point(work: Work) -> dict[str, Any]:
    """Return the torch temperature that tempers as much as one oven cycle, for the constants 15 and 20."""
    temper = work.numbers.tempers[-1]
    seconds = value_of("torch_s")
    ends = [
        equivalent_temperature_c(
            temper.temperature_c, hold_s=temper.hold_s, in_s=seconds, constant=value_of(name)
        )
        for name in ["torch_constant_high", "torch_constant_low"]
    ]
    middle = (ends[0] + ends[1]) / 2.0
    return set_point(
        "torch",
        middle,
        unit="degC",
        minus=middle - ends[0],
        plus=ends[1] - middle,
        sources=sources_of("torch_constant_low"),
        notes=[note("card.note.torch_equals", {"hold_s": seconds}), note("card.note.oven_first")],
    )
