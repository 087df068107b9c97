"""The edge to leave while a blade is planned: the card's own figure, moved by each heat, and its parts."""

from __future__ import annotations

from typing import Any

import pytest
from common.card_cases import VARIANTS, card, examples

from temperward.engine.api import ask

PLANS = {**VARIANTS, **{one["id"]: one["facts"] for one in examples()}}
NAMES = ["steel", "steels", "composition", "cycles", "quench", "clay"]


def planned(facts: dict[str, Any]) -> dict[str, Any]:
    answer: dict[str, Any] = ask("edge_plan", {name: facts[name] for name in NAMES if name in facts})[
        "answer"
    ]
    return answer


def parts(answer: dict[str, Any]) -> dict[str, float]:
    return {
        one["key"].removeprefix("card.edge."): one["facts"]["part_mm"]
        for one in answer["text"]["facts"]["parts"]
    }


@pytest.mark.parametrize("name", sorted(PLANS))
def test_it_is_what_the_card_says(name: str) -> None:
    answer = planned(PLANS[name])
    shown = next(one for one in card(PLANS[name])["numbers"] if one["id"] == "edge_left")
    assert answer["edge"]["value"] == pytest.approx(shown["value"])
    assert answer["text"]["facts"]["need_mm"] == answer["edge"]["value"]
    ground = next(one for one in card(PLANS[name])["steps"] if one["kind"] == "ground_ready")
    with_bow = next(one for one in ground["set_points"] if one["id"] == "edge_left_with_bow")
    assert answer["text"]["facts"]["warped_mm"] == pytest.approx(with_bow["value"])


@pytest.mark.parametrize("name", sorted(PLANS))
def test_the_parts_are_the_whole(name: str) -> None:
    answer = planned(PLANS[name])
    assert sum(parts(answer).values()) == pytest.approx(answer["text"]["facts"]["warped_mm"])


def test_each_heat_takes_its_skin_and_nothing_else_moves() -> None:
    plan = {"steel": "1084", "quench": [{"medium": "fast_oil"}]}
    none, three = planned({**plan, "cycles": 0}), planned({**plan, "cycles": 3})
    needs = [planned({**plan, "cycles": count})["edge"]["value"] for count in range(4)]
    assert needs[0] < needs[1] < needs[2] < needs[3]
    assert three["text"]["facts"]["n"] == 4
    moved = {name for name, part_mm in parts(three).items() if part_mm != parts(none)[name]}
    assert moved == {"decarb"}
    # by hand: 0.25 finished, twice 0.03 of scale and twice 0.05 of clean-up, twice 0.15 of warp
    same = {"final": 0.25, "scale": 0.06, "clean_up": 0.10, "warp": 0.30}
    assert {name: parts(three)[name] for name in same} == pytest.approx(same)


@pytest.mark.parametrize(
    ("more", "need_mm"), [({"quench": [{"medium": "brine"}]}, 1.6), ({"clay": True}, 2.0)]
)
def test_what_water_or_clay_needs_is_a_part_of_its_own(more: dict[str, Any], need_mm: float) -> None:
    answer = planned({"steel": "W1", "quench": [{"medium": "fast_oil"}], **more})
    assert answer["edge"]["value"] == pytest.approx(need_mm)
    assert parts(answer)["least"] > 0.5
