"""What no card is made for is refused by name, with the reason; a bad fact names field, range and unit."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import pytest
from common.card_cases import FAST_OIL, card, plan, refusal

WORDS: dict[str, Any] = {}
for path in sorted((Path(__file__).parents[2] / "backend/temperward/engine/data/words/en").glob("*.json")):
    WORDS.update(json.loads(path.read_text("utf-8")))
OIL = [{"medium": "medium_oil"}]
WATER = [{"medium": "water"}]
UNKNOWN_PROVED = {"thickness_mm": 5, "medium": "water"}

BY_NAME = [
    ("salt bath", plan(quench=[{"medium": "salt bath"}]), "refusal.card_salt"),
    ("salt", plan(quench=[{"medium": "salt"}]), "refusal.card_salt"),
    ("molten salt", plan(quench=[{"medium": "molten salt"}]), "refusal.card_salt"),
    ("lead", plan(heat_source="lead pot"), "refusal.card_lead"),
    ("fluid bed", plan(heat_source="fluid bed"), "refusal.card_fluid_bed"),
    ("fluidized bed", plan(heat_source="Fluidized bed"), "refusal.card_fluid_bed"),
    (
        "austempering",
        plan(quench=[{"medium": "fast_oil", "event": "austempering"}]),
        "refusal.card_austempering",
    ),
    ("carburising", plan(heat_source="carburising"), "refusal.card_carburising"),
    ("carburizing", plan(heat_source="carburizing"), "refusal.card_carburising"),
    ("caustic", plan(quench=[{"medium": "caustic"}]), "refusal.card_caustic"),
    ("cyanide", plan(quench=[{"medium": "cyanide"}]), "refusal.card_cyanide"),
    ("induction", plan(heat_source="induction"), "refusal.card_induction"),
    ("induction temper", plan(oven_kind="induction"), "refusal.card_induction"),
    ("torch alone", plan(oven_kind="torch"), "refusal.card_torch_alone"),
    ("torch in place of the oven", plan(oven_kind="torch alone"), "refusal.card_torch_alone"),
    (
        "cold step",
        plan(quench=[{"medium": "fast_oil"}, {"medium": "liquid nitrogen"}]),
        "refusal.card_cold_step",
    ),
    ("freezer", plan(quench=[{"medium": "fast_oil"}, {"medium": "freezer"}]), "refusal.card_cold_step"),
    ("stainless", plan(steel="stainless"), "refusal.steel_stainless"),
    ("D2", plan(steel="D2"), "refusal.steel_d2"),
    ("A2", plan(steel="A2"), "refusal.steel_a2"),
    ("4140", plan(steel="4140"), "refusal.steel_4140"),
    ("high-speed steel", plan(steel="high-speed steel"), "refusal.steel_high_speed"),
    ("D2 as a layer", plan(steel=None, steels=["1084", "D2"]), "refusal.steel_d2"),
    ("stainless cladding", plan(steel=None, steels=["1084", "stainless"]), "refusal.card_stainless_cladding"),
    ("mild cladding", plan(steel=None, steels=["52100", "mild"]), "refusal.card_mild_cladding"),
    ("too narrow an overlap", plan(steel=None, steels=["1084", "5160"]), "refusal.card_overlap"),
    ("no overlap", plan(steel=None, steels=["W1", "9260"]), "refusal.card_overlap"),
    ("water for alloy steel", plan(steel="5160", quench=WATER, bath=None), "refusal.card_water_alloy"),
    (
        "water for alloy steel under clay",
        plan(steel="5160", quench=WATER, bath=None, clay=True),
        "refusal.card_water_alloy",
    ),
    ("water for 0.75 % carbon", plan(quench=WATER, bath=None), "refusal.card_water_carbon"),
    ("brine for W1", plan(steel="W1", quench=[{"medium": "brine"}], bath=None), "refusal.card_water_carbon"),
    (
        "water then oil for 1084",
        plan(steel="1084", quench=WATER + FAST_OIL, bath=None),
        "refusal.card_water_carbon",
    ),
    (
        "water after a thin coupon",
        plan(quench=WATER, bath=None, coupon={"thickness_mm": 3, "medium": "water"}),
        "refusal.card_water_carbon",
    ),
    (
        "water after a coupon in oil",
        plan(quench=WATER, bath=None, coupon={"thickness_mm": 5, "medium": "fast_oil"}),
        "refusal.card_water_carbon",
    ),
    (
        "water after a coupon that is only planned",
        plan(quench=WATER, bath=None, coupon={"thickness_mm": 5, "medium": "water", "passed": False}),
        "refusal.card_water_carbon",
    ),
    (
        "water for an unknown bar",
        plan(steel="unknown", quench=WATER, bath=None, coupon=UNKNOWN_PROVED),
        "refusal.card_water_unknown",
    ),
    ("unknown steel without a coupon", plan(steel="unknown"), "refusal.card_unknown_steel"),
    (
        "52100 by eye",
        plan(steel="52100", heat_source="forge_by_eye", quench=OIL, bath=None),
        "refusal.card_by_eye",
    ),
    ("O1 by eye", plan(steel="O1", heat_source="forge_by_eye", quench=OIL, bath=None), "refusal.card_by_eye"),
    ("L6 by eye", plan(steel="L6", heat_source="forge_by_eye", quench=OIL, bath=None), "refusal.card_by_eye"),
    ("oil then water", plan(quench=FAST_OIL + WATER, bath=None), "refusal.card_water_after_oil"),
    (
        "plates then oil",
        plan(quench=[{"medium": "plates"}, {"medium": "fast_oil"}], bath=None),
        "refusal.card_after_plates",
    ),
    ("steel and steels", plan(steels=["1084", "75Ni8"]), "refusal.card_steel_twice"),
    ("one layer", plan(steel=None, steels=["1084"]), "refusal.card_layers"),
    ("no bath", plan(quench=[]), "refusal.card_quench"),
]


@pytest.mark.parametrize(("facts", "reason"), [pytest.param(f, r, id=n) for n, f, r in BY_NAME])
def test_it_is_refused_by_name(facts: dict[str, Any], reason: str) -> None:
    said = refusal(facts)
    assert said["reason"] == reason
    assert said["field"]
    assert reason in WORDS


BAD_FACTS = [
    ("thickness_mm", plan(thickness_mm=9.0), [0.5, 8.0, "mm"]),
    ("thickness_mm", plan(thickness_mm=0.1), [0.5, 8.0, "mm"]),
    ("thickness_mm", plan(thickness_mm=math.nan), [0.5, 8.0, "mm"]),
    ("length_mm", plan(length_mm=math.inf), [20.0, 1500.0, "mm"]),
    ("edge_mm", plan(edge_mm=4.3), [0.2, 4.2, "mm"]),
    ("width_mm", plan(width_mm=1), [3.0, 150.0, "mm"]),
    ("cycles", plan(cycles=4), [0, 3, "count"]),
    ("cycles", plan(cycles=1.5), [0, 3, "count"]),
    ("temper_cycles", plan(temper_cycles=0), [1, 3, "count"]),
    ("target_hrc", plan(target_hrc=70), [45.0, 67.0, "HRC"]),
    ("coupon.thickness_mm", plan(coupon={"thickness_mm": 40, "medium": "fast_oil"}), [0.5, 8.0, "mm"]),
    ("quench.0.bath_c", plan(quench=[{"medium": "fast_oil", "bath_c": 90}]), [35.0, 65.0, "degC"]),
    ("quench.0.seconds", plan(quench=[{"medium": "fast_oil", "seconds": 0.1}]), [0.5, 600.0, "s"]),
    ("bath.flash_c", plan(bath={"flash_c": 20}), [60.0, 400.0, "degC"]),
    ("hard_zone.to_mm", plan(hard_zone={"from_mm": 200, "to_mm": 100}), [200.0, 440.0, "mm"]),
    ("shop_limits.bow_limit_pct", plan(shop_limits={"bow_limit_pct": 5}), [0.05, 0.3, "pct"]),
]


@pytest.mark.parametrize(("field", "facts", "allowed"), BAD_FACTS, ids=lambda value: str(value)[:40])
def test_a_figure_out_of_range_names_field_range_and_unit(
    field: str, facts: dict[str, Any], allowed: list[Any]
) -> None:
    said = refusal(facts)
    assert said["reason"] in WORDS
    assert [said["field"], said["low"], said["high"], said["unit"]] == [field, *allowed]


@pytest.mark.parametrize(
    ("field", "facts"),
    [
        ("steel", plan(steel=None)),
        ("thickness_mm", plan(thickness_mm=None)),
        ("length_mm", plan(length_mm=None)),
        ("heat_source", plan(heat_source=None)),
        ("quench", plan(quench=None)),
        ("quench.0.medium", plan(quench=[{"bath_c": 50}])),
        ("coupon", plan(coupon={"thickness_mm": 4})),
        ("colour", plan(colour="red")),
        ("bath.depth_mm", plan(bath={"depth_mm": 3})),
        ("stations.0.gap_mm", plan(stations=[{"at_mm": 0, "gap_mm": 1}])),
        ("bath", plan(bath="oil")),
        ("quench", plan(quench="oil")),
        ("notch", plan(notch="yes")),
        ("shop_limits.curie_c", plan(shop_limits={"curie_c": 770})),
        ("heat_source", plan(heat_source="campfire")),
        ("quench.0.medium", plan(quench=[{"medium": "slow soup"}])),
        ("quench.0.event", plan(quench=[{"medium": "fast_oil", "event": "whenever"}])),
    ],
)  # fmt: skip
def test_a_missing_or_unknown_fact_is_named(field: str, facts: dict[str, Any]) -> None:
    said = refusal(facts)
    assert said["field"] == field
    assert said["reason"] in WORDS


def test_a_bath_too_near_its_flash_point_is_refused() -> None:
    hot = plan(
        quench=[{"medium": "fast_oil", "bath_c": 100}], bath={"flash_c": 120, "low_c": 35, "high_c": 130}
    )
    said = refusal(hot)
    assert said["reason"] == "refusal.card_flash"
    assert said["high"] == pytest.approx(120 - 27.8)


@pytest.mark.parametrize("target_hrc", [66.0, 54.0])
def test_a_hardness_out_of_reach_is_refused_with_what_can_be_reached(target_hrc: float) -> None:
    said = refusal(plan(target_hrc=target_hrc))
    assert said["field"] == "target_hrc"
    assert said["unit"] == "HRC"
    assert said["low"] < said["high"]
    for reached in [said["low"] + 0.5, said["high"] - 0.5]:
        assert card(plan(target_hrc=reached))["steps"]


@pytest.mark.parametrize("medium", ["fast_oil", "medium_oil", "water", "brine"])
def test_a_coupon_as_thick_in_the_same_bath_opens_the_way(medium: str) -> None:
    made = card(plan(quench=[{"medium": medium}], bath=None, coupon={"thickness_mm": 4.2, "medium": medium}))
    assert made["limits"]["harden_proven"] is True
    assert ("water" in made["flags"]) is (medium in ["water", "brine"])


def test_mild_carbon_goes_into_water_without_a_coupon() -> None:
    made = card(plan(steel="1055", quench=WATER, bath=None, target_hrc=57))
    assert made["limits"]["edge_need_mm"] == 1.6
