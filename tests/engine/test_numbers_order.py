"""What holds for all steels and baths: thicker is never faster or harder, a faster bath never softer."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from temperward.engine import data_files
from temperward.engine.api import ask
from temperward.engine.thermal.bath_hold import bath_hold_s
from temperward.engine.thermal.still_air import air_rate_k_s, cycle_cooling_s, transfer_limit_s

STEELS = [row["designation"] for row in data_files.load("steels")["steels"]]
MEDIA = {row["id"]: row for row in data_files.load("media")["media"]}
SLOW_TO_FAST = ["plates", "medium_oil", "fast_oil", "water", "brine"]
few = settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])
thicknesses = st.floats(0.5, 12.0)
times = st.floats(1.05, 2.0)


def middle(steel: str, medium: str, thickness_mm: float, **more: float) -> dict[str, Any]:
    """Return what the model says of the middle; a coupon of thin sheet allows water and proves nothing."""
    facts: dict[str, Any] = {"steel": steel, "thickness_mm": thickness_mm, "medium": medium, **more}
    if MEDIA[medium]["kind"] == "water":
        facts["coupon"] = {"thickness_mm": 0.5, "medium": medium, "passed": True}
    place: dict[str, Any] = ask("will_it_harden", facts)["answer"]["places"][-1]
    return place


@pytest.mark.parametrize("medium", SLOW_TO_FAST)
@few
@given(steel=st.sampled_from(STEELS), thickness_mm=thicknesses, more=times)
def test_thicker_never_hardens_more(medium: str, steel: str, thickness_mm: float, more: float) -> None:
    # In the bath alone: on a way of two seconds through the air a thin edge cools towards the nose first.
    thin = middle(steel, medium, thickness_mm, transfer_s=0.0)
    thick = middle(steel, medium, min(12.0, thickness_mm * more), transfer_s=0.0)
    assert thick["margin"] <= thin["margin"] * 1.02
    assert thick["centre"]["martensite"]["value"] <= thin["centre"]["martensite"]["value"] + 0.5
    assert thick["centre"]["hrc"]["value"] <= thin["centre"]["hrc"]["value"] + 0.1


@pytest.mark.parametrize("steel", ["1084", "W1", "5160", "52100"])
@pytest.mark.parametrize("thickness_mm", [0.5, 0.7, 1.2, 4.0])
def test_a_longer_way_to_the_bath_never_hardens_more(steel: str, thickness_mm: float) -> None:
    ways = [middle(steel, "fast_oil", thickness_mm, transfer_s=seconds)["margin"] for seconds in (0, 1, 2, 4)]
    assert all(later <= sooner * 1.05 for sooner, later in pairwise(ways))  # steps of 12 K wobble by 4 %
    if thickness_mm == 0.5:  # what the way costs is seen at the thinnest edge
        assert ways[-1] < ways[0] / 2


@pytest.mark.parametrize("steel", STEELS)
@pytest.mark.parametrize("thickness_mm", [0.8, 2.2, 4.0, 8.0, 12.0])
def test_a_faster_medium_never_hardens_less(steel: str, thickness_mm: float) -> None:
    found = [middle(steel, medium, thickness_mm) for medium in SLOW_TO_FAST]
    for slower, faster in pairwise(found):
        assert faster["centre"]["martensite"]["value"] >= slower["centre"]["martensite"]["value"] - 0.5
        assert faster["centre"]["hrc"]["value"] >= slower["centre"]["hrc"]["value"] - 0.1
        if not slower["held_to_published_limit"] and not faster["held_to_published_limit"]:
            assert faster["margin"] >= slower["margin"] * 0.98


@few
@given(
    steel=st.sampled_from(STEELS),
    thickness_mm=thicknesses,
    way_s=st.floats(0.0, 4.0),
    slower=st.integers(0, len(SLOW_TO_FAST) - 2),
)
def test_the_next_faster_medium_never_hardens_less(
    steel: str, thickness_mm: float, way_s: float, slower: int
) -> None:
    slow, fast = (
        middle(steel, medium, thickness_mm, transfer_s=way_s) for medium in SLOW_TO_FAST[slower : slower + 2]
    )
    assert fast["centre"]["martensite"]["value"] >= slow["centre"]["martensite"]["value"] - 0.5
    assert fast["centre"]["hrc"]["value"] >= slow["centre"]["hrc"]["value"] - 0.1


@pytest.mark.parametrize("medium", SLOW_TO_FAST)
@few
@given(thickness_mm=st.floats(0.5, 12.0), more=times, from_c=st.floats(760, 900), to_c=st.floats(150, 320))
def test_thicker_never_comes_down_sooner_in_a_bath(
    medium: str, thickness_mm: float, more: float, from_c: float, to_c: float
) -> None:
    def hold_s(mm: float) -> float:
        bath_c = MEDIA[medium]["bath_aim_c"]
        return bath_hold_s(medium, thickness_mm=mm, from_c=from_c, bath_c=bath_c, to_c=to_c)

    thin_s, thick_s = hold_s(thickness_mm), hold_s(min(12.0, thickness_mm * more))
    assert thick_s >= thin_s
    # never more than with the square of the thickness, as conduction alone would have it
    assert thick_s <= thin_s * (min(12.0, thickness_mm * more) / thickness_mm) ** 2 * 1.02


@few
@given(thickness_mm=thicknesses, more=times, from_c=st.floats(180, 320), still_air=st.booleans())
def test_thicker_never_has_the_shorter_window(
    thickness_mm: float, more: float, from_c: float, *, still_air: bool
) -> None:
    def window(mm: float) -> dict[str, Any]:
        facts = {"steel": "1084", "thickness_mm": min(mm, 12.0), "from_c": from_c, "still_air": still_air}
        answer: dict[str, Any] = ask("straightening_window", facts)["answer"]
        return answer

    thin, thick = window(thickness_mm), window(thickness_mm * more)
    for name in ("to_50_pct_s", "to_hand_warm_s"):
        assert thick[name] >= thin[name]
    for name in ("to_ms", "to_10_pct", "gentle"):
        assert thick[name]["value"] >= thin[name]["value"]


@few
@given(thickness_mm=thicknesses, more=times, from_c=st.floats(760, 900))
def test_thicker_never_cools_faster_from_red_heat(thickness_mm: float, more: float, from_c: float) -> None:
    thick_mm = min(12.0, thickness_mm * more)
    assert air_rate_k_s(thickness_mm=thick_mm, at_c=from_c) <= air_rate_k_s(
        thickness_mm=thickness_mm, at_c=from_c
    )
    waits = [cycle_cooling_s(thickness_mm=mm, from_c=from_c) for mm in (thickness_mm, thick_mm)]
    limits = [transfer_limit_s(edge_mm=mm, from_c=from_c) for mm in (thickness_mm, thick_mm)]
    assert waits[1] >= waits[0]
    assert limits[1] >= limits[0]
