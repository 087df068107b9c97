"""The plan of one blade from the facts that were given."""

from __future__ import annotations

from typing import Any

from temperward.engine import facts as facts_module
from temperward.engine.errors import OutOfRange
from temperward.engine.process import card_facts
from temperward.engine.process.card_facts import Plan
from temperward.engine.process.card_refusals import refuse_name, refuse_torch_alone
from temperward.engine.process.limit_values import read_shop_limits


def length(facts: dict[str, Any], name: str, limits: list[float]) -> float:
    """Return a length in millimetres that must be given."""
    return facts_module.number(facts, name, low=limits[0], high=limits[1], unit="mm")


def read_zone(facts: dict[str, Any], *, length_mm: float) -> tuple[str, float | None, float | None]:
    """Return the part that is to harden: its kind, from where, to where."""
    given = card_facts.part(facts, "hard_zone", allowed=["from_mm", "to_mm", "kind"])
    if given is None:
        return "whole", None, None
    kind = facts_module.choice(given, "kind", choices=["whole", "edge"], default="whole")
    limits = [0.0, length_mm]
    start = card_facts.number_or_none(given, "from_mm", limits=limits, unit="mm", field="hard_zone.")
    end = card_facts.number_or_none(given, "to_mm", limits=limits, unit="mm", field="hard_zone.")
    if start is not None and end is not None and end <= start:
        raise OutOfRange(
            field="hard_zone.to_mm",
            value=end,
            low=start,
            high=length_mm,
            unit="mm",
            reason="refusal.out_of_range",
        )
    return kind, start, end


def read_edge(facts: dict[str, Any], *, thickness_mm: float) -> float | None:
    """Return the edge thickness, never more than the blade's own."""
    limits = [card_facts.EDGE_MM[0], min(card_facts.EDGE_MM[1], thickness_mm)]
    return card_facts.number_or_none(facts, "edge_mm", limits=limits, unit="mm")


def read_sources_of_heat(facts: dict[str, Any]) -> tuple[str, str]:
    """Return what heats the blade to harden it and what tempers it."""
    refuse_name(facts.get("heat_source"), field="heat_source")
    refuse_name(facts.get("oven_kind"), field="oven_kind")
    refuse_torch_alone(facts.get("oven_kind"))
    heat = facts_module.choice(facts, "heat_source", choices=card_facts.HEAT_SOURCES)
    oven = facts_module.choice(facts, "oven_kind", choices=card_facts.OVEN_KINDS, default="kiln")
    return heat, oven


def read(facts: dict[str, Any]) -> Plan:
    """Return the plan, each fact checked and none left over."""
    facts_module.only(facts, card_facts.ALLOWED)
    thickness_mm = length(facts, "thickness_mm", card_facts.THICKNESS_MM)
    length_mm = length(facts, "length_mm", card_facts.LENGTH_MM)
    zone_kind, zone_from_mm, zone_to_mm = read_zone(facts, length_mm=length_mm)
    heat_source, oven_kind = read_sources_of_heat(facts)
    return Plan(
        given=facts,
        thickness_mm=thickness_mm,
        edge_mm=read_edge(facts, thickness_mm=thickness_mm),
        length_mm=length_mm,
        width_mm=card_facts.number_or_none(facts, "width_mm", limits=card_facts.WIDTH_MM, unit="mm"),
        stations=card_facts.read_stations(facts, length_mm=length_mm),
        cycles=card_facts.whole(facts, "cycles", low=0, high=3, default=3),
        stress_relief=facts_module.flag(facts, "stress_relief"),
        soft_tang=facts_module.choice(
            facts, "soft_tang", choices=card_facts.TANGS, default=card_facts.TANGS[0]
        ),
        zone_kind=zone_kind,
        zone_from_mm=zone_from_mm,
        zone_to_mm=zone_to_mm,
        double_edge=facts_module.flag(facts, "double_edge"),
        clay=facts_module.flag(facts, "clay"),
        bolster_mm=card_facts.number_or_none(facts, "bolster_mm", limits=card_facts.BOLSTER_MM, unit="mm"),
        notch=facts_module.flag(facts, "notch"),
        heat_source=heat_source,
        dips=card_facts.read_dips(facts),
        bath=card_facts.read_bath(facts),
        oven_kind=oven_kind,
        target_hrc=card_facts.number_or_none(facts, "target_hrc", limits=card_facts.TARGET_HRC, unit="HRC"),
        temper_cycles=card_facts.whole(facts, "temper_cycles", low=1, high=3, default=2),
        coupon=card_facts.read_coupon(facts),
        shop=read_shop_limits(facts.get("shop_limits")),
    )
