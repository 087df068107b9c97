"""The springback where the smith stands: the shim beside a bowed blade's number, the table of its bows."""

from __future__ import annotations

from typing import Any

import pytest
from log_maker import Log, plain_card

from temperward import wording
from temperward.engine import api

Body = dict[str, Any]
OVER = {"span_mm": 420, "thickness_mm": 4.2}


def tempered(bow_mm: float, **limits: Any) -> Log:
    log = Log(card=plain_card(**limits)).to_hard()
    log.mark("hand_warm", after_s=950)
    log.temper()
    log.bow(bow_mm)
    return log


def tables(log: Log) -> list[Body]:
    drawn = api.ask("log_pictures", log.facts())["answer"]["bows"]["tables"]
    return [table for table in drawn if table["id"] == "straighten"]


def shim_mm(bow_mm: float) -> Body:
    facts = {"bow_mm": bow_mm, **OVER, "state": "tempered", "tempered_c": 205}
    return dict(api.ask("springback", facts)["answer"]["shim"])


def test_a_blade_bowed_after_the_temper_is_told_its_shim() -> None:
    fold = tempered(0.6).fold()
    wanted = shim_mm(0.6)
    assert (fold["phase"], fold["set"]["key"]) == ("temper_cold.bowed", "fold.set.shim")
    assert fold["set"]["facts"] == {
        "value_mm": wanted["value"],
        "low_mm": wanted["low"],
        "high_mm": wanted["high"],
    }
    assert wording.render(fold["set"]) == "Shim: 1.20 to 2.40 mm"


# One line at arm's length, 33 px on a glass of 390: a second one pushed the sentence under the caution.
@pytest.mark.parametrize("thou", [False, True])
@pytest.mark.parametrize("bow_mm", [0.5, 1.9, 2.7])
def test_the_shim_is_told_in_one_line(bow_mm: float, thou: bool) -> None:  # noqa: FBT001  (a parameter)
    fold = tempered(bow_mm).fold()
    assert fold["set"]["key"] == "fold.set.shim"
    assert len(wording.render(fold["set"], reader=wording.Reader(thou=thou))) <= 28


def test_a_planned_jig_keeps_its_shim_and_the_oven_comes_back_with_it() -> None:
    log = tempered(0.6)
    log.add("choice", {"choice": "jig_planned"})
    fold = log.fold()
    assert (fold["phase"], fold["set"]["key"]) == ("temper_cold.jig", "fold.set.shim")
    log.mark("jigged", after_s=60)
    assert log.fold()["set"] == {"key": "fold.set.oven", "facts": {"value_c": 205}}


@pytest.mark.parametrize("bow_mm", [0.1, 0.4])
def test_a_straight_blade_has_no_shim(bow_mm: float) -> None:
    log = tempered(bow_mm)
    assert log.fold()["set"]["key"] == "fold.set.oven"
    assert tables(log) == []


def test_a_blade_never_tempered_at_200_gets_no_shim() -> None:
    cold = tempered(0.6, temper_c=[180, 190], oven_set_c=180)
    assert cold.fold()["set"]["key"] == "fold.set.oven"
    assert tables(cold) == []
    # the second heat is the one it is jigged in
    assert tempered(0.6, temper_c=[190, 205]).fold()["set"]["key"] == "fold.set.shim"


def test_a_hard_blade_is_told_nothing_of_bending() -> None:
    log = Log(card=plain_card()).to_hard()
    log.mark("hand_warm", after_s=950)
    log.bow(2.0)
    assert tables(log) == []
    assert "shim" not in str(log.fold()["set"])


def test_the_table_of_a_tempered_blade_is_the_shim() -> None:
    (table,) = tables(tempered(0.6))
    wanted = shim_mm(0.6)
    (cells,) = [row["cells"] for row in table["rows"]]
    assert cells == [420, wanted["value"], wanted["low"], wanted["high"]]
    assert table["title"]["key"] == "history.straighten.shim"
    assert table["notes"] == wanted["notes"]


def test_the_table_of_a_soft_blade_is_how_far_past_straight() -> None:
    log = Log(card=plain_card()).ground().cycle(0.9)
    (table,) = tables(log)
    facts = {"bow_mm": 0.9, **OVER, "state": "soft"}
    found = api.ask("springback", facts)["answer"]["overbend"]
    assert table["rows"][0]["cells"] == [420, found["value"], found["low"], found["high"]]
    assert [wording.render(one["label"]) for one in table["columns"]] == [
        "Over",
        "Past straight",
        "at least",
        "at most",
    ]


def test_what_a_jig_cannot_take_out_is_said_in_words() -> None:
    log = tempered(0.1)
    log.check("bow", {"bow_mm": 5.0, "length_mm": 150}, after_s=60)
    log.check("bow", {"bow_mm": 5.0, "length_mm": 150}, after_s=60)
    log.check("bow", {"bow_mm": 5.0, "length_mm": 150}, after_s=60)
    (table,) = tables(log)
    assert table["rows"][0]["cells"] == [150, {"key": "refusal.jig_strain", "facts": {}}]
    assert log.fold()["set"]["key"] == "fold.set.oven"


@pytest.mark.parametrize("thickness_mm", [None, "4", 40.0])
def test_without_a_thickness_that_can_be_nothing_is_told(thickness_mm: Any) -> None:
    card = plain_card()
    card["facts"]["thickness_mm"] = thickness_mm
    log = Log(card=card).to_hard()
    log.mark("hand_warm", after_s=950)
    log.temper()
    log.bow(0.6)
    assert log.fold()["set"]["key"] == "fold.set.oven"
    assert tables(log) == []
