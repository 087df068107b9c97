"""Hardness out of the promise: harden again, or live with it, with what there is to weigh (story 26)."""

from __future__ import annotations

from typing import Any

from common.card_cases import PLAIN, card
from log_maker import Log

from temperward import wording

Body = dict[str, Any]
SOFT_HRC = [54.0, 54.5, 54.0]


def to_final_check(log: Log) -> Log:
    log.mark("hand_warm", after_s=950)
    log.temper(read_c=200)
    log.bow(0.15)
    log.temper(read_c=215)
    log.bow(0.15)
    log.mark("tempered", after_s=60)
    log.mark("grinding", after_s=60)
    log.mark("final_check", after_s=600)
    return log


def out_of_promise() -> Log:
    log = to_final_check(Log(card=card(PLAIN)).to_hard())
    log.check("hardness", {"readings_hrc": SOFT_HRC}, after_s=60)
    return log


def again(fold: Body) -> Body:
    gate = next(one for one in fold["gates"] if one["id"] == "reharden")
    return dict(gate["items"][0])


def decide(log: Log, action: Body, reason: str) -> None:
    body = {"gate": action["gate"], "items": action["items"], "reason": reason, "initials": "TK"}
    log.wait(60).add("override", body)


def offered(fold: Body, words: str) -> Body:
    return next(one for one in fold["offers"] if one["label"]["key"] == "fold.do." + words)


def test_the_hardness_as_promised_leaves_nothing_to_decide() -> None:
    log = to_final_check(Log(card=card(PLAIN)).to_hard())
    log.check("hardness", {"readings_hrc": [59.0, 59.5, 59.0]}, after_s=60)
    assert [gate["id"] for gate in log.fold()["gates"]] == ["release"]


def test_what_there_is_to_weigh_is_shown() -> None:
    log = out_of_promise()
    fold = log.fold()
    assert fold["phase"] == "final.hardness_out"
    facts = again(fold)["value"]["facts"]
    assert (facts["n"], facts["used"], facts["most"]) == (4, 0, 2), "three cycles and the hardening heat"
    assert facts["edge"]["facts"]["edge_mm"] == 1.0
    assert 0.5 < facts["edge"]["facts"]["need_mm"] < 1.5
    assert facts["band"]["facts"]["low_hrc"] < 59 < facts["band"]["facts"]["high_hrc"]
    assert wording.render(again(fold)["value"]).startswith("4 heats so far. Edge 1.00")


def test_to_harden_again_keeps_the_reason_and_leads_to_rework() -> None:
    log = out_of_promise()
    decide(log, offered(log.fold(), "reharden_why"), "oil was cold that night")
    fold = log.fold()
    assert (fold["phase"], fold["next"]["mark"]) == ("final.reharden", "rework")
    assert again(fold)["overridden"]["reason"] == "oil was cold that night"
    log.mark("rework", after_s=60)
    fold = log.fold()
    assert fold["state"]["id"] == "rework"
    assert len(fold["overrides"]) == 1, "the choice stays on the blade's page"


def test_to_live_with_it_keeps_the_reason_and_leads_on() -> None:
    log = out_of_promise()
    decide(log, offered(log.fold(), "live_with_why"), "a hard-use knife, soft is right")
    fold = log.fold()
    assert fold["phase"] == "final.crack"
    (entry_id,) = fold["overrides"]
    kept = next(entry for entry in log.entries if entry["id"] == entry_id)
    assert kept["body"]["reason"] == "a hard-use knife, soft is right"


def test_a_new_reading_asks_anew() -> None:
    log = out_of_promise()
    decide(log, offered(log.fold(), "reharden_why"), "oil was cold that night")
    log.check("hardness", {"readings_hrc": SOFT_HRC}, after_s=60)
    assert log.fold()["phase"] == "final.hardness_out"


def test_after_two_times_only_living_with_it_is_left() -> None:
    log = Log(card=card(PLAIN)).to_hard()
    for _ in range(2):
        to_final_check(log)
        log.check("hardness", {"readings_hrc": SOFT_HRC}, after_s=60)
        log.mark("rework", after_s=60)
        for _ in range(3):
            log.cycle(0.15)
        log.get_ready().harden()
    to_final_check(log)
    log.check("hardness", {"readings_hrc": SOFT_HRC}, after_s=60)
    fold = log.fold()
    assert fold["phase"] == "final.hardness_stays"
    assert again(fold)["value"]["facts"]["used"] == 2
    assert again(fold)["overridable"] is False
    labels = [one["label"]["key"] for one in fold["offers"]]
    assert "fold.do.live_with_why" in labels
    assert "fold.do.reharden_why" not in labels


def test_the_customer_who_takes_it_as_it_is_settles_it() -> None:
    log = out_of_promise()
    log.wait(60).add("choice", {"choice": "customer_accepts"})
    assert log.fold()["phase"] == "final.crack"
