"""The edge to leave while a blade is being planned: it moves with each heat, and says what it is for."""

from __future__ import annotations

from typing import Any

from temperward.engine import facts as facts_module
from temperward.engine.process import card_facts, card_steel
from temperward.engine.process.card_cycles import cycles
from temperward.engine.process.card_edge import edge_parts, need_for, planned_heats, with_warp_mm
from temperward.engine.quantities import note


def edge_plan(facts: dict[str, Any]) -> dict[str, Any]:
    """Answer `edge_plan`: the edge to leave for the heats of a plan, and its parts.

    Equation: final edge + 2 (lost carbon + scale + clean-up), and the warp beyond it; never under what water
    or clay needs. Takes those facts of `make_card` that it hangs on, in its units and ranges, and gives what
    the card would: `edge` in mm with its band, `text` with the parts in mm. Off by as much as the skin lost,
    which is an upper bound. Reference: diffusion, slyckeEricsson1981, practice.
    """
    facts_module.only(facts, ["steel", "steels", "composition", "cycles", "quench", "clay"])
    metal = card_steel.of_facts(facts)
    count = card_facts.whole(facts, "cycles", low=0, high=3, default=3)
    clay = facts_module.flag(facts, "clay")
    in_water = any(dip.kind == "water" for dip in card_facts.read_dips(facts))
    heats = planned_heats(metal, cycles=cycles(count, metal=metal))
    need = need_for(heats, in_water=in_water, clay=clay)
    parts = edge_parts(heats, need_mm=need["value"], clay=clay)
    warped_mm = with_warp_mm(need["value"], clay=clay)
    said: dict[str, Any] = {"need_mm": need["value"], "warped_mm": warped_mm, "n": len(heats)}
    said["parts"] = [note("card.edge." + name, {"part_mm": part_mm}) for name, part_mm in parts]
    return {"edge": need, "text": note("card.edge.text", said)}
