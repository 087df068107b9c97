"""How long to wait for a bath, from its own readings.

The authority is Newton's law itself, run here by small steps in baths whose room and rate the engine is not
told: it knows the readings, when blades went under, and their heat balance.
"""

from __future__ import annotations

from typing import Any

import pytest
from log_maker import Log, plain_card

from temperward.engine import api
from temperward.engine.thermal.bath import bath_rise_k
from temperward.engine.thermal.bath_cooling import cooled_c, cooling_rates, seconds_to

MINUTE_MS = 60_000
START_MS = 1_792_242_000_000
MOST_OFF = 0.20  # of the time until it is cool enough
LITRES = 12.0
STEEL_KG = 0.1735
STEEL_C = 845.0
Body = dict[str, Any]


def left_alone(bath_c: float, *, minutes: float, room_c: float, tau_min: float) -> float:
    """Newton's law by steps of a second."""
    for _ in range(int(minutes * 60)):
        bath_c -= (bath_c - room_c) / (tau_min * 60)
    return bath_c


def minutes_until(to_c: float, *, from_c: float, room_c: float, tau_min: float) -> float:
    seconds = 0
    while from_c > to_c:
        from_c -= (from_c - room_c) / (tau_min * 60)
        seconds += 1
    return seconds / 60


def blade(letter: str, bath: Body, **rest: Any) -> Body:
    row = {"log_id": letter, "tag": letter, "letter": letter, "state": "ready_to_harden", "bath": bath}
    return {**row, "steel_kg": STEEL_KG, "steel_c": STEEL_C, **rest}


def tank(temperature_c: float, read_min: float, readings: list[tuple[float, float]]) -> Body:
    rows = [{"at_ms": START_MS + minute * MINUTE_MS, "temperature_c": value} for minute, value in readings]
    return {
        "name": "Short oil",
        "litres": LITRES,
        "low_c": 35,
        "high_c": 65,
        "temperature_c": temperature_c,
        "read_ms": START_MS + read_min * MINUTE_MS,
        "readings": rows,
    }


def ask(blades: list[Body], *, now_min: float) -> Body:
    reply = api.ask("batch", {"blades": blades, "now_ms": START_MS + now_min * MINUTE_MS})
    assert "error" not in reply, reply
    return dict(reply["answer"])


@pytest.mark.parametrize("room_c", [10.0, 20.0, 28.0])
@pytest.mark.parametrize("tau_min", [45.0, 90.0, 180.0])
def test_the_wait_from_two_readings_is_within_a_fifth(room_c: float, tau_min: float) -> None:
    first_c = 90.0
    second_c = left_alone(first_c, minutes=10, room_c=room_c, tau_min=tau_min)
    answer = ask([blade("A", tank(second_c, 10, [(0, first_c)]))], now_min=10)
    wait = answer["baths"][0]["wait"]
    told = minutes_until(wait["to_c"], from_c=second_c, room_c=room_c, tau_min=tau_min)
    assert wait["seconds"] / 60 == pytest.approx(told, rel=MOST_OFF)
    assert wait["low_s"] < wait["seconds"]


def test_the_bath_to_wait_for_is_the_one_that_the_blade_leaves_at_its_limit() -> None:
    to_c = ask([blade("A", tank(66.0, 10, [(0, 70.0)]))], now_min=10)["baths"][0]["wait"]["to_c"]
    rise_k = bath_rise_k(steel_kg=STEEL_KG, steel_c=STEEL_C, bath_c=to_c, litres=LITRES)
    assert to_c + rise_k == pytest.approx(65.0, abs=0.01)


def test_a_blade_between_two_readings_is_counted_by_its_heat() -> None:
    room_c, tau_min = 18.0, 75.0
    at_blade_c = left_alone(66.0, minutes=4, room_c=room_c, tau_min=tau_min)
    warmed_c = at_blade_c + bath_rise_k(steel_kg=STEEL_KG, steel_c=STEEL_C, bath_c=at_blade_c, litres=LITRES)
    second_c = left_alone(warmed_c, minutes=11, room_c=room_c, tau_min=tau_min)
    bath = tank(second_c, 15, [(0, 66.0)])
    quenched_ms = START_MS + 4 * MINUTE_MS
    hard = blade("A", bath, state="hard", quenched_ms=quenched_ms, alarm_ms=quenched_ms + 60 * MINUTE_MS)
    wait = ask([hard, blade("B", bath)], now_min=15)["baths"][0]["wait"]
    told = minutes_until(wait["to_c"], from_c=second_c, room_c=room_c, tau_min=tau_min)
    assert wait["seconds"] / 60 == pytest.approx(told, rel=MOST_OFF)


def test_readings_in_the_logs_of_two_blades_are_of_one_bath() -> None:
    second_c = left_alone(72.0, minutes=12, room_c=20.0, tau_min=60.0)
    answer = ask([blade("A", tank(72.0, 0, [])), blade("B", tank(second_c, 12, []))], now_min=12)
    assert answer["baths"][0]["wait"] is not None


def test_a_hot_bath_says_for_how_long_to_wait() -> None:
    second_c = left_alone(72.0, minutes=10, room_c=20.0, tau_min=60.0)
    answer = ask([blade("A", tank(second_c, 10, [(0, 72.0)]))], now_min=10)
    told = minutes_until(answer["baths"][0]["wait"]["to_c"], from_c=second_c, room_c=20.0, tau_min=60.0)
    assert answer["sentence"]["key"] == "batch.say.hot_wait"
    assert answer["sentence"]["facts"]["wait_min"] == pytest.approx(told, abs=1.5)
    assert (answer["word"]["key"], answer["next"]["label"]["key"]) == ("batch.word.hot", "batch.do.hot")


@pytest.mark.parametrize(
    "readings",
    [[], [(9.5, 72.0)], [(0, 60.0)], [(0, 66.0)]],
    ids=["one reading", "too near", "somebody warmed it", "it did not cool"],
)
def test_without_a_measured_cooling_no_minutes_are_told(readings: list[tuple[float, float]]) -> None:
    answer = ask([blade("A", tank(66.0, 10, readings))], now_min=10)
    assert answer["baths"][0]["wait"] is None
    assert answer["sentence"]["key"] == "batch.say.hot"


def test_a_bath_that_is_cool_enough_needs_no_wait() -> None:
    answer = ask([blade("A", tank(50.0, 10, [(0, 54.0)]))], now_min=10)
    assert answer["baths"][0]["wait"] is None
    assert answer["sentence"]["key"] == "batch.say.next"


def test_the_band_holds_a_thermometer_that_is_a_kelvin_off() -> None:
    true_rate = 1.0 / 4500.0
    for first_off, second_off in [(1.0, -1.0), (-1.0, 1.0), (1.0, 0.0), (0.0, 1.0)]:
        second_c = cooled_c(70.0, seconds=900, rate_per_s=true_rate)
        rows = [[0.0, 70.0 + first_off], [900_000.0, second_c + second_off]]
        rates = cooling_rates(rows, rises=[])
        assert rates is not None
        assert rates[1] <= true_rate <= rates[2]


def test_a_bath_never_gets_under_its_room_by_itself() -> None:
    assert seconds_to(15.0, from_c=60.0, rate_per_s=1.0 / 3600.0) is None


def too_hot(readings: list[tuple[float, float]]) -> Log:
    """Ready but for a bath over its range of 35 to 65, read at these minutes."""
    log = Log(card=plain_card()).ground()
    for _ in range(3):
        log.cycle(0.15)
    log.get_ready()
    start_ms = log.now_ms
    for minute, temperature_c in readings:
        log.now_ms = start_ms + int(minute * MINUTE_MS)
        log.check("bath_temperature", {"temperature_c": temperature_c})
    return log


def test_a_blade_that_waits_for_its_bath_says_when_to_read_it_again() -> None:
    first_c, room_c, tau_min = 90.0, 20.0, 60.0
    second_c = left_alone(first_c, minutes=9, room_c=room_c, tau_min=tau_min)
    log = too_hot([(1, first_c), (10, second_c)])
    fold = log.fold()
    assert fold["phase"] == "ready.bath_cools"
    told_min = (fold["sentence"]["facts"]["cool_ms"] - log.now_ms) / MINUTE_MS
    true_min = minutes_until(65.0, from_c=second_c, room_c=room_c, tau_min=tau_min)
    assert told_min == pytest.approx(true_min, rel=MOST_OFF)


def test_one_hot_reading_says_no_time() -> None:
    assert too_hot([(1, 80.0)]).fold()["phase"] == "ready.bath_hot"


def test_a_bath_that_somebody_warmed_says_no_time() -> None:
    assert too_hot([(1, 70.0), (10, 80.0)]).fold()["phase"] == "ready.bath_hot"
