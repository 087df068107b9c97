"""Every band holds its own value: low <= value <= high, whatever is asked."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from bench.engine_questions import FACTS
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from made_steels import COMPOSITIONS, STEELS

from temperward.engine.api import ask

LIQUIDS = ["fast_oil", "medium_oil", "water", "brine", "plates"]
many = settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
NAMED = st.fixed_dictionaries({"steel": st.sampled_from(STEELS)})
STOCKS = st.one_of(
    NAMED,
    st.fixed_dictionaries({"composition": COMPOSITIONS}),
    st.fixed_dictionaries({"steel": st.sampled_from(STEELS), "composition": COMPOSITIONS}),
)
BY_EYE = st.fixed_dictionaries({"by_eye": st.booleans()})
STILL_AIR = st.fixed_dictionaries({"still_air": st.booleans()})
HEATS = st.lists(
    st.fixed_dictionaries({"temperature_c": st.floats(100, 650), "hold_s": st.floats(1, 86400)}),
    min_size=1,
    max_size=4,
)


def bands_in(answer: Any, *, at: str = "") -> Iterator[tuple[str, dict[str, Any]]]:
    """Yield every value with a band in an answer, and where it stands."""
    if isinstance(answer, dict):
        if "low" in answer and "high" in answer and "value" in answer:
            yield at, answer
        for name, part in answer.items():
            yield from bands_in(part, at=f"{at}.{name}")
    if isinstance(answer, list):
        for k, part in enumerate(answer):
            yield from bands_in(part, at=f"{at}.{k}")


def held(question: str, facts: dict[str, Any]) -> int:
    """Check every band of an answer; return how many there were."""
    answer = ask(question, facts)
    if "error" in answer:
        return 0
    found = list(bands_in(answer["answer"]))
    for at, band in found:
        assert band["low"] <= band["value"] <= band["high"], (question, facts, at, band)
    return len(found)


# A short temper leaves the steel as hard as the bath did: the value was held there, its low end was not.
# Tables refuse a second at 150 degC, the plain-carbon fit takes it: 13 steels, of which 11 failed here.
@pytest.mark.parametrize(("hold_s", "answered"), [(1.0, 13), (600.0, 19), (7200.0, 19)])
def test_a_short_temper_of_a_named_steel(hold_s: float, answered: int) -> None:
    heats = [{"temperature_c": 150.0, "hold_s": hold_s}]
    assert sum(held("tempered_hardness", {"steel": steel, "heats": heats}) for steel in STEELS) >= answered


@many
@given(STOCKS, HEATS, BY_EYE)
def test_tempered_hardness(
    stock: dict[str, Any], heats: list[dict[str, float]], by_eye: dict[str, bool]
) -> None:
    held("tempered_hardness", {**stock, "heats": heats, **by_eye})


@many
@given(STOCKS, st.floats(50, 66), st.floats(1800, 86400), st.integers(1, 3))
def test_a_temper_for_a_hardness(
    stock: dict[str, Any], target_hrc: float, hold_s: float, cycles: int
) -> None:
    facts = {**stock, "target_hrc": target_hrc, "hold_s": hold_s, "cycles": cycles, "thickness_mm": 4.0}
    held("temper_for", facts)


@many
@given(STOCKS, st.floats(700, 1000), st.floats(-30, 150), st.floats(0, 1), BY_EYE)
def test_temperatures_and_hardness_from_the_bath(
    stock: dict[str, Any], heat_c: float, to_c: float, fraction: float, by_eye: dict[str, bool]
) -> None:
    held("transformation_temperatures", {**stock, "austenitise_c": heat_c, "to_c": to_c})
    facts = {**stock, "austenitise_c": heat_c, "martensite_fraction": fraction, **by_eye}
    held("as_quenched_hardness", facts)


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(STOCKS, st.floats(760, 1000), st.floats(0.5, 12), st.floats(0.2, 3), st.sampled_from(LIQUIDS))
def test_whether_it_hardens(
    stock: dict[str, Any], heat_c: float, thickness_mm: float, edge_mm: float, medium: str
) -> None:
    coupon = {"thickness_mm": 2.0, "medium": medium, "passed": True}
    facts = {**stock, "austenitise_c": heat_c, "thickness_mm": thickness_mm, "medium": medium}
    held("will_it_harden", {**facts, "edge_mm": min(edge_mm, thickness_mm), "coupon": coupon})


@many
@given(STOCKS, st.floats(0.5, 12), st.floats(100, 350), st.floats(-20, 45), STILL_AIR)
def test_windows(
    stock: dict[str, Any], thickness_mm: float, from_c: float, ambient_c: float, still_air: dict[str, bool]
) -> None:
    facts = {**stock, "thickness_mm": thickness_mm, "from_c": from_c, "ambient_c": ambient_c}
    held("straightening_window", {**facts, **still_air})


@many
@given(
    HEATS,
    st.floats(100, 700),
    st.floats(10, 86400),
    st.floats(10, 25),
    st.lists(st.floats(-20, 20), min_size=3, max_size=9),
)
def test_equivalents_and_shape(
    heats: list[dict[str, float]], at_c: float, hold_s: float, constant: float, readings: list[float]
) -> None:
    held("temper_equivalent", {"heats": heats, "at_c": at_c, "constant": constant})
    held("temper_equivalent", {"heats": heats, "hold_s": hold_s, "constant": constant})
    stations = [{"at_mm": 30.0 * k, "gap_mm": gap} for k, gap in enumerate(readings)]
    assert held("straightness", {"stations": stations}) == 1
    assert held("warp_trend", {"bows": readings}) == 1
    held(
        "springback", {"bow_mm": abs(readings[0]) + 0.01, "span_mm": 150, "thickness_mm": 3, "state": "soft"}
    )
    held("bath_rise", {"steel_kg": abs(readings[1]) + 0.1, "bath_c": 50, "litres": 20, "blades": 3})
    soaks = [{"temperature_c": 760 + 10 * abs(gap), "hold_s": 300} for gap in readings]
    held("edge_allowance", {"heats": soaks, "medium": "water"})


CARDS = st.fixed_dictionaries(
    {
        "thickness_mm": st.floats(0.8, 8),
        "length_mm": st.floats(60, 800),
        "heat_source": st.sampled_from(["kiln", "forge_thermocouple", "forge_by_eye"]),
        "quench": st.lists(
            st.fixed_dictionaries({"medium": st.sampled_from(["fast_oil", "medium_oil", "brine"])}),
            min_size=1,
            max_size=2,
        ),
    },
    optional={"target_hrc": st.floats(54, 63), "temper_cycles": st.integers(1, 3)},
)


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(STOCKS, CARDS)
def test_cards_and_their_pictures(stock: dict[str, Any], plan: dict[str, Any]) -> None:
    for question in ("make_card", "card_pictures"):
        held(question, {**stock, **plan})


@many
@given(
    st.floats(150, 260),
    st.floats(600, 86400),
    st.floats(0, 90),
    st.floats(1, 86400),
    st.sampled_from([*STEELS, "unknown"]),
)
def test_tempers_that_went_wrong(
    set_c: float, planned_s: float, hotter_k: float, peak_s: float, steel: str
) -> None:
    plan = {"set_c": set_c, "planned_s": planned_s, "steel": steel}
    assert held("overshoot", {**plan, "peak_c": set_c + hotter_k, "peak_s": peak_s}) == 1
    assert held("power_cut", {**plan, "held_s": peak_s, "away_s": planned_s}) == 1


@many
@given(st.floats(-20, 20), st.floats(3, 300), st.lists(st.booleans(), min_size=1, max_size=30))
def test_twist_and_what_a_shop_looks_back_on(gap_mm: float, width_mm: float, cracked: list[bool]) -> None:
    assert held("twist", {"gap_mm": gap_mm, "width_mm": width_mm}) == 1
    outcomes = [{"bow_mm": 0.1 * k, "cracked": crack} for k, crack in enumerate(cracked)]
    held("look_back", {"outcomes": outcomes})


# What the bench asks of each question: here it is answered, so that no property above is about refusals only.
@pytest.mark.parametrize(
    "question",
    [
        "tempered_hardness",
        "temper_for",
        "transformation_temperatures",
        "as_quenched_hardness",
        "will_it_harden",
        "straightening_window",
        "temper_equivalent",
        "straightness",
        "warp_trend",
        "springback",
        "bath_rise",
        "edge_allowance",
        "make_card",
    ],
)
def test_plain_facts_are_answered_with_bands(question: str) -> None:
    assert held(question, FACTS[question]) > 0
