"""The pictures and tables beside a card say what the questions say, in their frame, with words and source."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import pytest
from common.card_cases import VARIANTS, card, examples

from temperward.engine import data_files
from temperward.engine.api import ask

DATA = Path(data_files.__file__).parent / "data"
WORDS: dict[str, Any] = {}
for path in sorted((DATA / "words/en").glob("*.json")):
    WORDS.update(json.loads(path.read_text("utf-8")))
PLANS = {**VARIANTS, **{one["id"]: one["facts"] for one in examples()}}
PLAN = {
    "steel": "1084",
    "thickness_mm": 4.0,
    "edge_mm": 0.6,
    "length_mm": 210.0,
    "width_mm": 34.0,
    "heat_source": "kiln",
    "quench": [{"medium": "fast_oil", "bath_c": 50.0}],
    "target_hrc": 60.0,
}
STATIONS = [(0.0, 5.2, 34.0), (60.0, 4.7, 32.0), (120.0, 4.2, 29.0), (170.0, 3.6, 24.0), (200.0, 2.9, 15.0)]


def drawn(**facts: Any) -> dict[str, Any]:
    answer: dict[str, Any] = ask("card_pictures", {**PLAN, **facts})["answer"]
    return answer


def picture(name: str, **facts: Any) -> dict[str, Any]:
    return next(one for one in drawn(**facts)["pictures"] if one["id"] == name)


def table(name: str, **facts: Any) -> dict[str, Any]:
    return next(one for one in drawn(**facts)["tables"] if one["id"] == name)


def curve(shown: dict[str, Any], kind: str) -> list[list[float]]:
    points: list[list[float]] = next(one for one in shown["lines"] if one["kind"] == kind)["points"]
    return points


def notes_in(value: Any) -> list[dict[str, Any]]:
    if isinstance(value, dict):
        own = [value] if sorted(value) == ["facts", "key"] else []
        return own + [one for part in value.values() for one in notes_in(part)]
    return [one for part in value for one in notes_in(part)] if isinstance(value, list) else []


@pytest.mark.parametrize("name", sorted(PLANS))
def test_every_picture_stays_in_its_frame_and_every_word_and_source_is_there(name: str) -> None:
    answer = ask("card_pictures", PLANS[name])["answer"]
    for shown in answer["pictures"]:
        for one in shown["lines"]:
            assert len(one["points"]) > 1
            for x, y in [*one["points"], *([one["at"]] if one["at"] else [])]:
                assert -0.02 <= x <= 1.02, (shown["id"], one["kind"])
                assert -0.1 <= y <= 1.02, (shown["id"], one["kind"])
    for shown in answer["pictures"] + answer["tables"]:
        assert set(shown["sources"]) <= set(data_files.load("sources"))
        assert shown["sources"]
    assert {note["key"] for note in notes_in(answer)} <= set(WORDS)


def test_the_cooling_ends_at_the_start_of_martensite() -> None:
    shown = picture("cooling")
    ms_c = ask("transformation_temperatures", {"steel": "1084"})["answer"]["ms"]["value"]
    mark = curve(shown, "mark")
    assert 100.0 + 800.0 * mark[0][1] == pytest.approx(ms_c)
    assert curve(shown, "main")[-1][1] == pytest.approx(mark[0][1], abs=0.02)
    assert [round(value, 3) for _, value in shown["x"]] == [0.1, 1.0, 10.0, 100.0]


def test_the_skin_runs_ahead_of_the_centre_and_the_nose_is_where_the_question_says() -> None:
    shown = picture("cooling")
    for skin, centre in zip(curve(shown, "thin"), curve(shown, "main"), strict=True):
        assert skin[0] == centre[0]
        assert skin[1] <= centre[1]
    nose = ask("will_it_harden", {"steel": "1084", "thickness_mm": 4.0, "medium": "fast_oil"})["answer"][
        "nose"
    ]
    earliest_s = 0.1 * 10.0 ** (3.0 * min(x for x, _ in curve(shown, "zone")))
    assert earliest_s == pytest.approx(nose["start_s"] / nose["time_factor"], rel=0.05)


def test_a_thicker_blade_is_drawn_later_and_its_section_limit_is_the_questions() -> None:
    thin, thick = picture("cooling"), picture("cooling", thickness_mm=7.0)
    assert curve(thick, "main")[-1][0] > curve(thin, "main")[-1][0]
    limit = ask("will_it_harden", {"steel": "1084", "thickness_mm": 4.0, "medium": "fast_oil"})["answer"][
        "limit"
    ]
    said = thin["notes"][0]["facts"]
    assert (said["value_mm"], said["low_mm"], said["high_mm"]) == (
        limit["value"],
        limit["low"],
        limit["high"],
    )


def test_two_layers_are_drawn_by_the_one_whose_nose_comes_first() -> None:
    layers = picture("cooling", steel=None, steels=["75Ni8", "1084"])
    alone = picture("cooling")
    assert min(curve(layers, "zone"))[0] == pytest.approx(min(curve(alone, "zone"))[0], abs=0.05)


def test_a_coupon_says_what_it_proves_and_how_much_slower_a_thicker_blade_cools() -> None:
    def said(thickness_mm: float, *, passed: bool = True) -> dict[str, Any]:
        coupon = {"thickness_mm": thickness_mm, "medium": "fast_oil", "passed": passed}
        return {note["key"]: note["facts"] for note in picture("cooling", coupon=coupon)["notes"]}

    assert said(4.0)["note.coupon_proves"]["coupon_mm"] == 4.0
    assert "note.coupon_too_thin" not in said(4.0)
    assert said(2.0)["note.coupon_too_thin"]["ratio"] == 2.0
    # on a card a coupon that has not passed is planned, not lost: nobody said that it stayed soft
    assert "note.coupon_disproves" not in said(2.0, passed=False)
    assert said(2.0, passed=False)["card.picture.coupon_open"] == {
        "coupon_mm": 2.0,
        "medium": {"key": "medium.fast_oil", "facts": {}},
    }


def test_each_picture_says_its_model_and_how_far_that_reaches() -> None:
    shown = drawn(bath={"litres": 60.0})
    for one, model in [("cooling", "hardens"), ("temper", "tempered"), ("bath", "bath_rise")]:
        (picked,) = [part for part in shown["pictures"] + shown["tables"] if part["id"] == one]
        assert [
            note["facts"]["model"]["key"] for note in picked["notes"] if note["key"] == "card.note.model"
        ] == [f"app.model.{model}.range"]


def test_the_wanted_hardness_is_marked_on_the_curve_at_the_cards_own_temper() -> None:
    shown = picture("temper")
    corner = curve(shown, "mark")[1]
    temper_c = 150.0 + 170.0 * corner[0]
    made = card(PLAN)
    last = next(one for one in made["steps"] if one["id"] == "temper-2")["set_points"]
    assert temper_c == pytest.approx(next(one["value"] for one in last if one["id"] == "temperature"))
    assert 46.0 + 22.0 * corner[1] == pytest.approx(60.0)
    x, y = min(curve(shown, "main"), key=lambda point: abs(point[0] - corner[0]))
    assert y == pytest.approx(corner[1], abs=0.03)
    assert x == pytest.approx(corner[0], abs=0.03)


def test_without_a_wanted_hardness_the_expected_one_is_marked() -> None:
    facts = {name: value for name, value in PLAN.items() if name != "target_hrc"}
    shown = next(one for one in ask("card_pictures", facts)["answer"]["pictures"] if one["id"] == "temper")
    corner = curve(shown, "mark")[1]
    assert 150.0 + 170.0 * corner[0] == pytest.approx(205.0)
    assert 46.0 + 22.0 * corner[1] == pytest.approx(60.4, abs=0.2)
    label = next(one["label"]["key"] for one in shown["lines"] if one["kind"] == "mark")
    assert label == "card.picture.expected"


def test_a_silicon_steel_by_its_analysis_has_no_temper_curve() -> None:
    analysis = {"c": 0.6, "mn": 0.88, "si": 1.8}
    names = [one["id"] for one in drawn(steel=None, composition=analysis, target_hrc=None)["pictures"]]
    assert names == ["cooling"]


def test_an_unknown_bar_has_no_curve_at_all() -> None:
    coupon = {"thickness_mm": 5.0, "medium": "fast_oil", "passed": True}
    assert drawn(steel="unknown", target_hrc=None, coupon=coupon)["pictures"] == []


# Worked by plane geometry: the half difference of spine and edge over the height
def test_the_bevels_are_those_of_the_question_and_the_odd_station_is_marked() -> None:
    stations = [{"at_mm": at, "thickness_mm": t, "width_mm": w} for at, t, w in STATIONS]
    shown = table("bevels", thickness_mm=5.2, stations=stations)
    asked = ask("bevels", {"stations": stations, "edge_mm": 0.6})["answer"]["stations"]
    assert [row["cells"][2] for row in shown["rows"]] == [one["per_side_deg"] for one in asked]
    assert [round(row["cells"][2], 2) for row in shown["rows"]] == [3.87, 3.67, 3.55, 3.58, 4.38]
    assert [row["over"] for row in shown["rows"]] == [False, False, False, False, True]
    double = table("bevels", thickness_mm=5.2, stations=stations, double_edge=True)
    assert double["rows"][0]["cells"][2] == pytest.approx(math.degrees(math.atan(4.6 / 34.0)))
    two = table("bevels", thickness_mm=5.2, stations=stations[:2])
    assert two["notes"][0]["facts"]["jig_deg"] == pytest.approx((3.87 + 3.67) / 2, abs=0.01)


def test_without_stations_there_is_one_bevel_and_without_a_width_none() -> None:
    assert len(table("bevels")["rows"]) == 1
    assert drawn(width_mm=None)["tables"] == []
    assert drawn(edge_mm=4.0)["tables"] == []
    planned = table("bevels", edge_mm=None)["title"]["facts"]["edge_mm"]
    assert planned == next(one["value"] for one in card(PLAN)["numbers"] if one["id"] == "edge_left")


def test_the_bath_is_forecast_until_it_is_over_its_range() -> None:
    shown = table("bath", bath={"litres": 60.0})
    assert [row["over"] for row in shown["rows"]].index(True) == len(shown["rows"]) - 1
    one = ask(
        "bath_rise",
        {"steel_kg": 4 * 210 * 34 * 0.8 * 7.85e-6, "steel_c": 810.0, "bath_c": 50.0, "litres": 60.0},
    )["answer"]["bath_c_after"][0]
    assert shown["rows"][0]["cells"] == [1.0, pytest.approx(one)]
    cold = table("bath", bath={"litres": 60.0}, quench=[{"medium": "fast_oil", "bath_c": 25.0}])
    assert len(cold["rows"]) == 12
    assert not cold["rows"][-1]["over"]


@pytest.mark.parametrize("name", sorted(PLANS))
def test_each_curve_stands_in_a_table_too_with_what_the_line_shows(name: str) -> None:
    for shown in ask("card_pictures", PLANS[name])["answer"]["pictures"]:
        rows = [one["cells"] for one in shown["table"]["rows"]]
        assert len(rows) >= 3
        assert all(len(cells) == len(shown["table"]["columns"]) for cells in rows)
        assert [cells[0] for cells in rows] == sorted({cells[0] for cells in rows})


def test_the_table_of_a_temper_has_the_hardness_and_band_of_the_question() -> None:
    for heat_c, hrc, low, high in (one["cells"] for one in picture("temper")["table"]["rows"]):
        plan = {"steel": "1084", "heats": [{"temperature_c": heat_c, "hold_s": 7200.0}] * 2}
        asked = ask("tempered_hardness", plan)["answer"]["hrc"]
        assert (hrc, low, high) == pytest.approx((asked["value"], asked["low"], asked["high"]))


def test_the_table_of_the_cooling_has_a_skin_that_is_never_hotter_than_the_centre() -> None:
    rows = [one["cells"] for one in picture("cooling")["table"]["rows"]]
    assert all(skin <= centre for _, skin, centre in rows)
    centres = [centre for *_, centre in rows]
    assert centres == sorted(centres, reverse=True)


def outline(**facts: Any) -> dict[str, Any]:
    stations = [{"at_mm": at, "thickness_mm": t, "width_mm": w} for at, t, w in STATIONS]
    return picture("outline", **{"thickness_mm": 5.2, "stations": stations, **facts})


def test_the_outline_is_to_scale_with_a_stroke_at_each_station() -> None:
    shown = outline()
    shape = curve(shown, "band")
    wide = 334.0 / 190.0  # the phone's frame
    assert (shape[0][1] - shape[2 * len(STATIONS) - 1][1]) / wide == pytest.approx(34.0 / 210.0)
    strokes = [one for one in shown["lines"] if one["kind"] == "mark"]
    assert [one["points"][0][0] for one in strokes] == [at / 210.0 for at, *_ in STATIONS]
    named = [one["label"]["facts"]["thickness_mm"] for one in strokes if one["label"]]
    assert named == [5.2, 4.7, 4.2, 3.6]
    assert [row["cells"] for row in shown["table"]["rows"]] == [list(one) for one in STATIONS]


def test_a_short_wide_blade_is_drawn_lower_and_says_so() -> None:
    stations = [{"at_mm": at, "thickness_mm": 4.0, "width_mm": 120.0} for at in (0.0, 100.0)]
    shown = outline(length_mm=100.0, thickness_mm=4.0, stations=stations)
    assert [note["key"] for note in shown["notes"]] == ["card.picture.flattened"]
    assert [note["key"] for note in outline()["notes"]] == ["card.picture.to_scale"]


def test_one_section_has_no_outline() -> None:
    stations = [{"at_mm": 0.0, "thickness_mm": 4.0, "width_mm": 30.0}]
    assert "outline" not in [one["id"] for one in drawn(stations=stations)["pictures"]]
    assert "outline" not in [one["id"] for one in drawn()["pictures"]]


def test_how_far_a_station_lies_off_the_jig_is_told_in_degrees() -> None:
    stations = [{"at_mm": at, "thickness_mm": t, "width_mm": w} for at, t, w in STATIONS]
    rows = table("bevels", thickness_mm=5.2, stations=stations)["rows"]
    assert [round(row["cells"][3], 2) for row in rows] == [
        0.2,
        0.0,
        -0.11,
        -0.09,
        0.72,
    ]  # off the middle one, 3.67
    assert [row["over"] for row in rows] == [abs(row["cells"][3]) > 0.5 for row in rows]
