"""What the log of a blade looks like: each temper against its plan, the bows, two fractures side by side."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from log_maker import Log, plain_card
from test_fold_properties import WAITS, end_of, logs
from test_fold_words import keys_in, placeholders

from temperward import wording
from temperward.engine import api, data_files

WORDS = {**data_files.load("words/en/history"), **data_files.load("words/en/card")}
HOUR_S = 3600

Body = dict[str, Any]


def drawn(log: Log, **rest: Any) -> Body:
    return dict(api.ask("log_pictures", {**log.facts(), **rest})["answer"])


def hard(**limits: Any) -> Log:
    return Log(card=plain_card(**limits)).ground().cycle(0.1).cycle(0.1).cycle(0.1).get_ready().harden()


def rows_of(picture: Body) -> list[list[Any]]:
    return [
        [wording.render(cell) if isinstance(cell, dict) else cell for cell in row["cells"]]
        for row in picture["table"]["rows"]
    ]


def lines_of(picture: Body, kind: str) -> list[list[list[float]]]:
    return [line["points"] for line in picture["lines"] if line["kind"] == kind]


def marked(picture: Body) -> list[str]:
    return [wording.render(row["cells"][0]) for row in picture["table"]["rows"] if row["over"]]


def in_oven(log: Log, *, first_c: float = 204) -> Log:
    log.mark("in_oven", after_s=1200, body={"purpose": "temper"})
    log.check("oven_temperature", {"temperature_c": first_c}, after_s=1500)
    return log


def test_a_temper_stands_beside_its_plan_with_everything_by_the_clock() -> None:
    log = in_oven(hard())
    log.check("oven_temperature", {"temperature_c": 207}, after_s=HOUR_S)
    log.mark("out_of_oven", after_s=HOUR_S)
    (temper,) = drawn(log)["tempers"]["pictures"]
    assert wording.render(temper["title"]) == "Temper 1: 205 °C for 2 h planned"
    what = [[row[0], row[2]] for row in rows_of(temper)]
    assert what == [
        ["planned 2 h", 205],
        ["in the oven", None],
        ["read", 204],
        ["read", 207],
        ["out of the oven", None],
        ["counts as 2 h", None],
    ]
    assert marked(temper) == []
    assert len(lines_of(temper, "dot")) == 2
    ((from_plan, _, _, to_plan),) = lines_of(temper, "mark")
    ((out, _),) = lines_of(temper, "thin")
    assert from_plan[0] < to_plan[0]
    assert to_plan[0] == pytest.approx(out[0])


def test_a_temper_that_ended_too_early_is_marked() -> None:
    log = in_oven(hard())
    log.mark("out_of_oven", after_s=1800)
    (temper,) = drawn(log)["tempers"]["pictures"]
    assert marked(temper) == ["counts as 30 min"]


def test_a_reading_outside_the_tolerance_is_marked_and_weighed() -> None:
    log = in_oven(hard(), first_c=231)
    log.mark("out_of_oven", after_s=2 * HOUR_S)
    (temper,) = drawn(log)["tempers"]["pictures"]
    assert marked(temper) == ["read"]
    assert rows_of(temper)[2][2] == 231
    assert rows_of(temper)[-1][0] == "counts as 17 h 27 min"  # 504 K (17 + log 2 h) = 478 K (17 + log t)


def test_the_stretch_without_power_is_a_gap_in_the_line() -> None:
    log = in_oven(hard())
    log.check("oven_temperature", {"temperature_c": 205}, after_s=600)
    log.finding("power_cut_in_temper", after_s=1800)
    log.check("oven_temperature", {"temperature_c": 90}, after_s=2700)
    log.check("oven_temperature", {"temperature_c": 205}, after_s=1200)
    (temper,) = drawn(log)["tempers"]["pictures"]
    ((left, right, _, _),) = lines_of(temper, "zone")
    before, after = lines_of(temper, "main")
    assert before[-1][0] < left[0] < right[0] == pytest.approx(after[0][0])
    assert "no power" in marked(temper)


def test_taken_out_and_put_back_is_one_temper_with_a_gap() -> None:
    log = in_oven(hard())
    log.mark("out_of_oven", after_s=1800)
    in_oven(log)
    (temper,) = drawn(log)["tempers"]["pictures"]
    assert len(lines_of(temper, "zone")) == 1
    assert [row[0] for row in rows_of(temper)].count("in the oven") == 2


def test_the_mark_at_heat_is_no_reading() -> None:
    log = hard()
    log.mark("in_oven", after_s=1200, body={"purpose": "temper"})
    log.mark("at_heat", after_s=1500)
    (temper,) = drawn(log)["tempers"]["pictures"]
    assert lines_of(temper, "dot") == lines_of(temper, "main") == []
    assert ["at heat", None] in [[row[0], row[2]] for row in rows_of(temper)]


def test_the_torch_is_planned_as_a_range_and_told_by_its_marks() -> None:
    card = plain_card()
    torch = {"id": "torch", "value": 280, "minus": 15, "plus": 20}
    card["steps"] = [{"id": "soften", "set_points": [torch]}]
    log = Log(card=card).ground().cycle(0.1).cycle(0.1).cycle(0.1).get_ready().harden().temper().temper()
    assert drawn(log)["tempers"]["tables"] == []
    log.mark("softening", after_s=600)
    log.mark("softened", after_s=60)
    (table,) = drawn(log)["tempers"]["tables"]
    texts = [[wording.render(cell) for cell in row["cells"]] for row in table["rows"]]
    assert texts[0] == ["planned, as a range", "265 to 300 °C"]
    assert [text[0] for text in texts[1:]] == ["torch begun", "torch done"]


def test_bows_from_heat_to_heat_show_the_limit_and_what_comes_next_once_they_grow() -> None:
    log = Log(card=plain_card()).ground()
    assert drawn(log)["bows"]["pictures"] == []
    log.cycle(0.15).cycle(0.30)
    (picture,) = drawn(log)["bows"]["pictures"]
    assert lines_of(picture, "next") == []
    log.cycle(0.55)
    (picture,) = drawn(log)["bows"]["pictures"]
    ((last, ahead),) = lines_of(picture, "next")
    assert ahead[1] > last[1]
    assert [row[2] for row in rows_of(picture)][-3:] == [0.15, 0.30, 0.55]
    assert len(lines_of(picture, "dot")) == len(rows_of(picture))


def photo(log: Log, name: str, **body: Any) -> None:
    log.add("photo", {"sha256": name, **body})


def test_the_newest_fracture_lies_beside_the_newest_that_passed() -> None:
    log = Log(card=plain_card())
    photo(log, "the bar")
    for name, passed in [("C", True), ("D", False), ("E", False)]:
        body = {"thickness_mm": 3, "medium": "fast_oil", "passed": passed, "name": name}
        photo(log, name, of=log.check("coupon", body, after_s=600))
    coupons = [{"log_id": "c", "name": "C", "facts": {"heat_c": 815}}]
    newest, other = drawn(log, related={"coupon": coupons})["fractures"]
    assert (newest["sha256"], other["sha256"]) == ("E", "C")
    assert wording.render(newest["verdict"]) == "not proven"
    assert wording.render(other["verdict"]) == "proves up to 3.00 mm in fast oil"
    assert wording.render(other["title"]) == "1075, 815 °C"
    assert wording.render(newest["title"]) == "1075, heat not noted"


def test_a_photo_belongs_to_a_fracture_by_its_check_its_step_or_the_breaking() -> None:
    log = hard(harden_c=820)
    photo(log, "plunge", step="hard")
    assert drawn(log)["fractures"] == []
    photo(log, "grain", of=log.check("grain", {"answer": "fine"}))
    log.mark("scrapped", after_s=60, body={"reason": "cracked", "kept": True})
    log.mark("broken_up", after_s=60)
    photo(log, "face", step="hard")
    newest, other = drawn(log)["fractures"]
    assert (newest["sha256"], other["sha256"]) == ("face", "grain")
    assert [wording.render(one["verdict"]) for one in (newest, other)] == ["no verdict", "proven"]
    assert wording.render(newest["title"]) == "1075, plan 820 °C"


def test_a_log_that_is_no_blades_is_refused() -> None:
    facts = {"log_kind": "bath", "log_id": "b", "entries": [], "now_ms": 1}
    assert api.ask("log_pictures", facts)["error"]["field"] == "log_kind"


@settings(max_examples=60, deadline=None)
@given(logs(), WAITS)
def test_any_log_can_be_drawn_inside_the_frame_and_in_words(entries: list[Body], wait_s: int) -> None:
    now_ms = end_of(entries) + wait_s * 1000
    log_id = entries[0]["log_id"] if entries else "p"
    facts = {"log_kind": "piece", "log_id": log_id, "entries": entries, "now_ms": now_ms}
    answer = api.ask("log_pictures", facts)["answer"]
    for key, given_facts in keys_in(answer):
        if key.startswith(("history.", "card.")):
            assert placeholders(WORDS[key]) <= set(given_facts), key
    for picture in answer["tempers"]["pictures"] + answer["bows"]["pictures"]:
        for line in picture["lines"]:
            assert all(0 <= x <= 1 and 0 <= y <= 1 for x, y in line["points"]), (picture["id"], line)


def last_reading(log: Log) -> Body:
    (table,) = [one for one in drawn(log)["bows"]["tables"] if one["id"] == "straightness"]
    (only,) = table["rows"]
    names = [one["label"]["key"].rsplit(".", 1)[1] for one in table["columns"]]
    cells = [wording.render(cell) if isinstance(cell, dict) else cell for cell in only["cells"]]
    return {**dict(zip(names, cells, strict=True)), "over": only["over"]}


def test_the_last_reading_is_told_as_zone_per_metre_kink_and_twist() -> None:
    assert drawn(Log(card=plain_card()))["bows"]["tables"] == []
    log = Log(card=plain_card()).ground()
    gaps = [0.0, 0.2, 0.4, 0.6, 0.4, 0.2, 0.0]
    stations = [{"at_mm": 70.0 * k, "gap_mm": gaps[k]} for k in range(7)]
    log.check("straightness", {"stations": stations, "length_mm": 420, "pad_mm": 0.0}, after_s=60)
    asked = api.ask("straightness", {"stations": stations, "length_mm": 420})["answer"]
    told = last_reading(log)
    assert told["zone"] == pytest.approx(asked["minimum_zone_mm"])
    assert told["per_metre"] == pytest.approx(asked["per_metre_mm"])
    assert asked["kink"]["is_kink"]
    assert told["kink"] == asked["kink"]["at_mm"]
    assert told["twist"] == "not read"
    assert told["over"]
    (each,) = [one for one in drawn(log)["bows"]["tables"] if one["id"] == "stations"]
    assert [row["cells"][:2] for row in each["rows"]] == [[70.0 * k, gaps[k]] for k in range(7)]
    assert each["rows"][3]["cells"][2] == pytest.approx(0.6)
    log.check("twist", {"gap_mm": 0.1, "width_mm": 30}, after_s=60)
    assert last_reading(log)["twist"] == pytest.approx(0.191, abs=0.01)


def test_a_bow_as_one_number_claims_no_zone_and_no_kink() -> None:
    log = Log(card=plain_card()).ground()
    log.check("bow", {"bow_mm": 0.1, "length_mm": 420})
    told = last_reading(log)
    assert (told["zone"], told["kink"], told["over"]) == ("not read", "not read", False)
    assert told["per_metre"] == pytest.approx(0.238, abs=0.001)


@pytest.mark.parametrize(
    ("answer", "said"),
    [
        ("skates", "about 60 HRC or harder,"),
        ("drags", "about 60 to 62 HRC,"),
        ("bites", "about 61 HRC or softer,"),
    ],
)
def test_a_file_says_a_band_in_whole_points(answer: str, said: str) -> None:
    """SAE J864: a file of 62 cuts one to two points below its own band."""
    log = hard()
    named = log.check("file", {"answer": answer, "file_hrc": 62, "place": "edge"}, after_s=60)
    log.check("file", {"answer": answer}, after_s=60)  # one unnamed file says hard or not, no band
    assert [(one["entry_id"], wording.render(one["text"])) for one in drawn(log)["files"]] == [(named, said)]
