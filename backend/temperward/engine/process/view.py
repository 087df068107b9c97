"""What the screen is decided from: the story up to now, its gates and its window worked out once."""

from __future__ import annotations

from typing import Any

from temperward.engine.process import (
    clocks,
    gate_quench_go,
    gate_ready_for_heat,
    gate_ready_to_harden,
    gate_reharden,
    gate_release,
    gate_temper_done,
    gates,
    window,
)
from temperward.engine.process.story import OVEN_STATES, Story

FIRST_GATE = {
    "planned": "ready_for_heat",
    "coupon_being_proved": "ready_for_heat",
    "shaped": "ready_for_heat",
    "ground_ready": "ready_for_heat",
    "hardening_heat": "quench_go",
    "temper_cooling": "temper_done",
    "tempered": "release",
    "finish_grinding": "release",
    "final_check": "release",
}
BEFORE_HARDENING = [
    "cycle_in_heat",
    "cycle_cooling",
    "cycle_checked",
    "straightening_soft",
    "ready_to_harden",
    "rework",
]


class View:
    """One blade at one instant."""

    def __init__(self, story: Story, now_ms: int) -> None:
        """Work out gates, window and clocks."""
        self.story = story
        self.now_ms = now_ms
        self.gates = gates_of(story, now_ms)
        self.window = window.window_of(story) if story.state in ("in_quench", "warm_window") else None
        self.clocks = clocks.running(story, self.gates)

    def gate(self, gate_id: str) -> dict[str, Any] | None:
        """Return the gate if it stands before this blade now."""
        for gate in self.gates:
            if gate["id"] == gate_id:
                return gate
        return None

    def item(self, gate_id: str, item_id: str) -> dict[str, Any] | None:
        """Return one item of a gate."""
        gate = self.gate(gate_id)
        for one in [] if gate is None else gate["items"]:
            if one["id"] == item_id:
                return dict(one)
        return None


MODULES = {
    "ready_for_heat": gate_ready_for_heat,
    "ready_to_harden": gate_ready_to_harden,
    "quench_go": gate_quench_go,
    "temper_done": gate_temper_done,
    "release": gate_release,
    "reharden": gate_reharden,
}


def gates_of(story: Story, now_ms: int) -> list[dict[str, Any]]:
    """Return the gates that stand before this blade, the nearest first."""
    wanted = []
    if story.state in FIRST_GATE:
        wanted.append(FIRST_GATE[story.state])
    if story.state in BEFORE_HARDENING or story.state in ("ground_ready", "hardening_heat"):
        wanted.append("ready_to_harden")
    if story.state in OVEN_STATES:
        wanted.append("temper_done")
    if story.state == "temper_cooling":
        wanted.append("release")
    if gate_reharden.asked(story):
        wanted.append("reharden")
    return [gates.settle(MODULES[name].items(story, now_ms), name, story, now_ms) for name in wanted]
