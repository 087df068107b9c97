"""Several blades, one bath, one oven.

Bath: heat balance with 0.17 and 0.45 cal/gK (1 gallon for a pound: a published column on the rule), worked by
hand for 173.5 g at 845 degC into 12 L at 50 degC. Oven: plain differences of instants.
"""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from log_maker import Log, plain_card

from temperward import wording
from temperward.engine import api, data_files

MINUTE_MS = 60_000
TWO_PM_MS = 1_792_242_000_000
WORDS = data_files.load("words/en/batch")
TANK = {
    "name": "Short oil",
    "litres": 12,
    "low_c": 35,
    "high_c": 65,
    "temperature_c": 50,
    "read_ms": TWO_PM_MS,
}

Body = dict[str, Any]


def ask(blades: list[Body], **rest: Any) -> Body:
    reply = api.ask("batch", {"blades": blades, "now_ms": TWO_PM_MS + MINUTE_MS, **rest})
    return dict(reply["answer"])


def waiting(letter: str, **rest: Any) -> Body:
    blade = {"log_id": letter, "tag": "K-" + letter, "letter": letter, "state": "ready_to_harden"}
    return {**blade, "steel_kg": 0.1735, "steel_c": 845, "temper_c": 190, "bath": TANK, **rest}


def hard(letter: str, *, quenched_min: float, alarm_min: float = 60, **rest: Any) -> Body:
    quenched_ms = TWO_PM_MS + quenched_min * MINUTE_MS
    times = {"quenched_ms": quenched_ms, "alarm_ms": quenched_ms + alarm_min * MINUTE_MS}
    return waiting(letter, state="hard", **times, **rest)


def six_hard() -> list[Body]:
    return [hard("ABCDEF"[k], quenched_min=2 + 4 * k) for k in range(6)]


def test_batch_p12_counted_from_the_quench_mark() -> None:
    oven = ask(six_hard(), load_ms=TWO_PM_MS + 53 * MINUTE_MS, redo_s=18 * 60)["oven"]
    assert [wait["wait_s"] / 60 for wait in oven["waits"]] == [51, 47, 43, 39, 35, 31]
    assert oven["slack_s"] / 60 == 9
    assert oven["advice"]["key"] == "batch.advice.redo"
    assert oven["advice"]["facts"]["name"] == "A"
    assert oven["advice"]["facts"]["redone_s"] / 60 == 69


def test_the_bath_before_each_of_six_and_where_it_stops() -> None:
    bath = ask([waiting(letter) for letter in "ABCDEF"])["baths"][0]
    before = [step["before_c"] for step in bath["steps"]]
    assert before == pytest.approx([50, 54.96, 59.89, 64.78, 69.65, 74.49], abs=0.2)
    assert bath["steps"][-1]["after_c"] == pytest.approx(79.29, abs=0.2)
    assert bath["left"] == 3
    assert [step["verdict"] for step in bath["steps"]] == ["go", "go", "go", "hot", "hot", "hot"]


def test_six_in_a_third_of_the_oil() -> None:
    tank = {**TANK, "litres": 4}
    bath = ask([waiting(letter, bath=tank) for letter in "ABCDEF"])["baths"][0]
    after = [step["after_c"] for step in bath["steps"]]
    assert after == pytest.approx([64.7, 79.1, 93.3, 107.2, 120.8, 134.2], abs=0.2)


def test_what_went_under_since_the_reading_has_warmed_the_bath() -> None:
    blades = [hard("A", quenched_min=1), hard("B", quenched_min=-5), waiting("C")]
    bath = ask(blades)["baths"][0]
    assert bath["read_c"] == 50
    assert bath["now_c"] == pytest.approx(54.96, abs=0.2)
    assert [step["name"] for step in bath["steps"]] == ["A", "C"]


def test_two_baths_are_kept_apart() -> None:
    tall = {**TANK, "name": "Tall oil", "litres": 20}
    answer = ask([waiting("A"), waiting("B", bath=tall), waiting("C"), waiting("D", bath=tall)])
    assert [[step["name"] for step in bath["steps"]] for bath in answer["baths"]] == [["A", "C"], ["B", "D"]]
    assert answer["baths"][1]["steps"][1]["before_c"] == pytest.approx(53.0, abs=0.2)


def test_the_oldest_hard_blade_stands_on_top() -> None:
    answer = ask([waiting("C"), hard("B", quenched_min=6), hard("A", quenched_min=2)])
    assert answer["order"] == ["A", "B", "C"]
    assert answer["number"]["from_ms"] == TWO_PM_MS + 2 * MINUTE_MS
    assert answer["next"]["open"] == "C"


@pytest.mark.parametrize(("spare_min", "shape", "word"), [(18, "circle", "still"), (17.9, "octagon", "hard")])
def test_shape_and_word_are_of_the_next_blade_while_a_second_try_has_time(
    spare_min: float, shape: str, word: str
) -> None:
    """GO stands beside the button that says so; BRITTLE where the oldest could not wait for a second try."""
    load_ms = TWO_PM_MS + (2 + 60 - spare_min) * MINUTE_MS
    blades = [waiting("C"), hard("A", quenched_min=2)]
    answer = ask(blades, load_ms=load_ms, redo_s=18 * 60)
    assert (answer["shape"], answer["word"]["key"]) == (shape, "batch.word." + word)
    assert (answer["number"]["whose"], answer["next"]["open"]) == ("A", "C")


def test_one_mark_for_the_next_blade_in_moves_the_batch_on_to_the_one_after_it() -> None:
    """While it is in the bath nothing else is next; once it is hard, the one after it is."""
    marks = {"quenched_ms": TWO_PM_MS, "alarm_ms": TWO_PM_MS + 60 * MINUTE_MS}
    said = []
    for state, times in [("ready_to_harden", {}), ("in_quench", marks), ("hard", marks)]:
        answer = ask([waiting("D", state=state, **times), waiting("E"), waiting("F")])
        said.append((answer["next"]["open"], answer["baths"][0]["left"]))
    assert said == [("D", 3), ("D", 2), ("E", 2)]


def test_the_hard_ones_go_in_first_when_waiting_for_the_last_is_too_long() -> None:
    marks = [hard("A", quenched_min=0), hard("B", quenched_min=30)]
    answer = ask([*marks, waiting("C"), waiting("D")], now_ms=TWO_PM_MS + 31 * MINUTE_MS)
    assert answer["oven"]["load_ms"] == TWO_PM_MS + 90 * MINUTE_MS
    assert answer["oven"]["slack_s"] == -30 * 60
    assert answer["next"]["load"] == ["A", "B"]
    assert answer["next"]["open"] is None


def test_nothing_stands_before_the_oven_when_all_are_hard() -> None:
    answer = ask(six_hard(), now_ms=TWO_PM_MS + 30 * MINUTE_MS)
    assert answer["next"]["load"] == list("ABCDEF")
    assert answer["oven"]["load_ms"] == TWO_PM_MS + 30 * MINUTE_MS


@pytest.mark.parametrize(
    ("bath", "said"),
    [
        ({**TANK, "temperature_c": 64}, "hot_over"),
        ({**TANK, "temperature_c": 66}, "hot"),
        ({**TANK, "temperature_c": 20}, "cold"),
        ({**TANK, "temperature_c": None}, "unread"),
    ],
)
def test_a_bath_out_of_its_range_stops_the_next_blade(bath: Body | None, said: str) -> None:
    answer = ask([waiting("A", bath=bath)])
    assert answer["sentence"]["key"] == "batch.say." + said


@pytest.mark.parametrize(
    ("bath", "kilograms", "said"),
    [
        ({**TANK, "temperature_c": 64}, 0.1735, "to 69 °C"),
        ({**TANK, "temperature_c": 66}, 0.1735, "to 71 °C"),
        ({**TANK, "temperature_c": 66}, None, "66 °C"),
        ({**TANK, "temperature_c": 50}, 0.1735, "50 °C"),
        ({**TANK, "temperature_c": 50}, None, "50 °C +?"),
        ({**TANK, "temperature_c": 20}, 0.1735, "20 °C"),
        ({**TANK, "temperature_c": None}, 0.1735, "bath ?"),
    ],
)
def test_a_tile_says_what_the_bath_would_be_and_of_one_that_must_wait_what_it_would_make_of_it(
    bath: Body, kilograms: float | None, said: str
) -> None:
    """Beside a headline that counts the blade in, 64 on its tile would be another quantity."""
    answer = ask([waiting("A", bath=bath, steel_kg=kilograms)])
    assert wording.render(answer["tiles"][0]["text"]) == said


def test_the_tile_of_the_next_blade_and_the_number_on_top_are_one() -> None:
    answer = ask([waiting(letter, bath={**TANK, "temperature_c": 64}) for letter in "AB"])
    assert answer["tiles"][0]["text"]["facts"]["after_c"] == answer["number"]["value"]


@pytest.mark.parametrize("bath_c", [64, 66])
def test_a_bath_too_hot_shows_a_number_over_its_limit(bath_c: float) -> None:
    """What the next blade would make of it, or what it is: never 64 beside "goes over 65"."""
    answer = ask([waiting("A", bath={**TANK, "temperature_c": bath_c})])
    assert answer["word"]["key"] == "batch.word.hot"
    assert answer["number"]["value"] > TANK["high_c"]
    assert answer["number"]["value"] == pytest.approx(66 if bath_c == 66 else 68.9, abs=0.2)


def test_the_clock_on_top_says_whose_it_is_and_that_there_is_still_time_for_the_next() -> None:
    answer = ask([waiting("C"), hard("B", quenched_min=6), hard("A", quenched_min=2)])
    assert answer["number"]["whose"] == "A"
    assert wording.render(answer["sentence"]) == "C next. A has 52 min to spare."
    late = ask([hard("A", quenched_min=0), hard("B", quenched_min=30), waiting("C"), waiting("D")])
    assert late["sentence"]["key"] == "batch.say.load_first"


def test_the_bath_is_drawn_blade_by_blade_under_its_limit() -> None:
    picture = ask([waiting(letter) for letter in "ABCDEF"])["baths"][0]["picture"]
    main, limit = picture["lines"]
    (_, low), (at, value) = picture["y"][:2]
    top = low + (value - low) / at
    drawn = [low + (top - low) * y for _, y in main["points"]]
    assert drawn == pytest.approx([50, 54.96, 59.89, 64.78, 69.65, 74.49, 79.29], abs=0.2)
    assert low + (top - low) * limit["points"][0][1] == pytest.approx(65)
    assert [value for _, value in picture["x"]] == [1, 2, 3, 4, 5, 6]


def test_a_bath_that_nobody_read_has_no_picture() -> None:
    assert ask([waiting("A", bath={**TANK, "temperature_c": None})])["baths"][0]["picture"] is None


def test_plates_stop_nobody() -> None:
    answer = ask([waiting("A", bath=None)])
    assert answer["baths"] == []
    assert answer["sentence"]["key"] == "batch.say.next"
    assert answer["tiles"][0]["text"]["key"] == "batch.tile.ready"


def test_a_blade_of_unknown_weight_is_not_counted() -> None:
    bath = ask([waiting("A", steel_kg=None), waiting("B")])["baths"][0]
    assert [step["verdict"] for step in bath["steps"]] == ["unweighed", "unread"]
    assert bath["left"] == 0


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"state": "released"}, "state"),
        ({"steel_kg": 40}, "blades.0.steel_kg"),
        ({"state": "hard"}, "blades.0.quenched_ms"),
        ({"colour": "red"}, "colour"),
        ({"log_id": ""}, "blades.0.log_id"),
    ],
)
def test_a_wrong_blade_is_refused_by_name(change: Body, field: str) -> None:
    reply = api.ask("batch", {"blades": [{**waiting("A"), **change}], "now_ms": TWO_PM_MS})
    assert reply["error"]["field"] == field


@pytest.mark.parametrize("facts", [{}, {"blades": []}, {"blades": [{}] * 25}, {"blades": [waiting("A")]}])
def test_no_blades_too_many_or_no_instant_are_refused(facts: Body) -> None:
    assert "error" in api.ask("batch", facts)


def keys_in(value: Any) -> list[Body]:
    if isinstance(value, list):
        return [found for one in value for found in keys_in(one)]
    if not isinstance(value, dict):
        return []
    own = [value] if "key" in value else []
    return own + [found for one in value.values() for found in keys_in(one)]


MIXED = st.lists(
    st.tuples(
        st.sampled_from(
            [
                "ready_to_harden",
                "hardening_heat",
                "hard",
                "snap_tempered",
                "in_quench",
                "warm_window",
                "temper_in_heat",
            ]
        ),
        st.integers(-90, 0),
        st.sampled_from([20, 50, 63, None]),
    ),
    min_size=1,
    max_size=8,
)


def made(rows: list[tuple[str, int, float | None]]) -> list[Body]:
    blades = []
    for k, (state, minutes, bath_c) in enumerate(rows):
        blade = hard("ABCDEFGH"[k], quenched_min=minutes, bath={**TANK, "temperature_c": bath_c})
        blades.append({**blade, "state": state})
        if state in ("ready_to_harden", "hardening_heat"):
            blades[-1].update(quenched_ms=None, alarm_ms=None)
    return blades


@settings(max_examples=80, deadline=None)
@given(MIXED)
def test_everything_said_has_words_and_every_blade_is_shown_once(
    rows: list[tuple[str, int, float | None]],
) -> None:
    answer = ask(made(rows))
    for note in keys_in(answer):
        assert not wording.render(note).startswith("["), note
    assert sorted(answer["order"]) == sorted("ABCDEFGH"[: len(rows)])
    assert [tile["log_id"] for tile in answer["tiles"]] == answer["order"]


@settings(max_examples=80, deadline=None)
@given(MIXED)
def test_a_hard_blade_over_its_alarm_always_sends_to_the_oven(
    rows: list[tuple[str, int, float | None]],
) -> None:
    answer = ask(made(rows))
    states = {blade["log_id"]: blade["state"] for blade in made(rows)}
    if any(state in ("in_quench", "warm_window") for state in states.values()):
        assert states[answer["next"]["open"]] in ("in_quench", "warm_window")
    elif answer["oven"] and answer["oven"]["slack_s"] < 0:
        assert {states[log_id] for log_id in answer["next"]["load"]} <= {"hard", "snap_tempered"}
        assert answer["next"]["load"]


def test_two_metre_words_are_few() -> None:
    for key, text in WORDS.items():
        longest = text if isinstance(text, str) else text["other"]
        if key.startswith("batch.say."):
            assert len(longest.split()) <= 8, key
        if key.startswith("batch.word."):
            assert len(longest) <= 12, key


def test_the_fold_gives_the_row_that_the_batch_takes() -> None:
    card = plain_card(harden_c=845)
    card["facts"] |= {
        "width_mm": 48,
        "length_mm": 210,
        "thickness_mm": 2.2,
        "bath": {"name": "Short oil", "litres": 12},
    }
    log = Log(card=card)
    log.to_hard()
    log.mark("hand_warm", after_s=600)
    lot = log.fold()["lot"]
    assert lot["state"] == "hard"
    assert lot["steel_kg"] == pytest.approx(0.139, abs=0.001)
    assert lot["bath"]["litres"] == 12
    assert lot["alarm_ms"] - lot["quenched_ms"] == 60 * MINUTE_MS
    answer = api.ask("batch", {"blades": [lot], "now_ms": lot["quenched_ms"] + 11 * MINUTE_MS})["answer"]
    assert answer["oven"]["waits"][0]["waited_s"] == 11 * 60


def test_the_time_to_spare_is_that_of_the_blade_which_has_the_least() -> None:
    """A halved clock can ring before that of the oldest."""
    blades = [waiting("C"), hard("A", quenched_min=0), hard("B", quenched_min=1, alarm_min=30)]
    answer = ask(blades, load_ms=TWO_PM_MS + 2 * MINUTE_MS)
    assert wording.render(answer["sentence"]) == "C next. B has 29 min to spare."
