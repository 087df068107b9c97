"""The demo tells what it is meant to tell: each story is read back from the fold of its log."""

from __future__ import annotations

import io
from collections.abc import Callable
from typing import Any

import pytest
from common.demo_time import NOW_MS
from PIL import Image

from seed_data.logbook import HOUR_MS, MINUTE_MS, at
from seed_data.quillfen import DemoShop, demo_shop
from temperward.engine import api

Fold = dict[str, Any]
Ask = Callable[..., Fold]
NOVEMBER_MS = at("10 Nov 12:00:00")


def ids(rows: list[dict[str, Any]]) -> list[str]:
    return [row["id"] for row in rows]


def brittle(state: Fold) -> dict[str, Any]:
    return next(clock for clock in state["clocks"] if clock["kind"] == "brittle")


def test_the_camp_knife_was_released_by_overriding_the_finished_bow(fold: Ask) -> None:
    state = fold("QF-101", now_ms=NOVEMBER_MS)
    assert state["state"]["id"] == "released"
    assert len(state["overrides"]) == 1


def test_the_camp_knife_shows_that_a_clock_was_put_back(fold: Ask) -> None:
    assert "clock_changed" in ids(fold("QF-101", now_ms=NOVEMBER_MS)["flags"])


def test_the_camp_knife_keeps_its_flare(fold: Ask) -> None:
    flare = [one for one in fold("QF-101", now_ms=NOVEMBER_MS)["findings"] if one["id"] == "flare_up"]
    assert [one["open"] for one in flare] == [False]


def test_the_long_knife_is_flagged_after_its_second_cycle_and_before_hardening(fold: Ask) -> None:
    after_first = fold("QF-102", until_ms=at("24 Oct 17:40:00"), now_ms=at("24 Oct 17:40:00"))
    after_second = fold("QF-102", until_ms=at("24 Oct 18:30:00"), now_ms=at("24 Oct 18:30:00"))
    assert "trend" not in ids(after_first["flags"])
    assert "trend" in ids(after_second["flags"])


def test_the_long_knife_shows_its_bows_in_the_order_they_were_read(fold: Ask) -> None:
    bows = [round(bow["bow_mm"], 2) for bow in fold("QF-102", now_ms=NOVEMBER_MS)["bows"]]
    assert bows == [0.15, 0.30, 0.55, 0.80, 0.10, 0.15, 0.60, 0.20, 0.12, 0.12]


def test_the_flag_on_the_long_knife_is_down_before_the_quench(fold: Ask) -> None:
    moment = at("24 Oct 23:45:00")
    state = fold("QF-102", until_ms=moment, now_ms=moment)
    assert "trend" not in ids(state["flags"])
    assert state["state"]["id"] == "ready_to_harden"


def test_the_long_knife_went_to_the_oil_with_the_oven_overridden(fold: Ask) -> None:
    moment = at("24 Oct 23:45:00")
    gate = next(
        gate
        for gate in fold("QF-102", until_ms=moment, now_ms=moment)["gates"]
        if gate["id"] == "ready_to_harden"
    )
    oven = next(item for item in gate["items"] if item["overridden"])
    assert oven["overridden"]["reason"] == "oven at 188, rising"
    assert oven["overridden"]["initials"] == "MO"


def test_the_long_knife_was_released(fold: Ask) -> None:
    assert fold("QF-102", now_ms=NOVEMBER_MS)["state"]["id"] == "released"


def test_the_skinner_waited_16_h_18_min_across_the_clock_change(fold: Ask) -> None:
    found_ms = at("25 Oct 09:10:00")
    state = fold("QF-103", until_ms=found_ms - MINUTE_MS, now_ms=found_ms)
    assert state["state"]["id"] == "hard"
    assert found_ms - brittle(state)["from_ms"] == 16 * HOUR_MS + 18 * MINUTE_MS


def test_the_skinner_in_brine_had_the_short_clock(fold: Ask) -> None:
    moment = at("24 Oct 18:10:00")
    clock = brittle(fold("QF-103", until_ms=moment, now_ms=moment))
    due = {stage["stage"]: (stage["due_ms"] - clock["from_ms"]) // MINUTE_MS for stage in clock["stages"]}
    assert due["alarm"] == 30


def test_the_skinner_is_kept_as_a_sample(fold: Ask) -> None:
    state = fold("QF-103", now_ms=NOVEMBER_MS)
    assert state["state"]["id"] == "kept_as_sample"
    assert "crack_seen" in ids(state["findings"])


def test_the_coupons_are_put_aside_with_what_they_proved(fold: Ask) -> None:
    assert fold("QF-104", now_ms=NOVEMBER_MS)["state"]["id"] == "put_aside"


@pytest.mark.parametrize("number", [1, 2, 4, 5, 6])
def test_five_knives_of_the_batch_were_released(fold: Ask, number: int) -> None:
    assert fold(f"QF-105-{number}", now_ms=NOVEMBER_MS)["state"]["id"] == "released"


def test_the_warped_knife_of_the_batch_waits_at_its_final_check(fold: Ask) -> None:
    state = fold("QF-105-3", now_ms=NOVEMBER_MS)
    assert state["state"]["id"] == "final_check"
    assert "bow_over" in ids(state["findings"])


@pytest.mark.parametrize(("number", "waited_min"), [(1, 51), (2, 47), (3, 43), (4, 39), (6, 31)])
def test_the_batch_waited_from_its_quench_marks(fold: Ask, number: int, waited_min: int) -> None:
    loaded_ms = at("17 Oct 14:53:00")
    state = fold(f"QF-105-{number}", until_ms=loaded_ms - 1, now_ms=loaded_ms)
    assert (loaded_ms - brittle(state)["from_ms"]) / MINUTE_MS == waited_min


def test_the_dropped_knife_was_hard_for_22_minutes(fold: Ask) -> None:
    dropped_ms = at("17 Oct 14:40:00")
    state = fold("QF-105-5", until_ms=dropped_ms, now_ms=dropped_ms)
    assert dropped_ms - brittle(state)["from_ms"] == 22 * MINUTE_MS
    assert "dropped_hard" in ids(state["findings"])


def test_the_power_cut_blade_was_released_with_its_customers_word(fold: Ask) -> None:
    state = fold("QF-106", now_ms=NOVEMBER_MS)
    assert state["state"]["id"] == "released"
    assert {"power_cut_in_temper", "temper_overshoot"} <= set(ids(state["findings"]))


def test_the_field_knife_has_been_hard_for_22_minutes(fold: Ask) -> None:
    state = fold("QF-107")
    assert state["state"]["id"] == "hard"
    assert NOW_MS - brittle(state)["from_ms"] == 22 * MINUTE_MS


def test_the_trail_knife_has_67_minutes_of_its_first_temper_left(fold: Ask) -> None:
    state = fold("QF-108")
    assert (state["state"]["id"], state["state"]["temper"]) == ("temper_in_heat", 1)
    hold = next(clock for clock in state["clocks"] if clock["kind"] == "temper_hold")
    assert hold["due_ms"] - NOW_MS == 67 * MINUTE_MS


def test_the_apprentices_knife_cools_after_cycle_2_of_3(fold: Ask) -> None:
    state = fold("QF-109")
    assert (state["state"]["id"], state["state"]["cycle"], state["cycles_planned"]) == ("cycle_cooling", 2, 3)


def test_the_chopper_waits_for_an_oven_at_188_of_205(fold: Ask) -> None:
    state = fold("QF-110")
    gate = next(gate for gate in state["gates"] if gate["id"] == "ready_to_harden")
    assert not gate["open"]
    failed = [item for item in gate["items"] if item["passed"] is False]
    assert [item["value"]["facts"]["value_c"] for item in failed] == [188]


def test_the_hard_blade_comes_first_in_the_list(fold: Ask) -> None:
    dangers = {tag: fold(tag)["danger"] for tag in ("QF-107", "QF-108", "QF-109", "QF-110")}
    assert min(dangers, key=dangers.__getitem__) == "QF-107"


@pytest.mark.parametrize("number", range(1, 7))
def test_no_order_flag_stands_on_a_story_told_in_order(fold: Ask, number: int) -> None:
    assert "order" not in ids(fold(f"QF-105-{number}", now_ms=NOVEMBER_MS)["flags"])


HARDENED = ["QF-101", "QF-102", "QF-103", *(f"QF-105-{number}" for number in range(1, 7)), "QF-106"]


def checks(entries: list[dict[str, Any]], check: str) -> list[dict[str, Any]]:
    return [entry["body"] for entry in entries if entry["body"].get("check") == check]


def test_the_bow_out_of_the_quench_is_known_of_ten_blades(fold: Ask) -> None:
    """Read hard and cold, the last time before the oven."""
    outcomes = []
    for tag in HARDENED:
        bows = [
            one for one in fold(tag, now_ms=NOVEMBER_MS)["bows"] if one["after"]["key"] == "fold.after.quench"
        ]
        outcomes.append({"bow_mm": round(bows[-1]["bow_mm"], 2)})
    said = api.ask("look_back", {"outcomes": outcomes})["answer"]["bow"]
    assert said == {"median": 0.15, "low": 0.10, "high": 0.80, "count": 10, "unit": "mm"}


def test_the_softest_of_the_batch_was_the_slowest_into_the_oil(entries_of: Callable[[str], Any]) -> None:
    found = []
    for number in range(1, 7):
        entries = entries_of(f"QF-105-{number}")
        transfer_s = next(e["body"]["transfer_s"] for e in entries if e["body"].get("mark") == "quenched")
        found.append((checks(entries, "hardness")[0]["readings_hrc"][0], transfer_s))
    assert [hrc for hrc, _ in found] == [64.5, 64.0, 64.5, 63.0, 64.5, 64.0]
    assert min(found) == (63.0, 4.5) == (min(hrc for hrc, _ in found), max(s for _, s in found))


def test_two_of_three_cracked_in_brine_which_is_too_few_for_a_rate(
    shop: DemoShop, entries_of: Callable[[str], Any]
) -> None:
    made = {e["log_id"]: e["body"] for e in shop.entries if e["log_kind"] == "coupon" and e["kind"] == "made"}
    brine = [log_id for log_id, body in made.items() if body["medium"] == "brine"]
    logs = [[entry for entry in shop.entries if entry["log_id"] == log_id] for log_id in brine]
    cracks = [checks(entries, "crack")[-1]["answer"] == "seen" for entries in [*logs, entries_of("QF-103")]]
    outcomes = [{"medium": "brine", "cracked": cracked} for cracked in cracks]
    said = api.ask("look_back", {"outcomes": outcomes})["answer"]["cracks"]
    assert (said["count"], said["of"], said["too_few"]) == (2, 3, True)


def test_the_dial_of_the_oven_reads_nine_kelvin_low(shop: DemoShop) -> None:
    (read,) = checks([entry for entry in shop.entries if entry["log_kind"] == "oven"], "oven_temperature")
    assert read["temperature_c"] - read["dial_c"] == 9


def test_every_entry_can_be_read(fold: Ask, shop: DemoShop) -> None:
    tags = [entry["body"]["tag"] for entry in shop.entries if entry["kind"] == "piece_made"]
    assert len(tags) == 15
    assert {tag: fold(tag, now_ms=NOVEMBER_MS)["unread"] for tag in tags} == {tag: [] for tag in tags}


def test_october_is_the_same_whenever_it_is_loaded(shop: DemoShop) -> None:
    again = demo_shop(now_ms=NOW_MS + HOUR_MS, seed=b"another")
    live = {"QF-107", "QF-108", "QF-109", "QF-110"}

    def october(one: DemoShop) -> list[dict[str, Any]]:
        logs = {entry["log_id"] for entry in one.entries if entry["body"].get("tag") in live}
        return [entry for entry in one.entries if entry["log_id"] not in logs]

    assert october(again) == october(shop)
    assert len(october(shop)) < len(shop.entries)


def test_no_id_is_given_twice(shop: DemoShop) -> None:
    assert len({entry["id"] for entry in shop.entries}) == len(shop.entries)


def test_lamport_never_falls_within_a_log(shop: DemoShop) -> None:
    seen: dict[str, int] = {}
    for entry in shop.entries:
        assert entry["lamport"] >= seen.get(entry["log_id"], 1)
        seen[entry["log_id"]] = entry["lamport"]


def test_the_photos_carry_no_metadata(shop: DemoShop) -> None:
    assert len(shop.photos) >= 7
    for photo in shop.photos:
        with Image.open(io.BytesIO(photo)) as image:
            assert not image.getexif()
            assert set(image.info) <= {"jfif", "jfif_version", "jfif_unit", "jfif_density"}
