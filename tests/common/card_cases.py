"""Facts that the card tests share: the example cards, and one plan per thing a card must be able to say."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from temperward.engine.api import ask

REFERENCE = Path(__file__).parents[1] / "engine/reference/example_cards.json"
FAST_OIL = [{"medium": "fast_oil"}]
PLAIN: dict[str, Any] = {
    "steel": "1075",
    "thickness_mm": 4.2,
    "edge_mm": 1.0,
    "length_mm": 440,
    "width_mm": 36,
    "heat_source": "forge_thermocouple",
    "quench": [{"medium": "fast_oil", "bath_c": 54}],
    "bath": {"name": "Tall oil", "litres": 20, "flash_c": 190, "low_c": 35, "high_c": 65},
    "target_hrc": 59,
}


def plan(**changes: Any) -> dict[str, Any]:
    """Return the plain plan with some facts changed; a fact set to None is left out."""
    facts = {**PLAIN, **changes}
    return {name: value for name, value in facts.items() if value is not None}


def card(facts: dict[str, Any]) -> dict[str, Any]:
    """Return the card, or fail with what was refused."""
    said = ask("make_card", facts)
    assert "error" not in said, said["error"]
    return said["answer"]


def refusal(facts: dict[str, Any]) -> dict[str, Any]:
    """Return why no card was made."""
    said = ask("make_card", facts)
    assert "error" in said, "a card was made"
    return said["error"]


def step(made: dict[str, Any], name: str) -> dict[str, Any]:
    """Return one step of a card."""
    return next(one for one in made["steps"] if one["id"] == name)


def point(made: dict[str, Any], name: str, set_point: str) -> dict[str, Any]:
    """Return one set point of one step."""
    return next(one for one in step(made, name)["set_points"] if one["id"] == set_point)


def examples() -> list[dict[str, Any]]:
    """Return the eight example cards' facts and figures."""
    return json.loads(REFERENCE.read_text("utf-8"))["cards"]


VARIANTS: dict[str, dict[str, Any]] = {
    "plain": plan(),
    "no cycles": plan(cycles=0),
    "one cycle": plan(cycles=1),
    "stress relief": plan(stress_relief=True),
    "stress relief and no cycles": plan(stress_relief=True, cycles=0),
    "hardens in air": plan(steel="O1", quench=[{"medium": "medium_oil"}], bath=None, target_hrc=61),
    "no normalising": plan(steel="O2", quench=[{"medium": "medium_oil"}], bath=None, target_hrc=61),
    "softened tang": plan(soft_tang="softened_after"),
    "zone": plan(hard_zone={"from_mm": 0, "to_mm": 300, "kind": "whole"}),
    "edge quench": plan(hard_zone={"from_mm": 0, "to_mm": 300, "kind": "edge"}),
    "double edge": plan(double_edge=True),
    "clay": plan(steel="W1", clay=True, bath=None, quench=[{"medium": "water"}], target_hrc=62),
    "water then oil": plan(
        steel="1050",
        bath=None,
        target_hrc=55,
        quench=[{"medium": "water", "seconds": 3}, {"medium": "fast_oil"}],
    ),
    "water, oil, plates": plan(
        steel="1050",
        bath=None,
        target_hrc=55,
        quench=[{"medium": "water"}, {"medium": "fast_oil"}, {"medium": "plates"}],
    ),
    "oil then plates": plan(quench=[{"medium": "fast_oil"}, {"medium": "plates"}]),
    "timed lift": plan(quench=[{"medium": "fast_oil", "seconds": 12, "event": "lift"}]),
    "left to hand-warm": plan(quench=[{"medium": "fast_oil", "event": "hand_warm"}]),
    "brine after a coupon": plan(
        steel="W1",
        bath=None,
        target_hrc=62,
        quench=[{"medium": "brine"}],
        coupon={"thickness_mm": 5, "medium": "brine"},
    ),
    "bolster": plan(bolster_mm=10),
    "stations": plan(
        stations=[{"at_mm": 0, "thickness_mm": 5.0, "width_mm": 34}, {"at_mm": 420, "thickness_mm": 1.1}]
    ),
    "notch": plan(notch=True),
    "by eye": plan(heat_source="forge_by_eye"),
    "by eye, poor": plan(steel="5160", heat_source="forge_by_eye", target_hrc=57),
    "kitchen oven": plan(oven_kind="kitchen"),
    "torch after": plan(oven_kind="torch_after"),
    "two steels": plan(steel=None, steels=["1084", "75Ni8"], target_hrc=60),
    "analysis": plan(steel=None, composition={"c": 0.62, "mn": 0.7, "si": 0.25}, target_hrc=57),
    "analysis, much carbon": plan(steel=None, composition={"c": 0.95, "mn": 0.4}, target_hrc=61),
    "much carbon": plan(steel="1095", target_hrc=61),
    "analysis, alloyed": plan(
        steel=None, composition={"c": 0.75, "mn": 0.4, "cr": 0.5, "ni": 0.8}, target_hrc=59
    ),
    "analysis of a named steel": plan(composition={"c": 0.72, "mn": 0.65, "si": 0.2}),
    "unknown, planned": plan(
        steel="unknown",
        quench=[{"medium": "medium_oil"}],
        bath=None,
        coupon={"thickness_mm": 5, "medium": "medium_oil", "passed": False},
    ),
    "unknown, proved": plan(
        steel="unknown",
        quench=[{"medium": "medium_oil"}],
        bath=None,
        coupon={"thickness_mm": 5, "medium": "medium_oil"},
    ),
    "silicon steel": plan(
        steel=None,
        composition={"c": 0.56, "mn": 0.75, "si": 1.8},
        bath=None,
        quench=[{"medium": "medium_oil"}],
    ),
    "no hardness wanted": plan(target_hrc=None),
    "one temper": plan(temper_cycles=1),
    "three tempers": plan(temper_cycles=3),
    "shop's own limits": plan(shop_limits={"bow_limit_pct": 0.15, "brittle_alarm_s": 1800}),
}
