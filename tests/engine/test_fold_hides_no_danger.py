"""Neither two phones nor a forgotten mark nor a shortcut may hide a brittle blade or open a stop point."""

from __future__ import annotations

from typing import Any

import pytest
from common.card_cases import plan
from fold_reading import flags, gate, item
from log_maker import Log, plain_card

from temperward.engine import api


def marks(actions: list[dict[str, Any]]) -> list[str | None]:
    return [action.get("mark") for action in actions]


def cycled(**limits: Any) -> Log:
    log = Log(card=plain_card(**limits)).ground()
    for _ in range(3):
        log.cycle(0.15)
    return log


def heating(**limits: Any) -> Log:
    log = cycled(**limits).get_ready()
    log.mark("hardening_fire", after_s=60)
    return log


@pytest.mark.parametrize("device", ["phone-a", "phone-b"])
def test_in_the_oven_marked_twice_is_one_stay_that_nobody_read(device: str) -> None:
    log = Log().to_hand_warm()
    log.mark("in_oven", after_s=60)
    in_ms = log.now_ms
    log.mark("in_oven", after_s=30, device=device)
    fold = log.fold()
    assert fold["state"]["since_ms"] == in_ms
    assert next((clock["kind"], clock["paused"]) for clock in fold["clocks"]) == ("brittle", True)
    assert log.fold(after_s=2700)["state"]["id"] == "hard"
    log.mark("out_of_oven", after_s=300)
    assert (log.fold()["state"]["id"], log.fold()["tempers_done"]) == ("hard", 0)


def test_a_snap_temper_that_goes_on_to_the_real_one_keeps_its_stay() -> None:
    log = Log().to_hand_warm()
    log.mark("in_oven", after_s=60, body={"purpose": "snap"})
    log.check("oven_temperature", {"temperature_c": 205}, after_s=300)
    log.mark("in_oven", after_s=60, body={"purpose": "temper"})
    log.mark("out_of_oven", after_s=7200)
    assert (log.fold()["state"]["id"], log.fold()["tempers_done"]) == ("temper_cooling", 1)


def test_into_the_oven_from_the_hardening_heat_is_a_quench_that_nobody_marked() -> None:
    log = heating()
    log.mark("going_to_quench", after_s=400)
    going_ms = log.now_ms
    log.mark("in_oven", after_s=900)
    brittle = log.fold()["clocks"][0]
    assert (brittle["kind"], brittle["paused"], brittle["from_ms"]) == ("brittle", True, going_ms)
    log.mark("out_of_oven", after_s=300)
    assert log.fold()["phase"] == "brittle.unknown"


@pytest.mark.parametrize("mark", ["in_fire", "hardening_fire", "out_of_fire"])
def test_a_stray_mark_of_the_fire_takes_no_hard_blade_out_of_the_oven(mark: str) -> None:
    log = Log().to_hand_warm()
    log.mark("in_oven", after_s=60)
    log.mark(mark, after_s=20, device="phone-b")
    fold = log.fold()
    assert (fold["state"]["id"], fold["clocks"][0]["kind"]) == ("temper_in_heat", "brittle")
    assert "order" in flags(fold)


def test_a_power_cut_ends_the_heat_even_when_the_oven_is_read_hot_again_later() -> None:
    log = Log().to_hand_warm()
    log.mark("in_oven", after_s=60)
    log.check("oven_temperature", {"temperature_c": 205}, after_s=600)
    log.finding("power_cut_in_temper", after_s=300)
    log.check("oven_temperature", {"temperature_c": 205}, after_s=3600)
    log.mark("out_of_oven", after_s=60)
    assert log.fold()["state"]["id"] == "hard"


def test_a_second_snap_temper_gives_no_new_day() -> None:
    log = Log().to_hand_warm()
    log.mark("in_oven", after_s=60, body={"purpose": "snap"})
    log.check("oven_temperature", {"temperature_c": 152}, after_s=60)
    log.mark("out_of_oven", after_s=1800)
    first_ms = log.now_ms
    log.mark("in_oven", after_s=80_000, body={"purpose": "snap"})
    log.check("oven_temperature", {"temperature_c": 152}, after_s=60)
    log.mark("out_of_oven", after_s=1800)
    fold = log.fold()
    assert (fold["state"]["id"], fold["clocks"][0]["from_ms"]) == ("snap_tempered", first_ms)


def test_from_the_hurry_on_nobody_waits_for_hand_warm() -> None:
    log = cycled(hand_warm_s=2561).get_ready().harden()
    assert log.fold(after_s=1799)["phase"] == "brittle.cooling"
    assert log.fold(after_s=1800)["phase"] == "brittle.oven"


def test_the_oven_is_within_reach_even_in_the_bath() -> None:
    fold = cycled().get_ready().harden().fold(after_s=2)
    assert (fold["phase"], fold["offers"], marks(fold["more"])) == ("in_quench", [], ["in_oven"])


def test_boiling_water_holds_the_alarm_and_nothing_else() -> None:
    log = cycled().get_ready().harden()
    quench_ms = log.now_ms
    log.mark("hand_warm", after_s=300)
    log.mark("boiling_water", after_s=10)
    due = [(stage["due_ms"] - quench_ms) / 1000 for stage in log.fold()["clocks"][0]["stages"]]
    assert due == [600, 1800, 3910]


def test_a_lost_record_of_a_hard_blade_still_says_brittle() -> None:
    log = Log().to_hand_warm()
    log.mark("record_lost", after_s=5)
    fold = log.fold()
    assert (fold["phase"], fold["hazards"], fold["next"]["mark"]) == (
        "record_lost.brittle",
        ["BRITTLE"],
        "broken_up",
    )
    log.mark("broken_up", after_s=5)
    assert log.fold()["hazards"] == []


def test_a_file_that_bites_the_tang_says_nothing_of_the_blade() -> None:
    log = Log().to_hand_warm()
    log.check("file", {"place": "tang", "answer": "bites"}, after_s=5)
    fold = log.fold()
    assert "file_bites" not in [one["id"] for one in fold["findings"]]
    assert fold["offers"][0]["check"] == "file"


def test_a_hard_blade_is_reworked_only_when_a_file_bites_at_two_places() -> None:
    log = Log().to_hand_warm()
    log.check("file", {"place": "edge", "answer": "bites"}, after_s=5)
    assert "rework" not in marks(log.fold()["offers"] + log.fold()["more"])
    log.check("file", {"place": "spine", "answer": "bites"}, after_s=5)
    fold = log.fold()
    assert "rework" in marks(fold["offers"] + fold["more"])
    log.mark("rework", after_s=5)
    assert log.fold()["state"]["id"] == "rework"


def test_a_way_around_is_only_around_what_it_was_offered_for() -> None:
    log = Log(card=plain_card()).ground().cycle(0.6)
    offered = next(one for one in log.fold()["offers"] if one["do"] == "override")
    assert offered["items"] == ["bow"]


def test_what_is_measured_after_going_around_asks_again() -> None:
    log = Log(card=plain_card()).ground().cycle(0.6)
    body = {"gate": "ready_to_harden", "items": ["bow"], "reason": "clay flexes it", "initials": "MO"}
    log.add("override", body)
    assert item(log.fold(), "bow")["overridden"] is not None
    log.bow(3.0)
    assert item(log.fold(), "bow")["overridden"] is None


def test_it_never_says_go_without_a_lid() -> None:
    log = cycled()
    log.mark("ready", after_s=60)
    ticks = {"covers_blade": True, "lid": False, "extinguisher": True, "path": True, "tipping": True}
    log.check("bath_ready", ticks)
    log.check("bath_temperature", {"temperature_c": 54})
    log.check("oven_temperature", {"temperature_c": 204})
    log.mark("hardening_fire", after_s=60)
    log.check("magnet", {"answer": "none", "rising": True}, after_s=200)
    log.check("colour", {"even": True}, after_s=10)
    fold = log.fold(after_s=125)
    assert (fold["phase"], fold["shape"], fold["next"]["mark"]) == ("fire.against", "octagon", "heat_aborted")
    assert "going_to_quench" in marks(fold["offers"])
    log.check("bath_ready", {**ticks, "lid": True}, after_s=130)
    assert log.fold()["phase"] == "fire.go"


def test_a_bath_that_nobody_looked_at_is_asked_for_before_go() -> None:
    log = cycled()
    log.mark("ready", after_s=60)
    log.mark("hardening_fire", after_s=60)
    fold = log.fold()
    assert (fold["phase"], fold["next"]["do"]) == ("fire.unread", "check")
    flag = next(one for one in fold["flags"] if one["id"] == "against_fire_line")
    assert "lid" in flag["facts"]["items"]


def test_a_reading_that_ran_out_in_the_fire_is_asked_for_and_not_held_against_it() -> None:
    log = heating()
    assert log.fold(after_s=1800)["phase"] == "fire.unread"
    log.mark("quenched", after_s=1800)
    assert "against_fire_line" not in flags(log.fold())


def test_each_bath_of_a_quench_is_read_and_the_flash_margin_is_of_the_oil() -> None:
    dips = [{"medium": "water", "seconds": 3}, {"medium": "fast_oil"}]
    facts = plan(steel="1055", thickness_mm=6, edge_mm=2.2, clay=True, bath=None, quench=dips, target_hrc=57)
    log = Log(card=api.ask("make_card", facts)["answer"]).ground()
    for _ in range(3):
        log.cycle(0.1)
    log.get_ready()
    log.check("bath_temperature", {"temperature_c": 26, "medium": "water"}, after_s=1)
    log.check("flash_point", {"flash_c": 190}, after_s=1)
    fold = log.fold()
    assert item(fold, "bath_temperature")["passed"] is True
    assert item(fold, "bath_temperature_2")["passed"] is None
    assert item(fold, "flash_margin")["passed"] is None
    assert fold["next"]["body"] == {"medium": "fast_oil"}
    log.check("bath_temperature", {"temperature_c": 180, "medium": "fast_oil"}, after_s=1)
    assert item(log.fold(), "flash_margin")["passed"] is False
    log.check("bath_temperature", {"temperature_c": 50, "medium": "fast_oil"}, after_s=1)
    fold = log.fold()
    assert item(fold, "flash_margin")["passed"] is True
    assert {item(fold, name)["passed"] for name in ("bath_temperature", "bath_temperature_2")} == {True}


def test_what_was_never_proven_is_asked_again_before_hardening() -> None:
    log = Log(card=plain_card(harden_proven=False)).ground()
    assert "ground_ready" not in marks(log.fold()["offers"])
    for _ in range(3):
        log.cycle(0.1)
    fold = log.get_ready().fold()
    assert (fold["phase"], flags(fold)) == ("ready.hardens", ["went_on"])
    log.check("coupon", {"thickness_mm": 4.2, "medium": "fast_oil", "passed": True}, after_s=5)
    assert gate(log.fold())["open"]


def test_a_coupon_proves_the_first_bath_and_the_thickest_place() -> None:
    card = plain_card(harden_proven=False, thickest_mm=5.0)
    card["facts"]["quench"] = [{"medium": "fast_oil"}, {"medium": "plates"}]
    log = Log(card=card).ground()
    for thickness_mm, medium, proven in (
        (4.2, "fast_oil", False),
        (6, "plates", False),
        (5, "fast_oil", True),
    ):
        log.check("coupon", {"thickness_mm": thickness_mm, "medium": medium, "passed": True}, after_s=5)
        assert (item(log.fold(), "hardens", "ready_for_heat")["passed"] is True) is proven


@pytest.mark.parametrize("checks", [[], ["none"], ["sticks"] * 3])
def test_the_way_into_the_bath_can_be_marked_at_every_moment_of_the_heat(checks: list[str]) -> None:
    log = heating()
    for answer in checks:
        log.check("magnet", {"answer": answer, "rising": True}, after_s=100)
    fold = log.fold()
    allowed = marks([fold["next"], *fold["offers"], *fold["more"]])
    assert {"going_to_quench", "quenched"} <= set(allowed)


def test_a_minute_on_the_way_to_the_bath_there_is_a_way_back() -> None:
    log = heating()
    log.mark("going_to_quench", after_s=300)
    assert log.fold(after_s=59)["offers"] == []
    late = log.fold(after_s=60)
    assert (late["screen"], marks(late["offers"])) == ("quench", ["heat_aborted"])
    assert "none" in [answer["do"] for answer in late["catch_up"][0]["answers"]]


def test_closing_a_fire_is_the_all_clear() -> None:
    log = heating()
    entry_id = log.finding("tank_fire", after_s=100)
    log.add("finding_closed", {"entry_id": entry_id})
    fold = log.fold()
    assert (fold["state"]["id"], fold["people"]) == ("hard", None)
    assert "left_hard_unknown" in flags(fold)


def test_the_all_clear_closes_what_concerned_people() -> None:
    log = heating()
    log.finding("tank_fire", after_s=100)
    log.mark("all_clear", after_s=600)
    assert [one["open"] for one in log.fold()["findings"] if one["id"] == "tank_fire"] == [False]
