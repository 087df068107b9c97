"""Stop points: what they ask, what expires, what can be gone around and what cannot."""

from __future__ import annotations

from typing import Any

import pytest
from fold_reading import flags, gate, item
from log_maker import Log, plain_card

from temperward import wording
from temperward.engine import data_files


def ready_log(**limits: Any) -> Log:
    log = Log(card=plain_card(**limits)).ground()
    for _ in range(log_cycles(limits)):
        log.cycle(0.15)
    return log.get_ready()


def log_cycles(limits: dict[str, Any]) -> int:
    return int(limits.get("cycles", 3))


def test_ready_opens_when_everything_is_so() -> None:
    fold = ready_log().fold()
    assert gate(fold, "ready_to_harden")["open"]
    assert fold["phase"] == "ready.go"
    assert fold["next"]["mark"] == "hardening_fire"
    assert [one["kind"] for one in fold["clocks"]] == ["readiness"]


def test_the_oven_reading_lasts_ten_minutes_and_the_bath_thirty() -> None:
    log = ready_log()
    assert log.fold(after_s=599)["phase"] == "ready.go"
    stale = log.fold(after_s=600)
    assert stale["phase"] == "ready.oven"
    assert item(stale, "oven")["passed"] is None
    log.check("oven_temperature", {"temperature_c": 204}, after_s=1700)
    assert log.fold()["phase"] == "ready.go"
    late = log.fold(after_s=100)
    assert (late["phase"], late["next"]["check"]) == ("ready.bath_temperature", "bath_temperature")
    assert item(late, "lid")["passed"] is True


@pytest.mark.parametrize(
    ("read_c", "phase", "gap_k"),
    [(188, "ready.oven_low", 17), (195, "ready.go", None), (230, "ready.oven_high", 25)],
)
def test_the_oven_must_be_within_ten_kelvin(read_c: float, phase: str, gap_k: float | None) -> None:
    log = ready_log()
    log.check("oven_temperature", {"temperature_c": read_c}, after_s=5)
    fold = log.fold()
    assert fold["phase"] == phase
    if gap_k is not None:
        assert fold["sentence"]["facts"]["gap_k"] == gap_k
        assert [offer["do"] for offer in fold["offers"]] == ["choice", "override"]


def test_a_kitchen_oven_counts_by_its_mean_with_a_bound_on_its_peak() -> None:
    log = ready_log()
    log.check("oven_temperature", {"temperature_c": 205, "swing_peak_c": 219}, after_s=5)
    assert log.fold()["phase"] == "ready.go"
    log.check("oven_temperature", {"temperature_c": 205, "swing_peak_c": 221}, after_s=5)
    assert item(log.fold(), "oven")["passed"] is False


def test_a_planned_snap_temper_is_a_way_to_the_temper_too() -> None:
    log = ready_log()
    log.check("oven_temperature", {"temperature_c": 20}, after_s=5)
    log.add("choice", {"choice": "snap_temper_planned"})
    assert log.fold()["phase"] == "ready.go"


def test_the_log_of_the_oven_itself_is_read_too() -> None:
    log = ready_log()
    log.wait(1200)
    assert log.fold()["phase"] == "ready.oven"
    oven = {"last": [{"check": "oven_temperature", "temperature_c": 206, "happened_ms": log.now_ms - 1000}]}
    assert log.fold(related={"oven": oven})["phase"] == "ready.go"


def test_going_anyway_needs_a_reason_and_stands_in_the_log() -> None:
    log = ready_log()
    log.check("oven_temperature", {"temperature_c": 188}, after_s=5)
    body = {"gate": "ready_to_harden", "items": ["oven"], "reason": "at 188, rising", "initials": "MO"}
    short = log.add("override", {**body, "reason": "ok"})
    assert log.fold()["unread"] == [short]
    entry_id = log.add("override", body)
    fold = log.fold()
    assert gate(fold, "ready_to_harden")["open"]
    assert item(fold, "oven")["overridden"] == {
        "entry_id": entry_id,
        "reason": "at 188, rising",
        "initials": "MO",
    }
    assert fold["overrides"] == [entry_id]
    assert log.fold(after_s=1801)["phase"] != "ready.go"


@pytest.mark.parametrize(
    ("name", "check", "body"),
    [
        ("lid", "bath_ready", {"covers_blade": True, "lid": False, "extinguisher": True, "path": True}),
        (
            "covers_blade",
            "bath_ready",
            {"covers_blade": False, "lid": True, "extinguisher": True, "path": True},
        ),
        ("flash_margin", "bath_temperature", {"temperature_c": 163}),
    ],
)
def test_three_things_have_no_way_around(name: str, check: str, body: dict[str, Any]) -> None:
    log = ready_log(bath_high_c=180)
    log.check(check, body, after_s=5)
    log.add(
        "override", {"gate": "ready_to_harden", "items": [name], "reason": "in a hurry", "initials": "MO"}
    )
    fold = log.fold()
    assert item(fold, name)["overridden"] is None
    assert not gate(fold, "ready_to_harden")["open"]
    assert fold["phase"] == "ready." + name
    assert fold["shape"] == "octagon"
    assert "against_fire_line" in flags(fold)
    assert "override" not in [action["do"] for action in fold["offers"]]
    log.mark("hardening_fire", after_s=5)
    gone = log.fold()
    assert gone["state"]["id"] == "hardening_heat"
    assert flags(gone).count("against_fire_line") == 2


def test_the_flash_margin_is_an_interval_and_not_a_temperature() -> None:
    log = ready_log(bath_high_c=180)
    log.check("bath_temperature", {"temperature_c": 162.2}, after_s=5)
    assert item(log.fold(), "flash_margin")["passed"] is True
    log.check("bath_temperature", {"temperature_c": 162.3}, after_s=5)
    assert item(log.fold(), "flash_margin")["passed"] is False


def test_a_bath_that_is_too_cold_or_too_hot_is_a_finding() -> None:
    log = ready_log()
    log.check("bath_temperature", {"temperature_c": 20}, after_s=5)
    assert log.fold()["phase"] == "ready.bath_cold"
    assert "bath_too_cold" in [one["id"] for one in log.fold()["findings"]]
    log.check("bath_temperature", {"temperature_c": 80}, after_s=5)
    assert (log.fold()["phase"], log.fold()["shape"]) == ("ready.bath_hot", "octagon")


def test_the_sheet_of_the_bath_rules_over_the_card() -> None:
    log = ready_log()
    log.check("bath_temperature", {"temperature_c": 70}, after_s=5)
    ticks = {"covers_blade": True, "lid": True, "extinguisher": True, "path": True, "tipping": True}
    log.check("bath_ready", {**ticks, "from_sheet": {"low_c": 50, "high_c": 75}}, after_s=5)
    assert log.fold()["phase"] == "ready.go"


def test_going_on_before_it_is_ready_is_kept_with_what_was_missing() -> None:
    log = Log(card=plain_card()).ground()
    for _ in range(3):
        log.cycle(0.15)
    log.mark("ready", after_s=60)
    log.mark("hardening_fire", after_s=5)
    fold = log.fold()
    assert fold["state"]["id"] == "hardening_heat"
    missing = next(flag["facts"]["items"] for flag in fold["flags"] if flag["id"] == "went_on")
    assert "oven" in missing
    assert "lid" in missing


def test_a_bow_that_was_not_measured_since_the_last_heat_is_asked_for() -> None:
    log = Log(card=plain_card()).ground()
    for _ in range(2):
        log.cycle(0.15)
    log.cycle(None)
    log.mark("ready", after_s=60)
    assert item(log.fold(), "bow")["passed"] is None
    assert log.fold()["next"]["check"] == "straightness"


def test_a_card_without_cycles_goes_from_ground_to_ready() -> None:
    log = Log(card=plain_card(cycles=0)).ground()
    assert log.fold()["next"]["mark"] == "ready"
    log.get_ready()
    assert log.fold()["phase"] == "ready.go"
    assert "order" not in flags(log.fold())


def test_water_asks_for_no_lid() -> None:
    card = plain_card(bath_low_c=20, bath_high_c=35, flash_c=None)
    card["facts"]["quench"] = [{"medium": "water"}]
    log = Log(card=card).ground()
    for _ in range(3):
        log.cycle(0.15)
    log.mark("ready", after_s=60)
    names = [one["id"] for one in gate(log.fold(), "ready_to_harden")["items"]]
    assert "lid" not in names
    assert "flash_margin" not in names
    assert "covers_blade" in names


def test_a_thin_coupon_proves_nothing_and_a_thick_one_in_the_same_bath_does() -> None:
    log = Log(card=plain_card(harden_proven=False)).ground()
    fold = log.fold()
    assert (fold["phase"], fold["next"]["check"]) == ("ground.hardens", "coupon")
    log.check("coupon", {"thickness_mm": 3.0, "medium": "fast_oil", "passed": True}, after_s=60)
    assert log.fold()["phase"] == "ground.hardens"
    said = next(one for one in gate(log.fold(), "ready_for_heat")["items"] if one["id"] == "hardens")["value"]
    assert said == {"key": "fold.value.coupon_thin", "facts": {"thickness_mm": 3.0, "ratio": 4.2 / 3.0}}
    log.check("coupon", {"thickness_mm": 6.0, "medium": "medium_oil", "passed": True}, after_s=60)
    assert log.fold()["phase"] == "ground.hardens"
    log.check("coupon", {"thickness_mm": 4.2, "medium": "fast_oil", "passed": True}, after_s=60)
    assert log.fold()["next"]["mark"] == "in_fire"
    said = next(one for one in gate(log.fold(), "ready_for_heat")["items"] if one["id"] == "hardens")["value"]
    assert wording.render(said) == "coupon proves up to 4.20 mm"


def test_the_magnet_counts_only_on_a_rising_heat() -> None:
    log = ready_log()
    log.mark("hardening_fire", after_s=60)
    log.check("magnet", {"answer": "none", "rising": False}, after_s=300)
    assert log.fold()["phase"] == "fire.magnet_again"
    log.check("magnet", {"answer": "weak", "rising": True}, after_s=30)
    log.check("magnet", {"answer": "sticks", "rising": True}, after_s=30)
    fold = log.fold()
    assert (fold["phase"], fold["next"]["mark"]) == ("fire.too_long", "heat_aborted")
    assert "still_magnetic" in [one["id"] for one in fold["findings"]]
    log.mark("heat_aborted", after_s=5)
    assert log.fold()["state"]["id"] == "cycle_cooling"
    log.mark("cold", after_s=1100)
    assert log.fold()["cycles_done"] == 4


def test_ten_minutes_hot_without_the_magnet_letting_go_is_too_long() -> None:
    log = ready_log()
    log.mark("hardening_fire", after_s=60)
    log.check("magnet", {"answer": "sticks", "rising": True}, after_s=300)
    assert log.fold(after_s=599)["phase"] == "fire.magnet_again"
    assert log.fold(after_s=600)["phase"] == "fire.too_long"


def test_the_magnet_alone_is_not_go() -> None:
    log = ready_log()
    log.mark("hardening_fire", after_s=60)
    log.check("magnet", {"answer": "none", "rising": True}, after_s=300)
    assert not gate(log.fold(), "quench_go")["open"]
    log.check("colour", {"even": True, "bright": True}, after_s=10)
    assert "dull_in_bright_light" in [one["id"] for one in log.fold()["findings"]]
    assert log.fold()["phase"] == "fire.colour"
    log.check("colour", {"even": True, "bright": False}, after_s=10)
    assert not gate(log.fold(after_s=119), "quench_go")["open"]
    assert gate(log.fold(after_s=121), "quench_go")["open"]


def test_uneven_colour_stops_the_soak() -> None:
    log = ready_log()
    log.mark("hardening_fire", after_s=60)
    log.check("magnet", {"answer": "none", "rising": True}, after_s=300)
    log.check("colour", {"even": True}, after_s=10)
    log.check("colour", {"even": False}, after_s=60)
    fold = log.fold(after_s=100)
    assert (fold["phase"], fold["shape"]) == ("fire.uneven", "octagon")


def test_what_stands_against_a_gate_comes_first() -> None:
    log = ready_log()
    log.check("oven_temperature", {"temperature_c": 188}, after_s=5)
    assert gate(log.fold(), "ready_to_harden")["items"][0]["id"] == "oven"


def test_of_several_ovens_only_the_one_that_the_blade_names_is_read() -> None:
    log = ready_log()
    log.wait(1200)
    reading = {"check": "oven_temperature", "temperature_c": 206, "happened_ms": log.now_ms - 1000}
    ovens = [
        {"log_id": "kiln", "name": "Kiln", "last": []},
        {"log_id": "oven", "name": "Oven", "last": [reading]},
    ]
    assert log.fold(related={"oven": ovens})["phase"] == "ready.oven"
    log.check("bath_temperature", {"temperature_c": 54, "oven_id": "oven"}, after_s=1)
    assert log.fold(related={"oven": ovens})["phase"] == "ready.go"


def test_the_set_point_stands_beside_the_number() -> None:
    log = ready_log()
    assert log.fold()["set"] == {"key": "fold.set.bath", "facts": {"low_c": 35, "high_c": 65}}
    log.harden()
    log.mark("hand_warm", after_s=950)
    log.mark("in_oven", after_s=10, body={"purpose": "temper"})
    assert log.fold()["set"] == {"key": "fold.set.oven", "facts": {"value_c": 205}}


DAY_MS = 86_400_000


def shop_item(fold: dict[str, Any], name: str) -> dict[str, Any]:
    gate = next(one for one in fold["gates"] if one["id"] == "ready_to_harden")
    return dict(next(one for one in gate["items"] if one["id"] == name))


def things(bath: list[dict[str, Any]], oven: list[dict[str, Any]]) -> dict[str, Any]:
    return {
        "bath": [{"log_id": "tank", "name": "Tank", "facts": {"medium": "fast_oil"}, "last": bath}],
        "oven": [{"log_id": "oven", "name": "Oven", "last": oven}],
    }


@pytest.mark.parametrize(
    ("name", "good_days", "late_days"), [("crackle", 29.9, 30.0), ("oven_compared", 6.9, 7.0)]
)
def test_a_check_of_the_shop_that_is_overdue_shows_and_blocks_nothing(
    name: str, good_days: float, late_days: float
) -> None:
    log = ready_log()

    def fold_after(days: float) -> dict[str, Any]:
        done = [{"check": name, "happened_ms": log.now_ms - int(days * DAY_MS)}]
        return log.fold(related=things(done, done))

    fresh, late = fold_after(good_days), fold_after(late_days)
    assert shop_item(fresh, name)["passed"] is True
    assert shop_item(fresh, name)["expires_ms"] in fresh["changes_at_ms"]
    assert shop_item(late, name)["value"]["key"] == "fold.value.overdue"
    assert (shop_item(late, name)["passed"], shop_item(late, name)["hard"]) == (False, False)
    assert shop_item(log.fold(related=things([], [])), name)["passed"] is None
    assert fresh["gates"][0]["open"] is late["gates"][0]["open"]
    assert fresh["phase"] == late["phase"]


def test_water_in_the_oil_is_said() -> None:
    log = ready_log()
    wet = [{"check": "crackle", "water": True, "happened_ms": log.now_ms}]
    assert shop_item(log.fold(related=things(wet, [])), "crackle")["value"]["key"] == "fold.value.water"


def test_without_a_log_of_the_thing_nothing_is_asked_of_it() -> None:
    items = [one["id"] for one in ready_log().fold()["gates"][0]["items"]]
    assert "crackle" not in items
    assert "oven_compared" not in items


def test_an_oven_read_beside_its_dial_was_compared() -> None:
    log = ready_log()
    read = {"check": "oven_temperature", "temperature_c": 205, "dial_c": 196, "happened_ms": log.now_ms}
    assert shop_item(log.fold(related=things([], [read])), "oven_compared")["passed"] is True


def test_a_way_around_says_how_long_its_reason_is_at_least() -> None:
    log = Log(card=plain_card(harden_proven=False)).ground()
    (way,) = [one for one in log.fold()["offers"] + log.fold()["more"] if one["do"] == "override"][:1]
    (least,) = [
        field["least"]
        for field in data_files.load("entries")["piece"]["override"]
        if field["name"] == "reason"
    ]
    assert way["least"] == least
