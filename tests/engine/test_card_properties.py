"""Whatever the facts, the answer is a whole card or a refusal that names a field."""

from __future__ import annotations

from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from made_steels import COMPOSITIONS, STEELS

from temperward.engine import data_files
from temperward.engine.api import ask

MEDIA = [row["id"] for row in data_files.load("media")["media"]]
STEEL_FACTS = st.one_of(
    st.fixed_dictionaries({"steel": st.sampled_from([*STEELS, "unknown"])}),
    st.fixed_dictionaries({"steels": st.lists(st.sampled_from(STEELS), min_size=2, max_size=3)}),
    st.fixed_dictionaries({"composition": COMPOSITIONS}),
)
COUPONS = st.fixed_dictionaries(
    {"thickness_mm": st.floats(0.5, 8.0), "medium": st.sampled_from(MEDIA), "passed": st.booleans()}
)
DIPS = st.fixed_dictionaries(
    {"medium": st.sampled_from(MEDIA)},
    optional={"seconds": st.floats(0.5, 60.0), "event": st.sampled_from(["lift", "hand_warm"])},
)
REST = st.fixed_dictionaries(
    {
        "thickness_mm": st.floats(0.5, 8.0),
        "length_mm": st.floats(20.0, 1500.0),
        "heat_source": st.sampled_from(["kiln", "forge_thermocouple", "forge_by_eye"]),
        "quench": st.lists(DIPS, min_size=1, max_size=3),
    },
    optional={
        "cycles": st.integers(0, 3),
        "stress_relief": st.booleans(),
        "clay": st.booleans(),
        "double_edge": st.booleans(),
        "notch": st.booleans(),
        "bolster_mm": st.floats(1.0, 25.0),
        "width_mm": st.floats(3.0, 150.0),
        "oven_kind": st.sampled_from(["kiln", "kitchen", "torch_after"]),
        "target_hrc": st.floats(50.0, 66.0),
        "temper_cycles": st.integers(1, 3),
        "coupon": COUPONS,
        "soft_tang": st.sampled_from(["kept_out", "softened_after"]),
    },
)
FACTS = st.builds(lambda steel, rest: {**steel, **rest}, STEEL_FACTS, REST)
QUICK = settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow])


@QUICK
@given(FACTS)
def test_there_is_a_card_or_a_refusal_with_a_field(facts: dict[str, Any]) -> None:
    said = ask("make_card", facts)
    if "error" in said:
        assert said["error"]["field"]
        assert said["error"]["reason"].startswith("refusal.")
        return
    made = said["answer"]
    kinds = [one["kind"] for one in made["steps"]]
    assert kinds.index("ready_to_harden") < kinds.index("hardening_heat") < kinds.index("quench")
    assert kinds.index("quench") < kinds.index("hard") < kinds.index("temper")
    assert kinds[-1] == "release"


@QUICK
@given(FACTS)
def test_the_limits_of_a_card_are_in_order(facts: dict[str, Any]) -> None:
    said = ask("make_card", facts)
    if "error" in said:
        return
    limits = said["answer"]["limits"]
    brittle = limits["brittle"]
    assert brittle["reminder_s"] < brittle["hurry_s"] < brittle["alarm_s"] <= 3600
    assert limits["bath_low_c"] < limits["bath_high_c"]
    assert limits["cycles"] == len(limits["cycle_c"]) == len(limits["soak_cycle_s"])
    assert limits["tempers"] == len(limits["temper_c"]) == len(limits["temper_hold_s"])
    assert all(150 <= temper_c < 260 for temper_c in limits["temper_c"])
    assert limits["edge_need_mm"] > 0.25
    assert limits["transfer_aim_s"] <= limits["transfer_s"]
    window = limits["window"]
    if window is not None:
        assert 0 <= window["early_s"] <= window["bend_s"] <= window["late_s"]
        assert window["bend_s"] <= window["gentle_s"]


@QUICK
@given(FACTS)
def test_water_never_meets_alloy_or_unknown_steel_without_a_coupon(facts: dict[str, Any]) -> None:
    said = ask("make_card", {**facts, "coupon": None})
    if "error" in said:
        return
    made = said["answer"]
    if "water" in made["flags"]:
        assert made["steel"]["family"] == "plain"
