"""Whoever does only what the one primary action says brings every card to the end, without a flag."""

from __future__ import annotations

from typing import Any

import pytest
from common.card_cases import VARIANTS
from log_maker import Log

from temperward.engine import api, data_files
from temperward.engine.thermal.media import medium_row

GOOD_ANSWERS: dict[str, dict[str, Any]] = {
    "edge_thickness": {"readings_mm": [5.0, 5.0, 5.0]},
    "magnet": {"answer": "none", "rising": True},
    "colour": {"even": True},
    "sight": {"answer": "straight"},
    "crack": {"answer": "none", "method": "sight"},
    "bath_ready": {"covers_blade": True, "lid": True, "extinguisher": True, "path": True, "tipping": True},
    "flash_point": {"flash_c": 190},
    "blade_temperature": {"temperature_c": 30},
    "hardness": {"readings_hrc": [59, 60, 59.5], "block_checked": True},
}
END = ["released"]
DONE_WITH = ["step", "caution", "why"]
MOST_STEPS = 120


def answer_to(  # noqa: PLR0911 (one line per check)
    fold: dict[str, Any], check: str, limits: dict[str, Any]
) -> dict[str, Any]:
    """What a careful smith with a good blade would enter."""
    if check in ("straightness", "bow"):
        length_mm = fold["next"].get("body", {}).get("length_mm", 200)
        stations = [{"at_mm": length_mm * k / 2, "gap_mm": 1.0} for k in range(3)]
        return {"length_mm": length_mm, "pad_mm": 1.0, "stations": stations, "side": "left"}
    if check == "file":
        place = fold["next"].get("body", {}).get("place", "edge")
        hard = fold["state"]["id"] == "hard"
        return {"place": place, "answer": "skates" if hard and place == "edge" else "bites"}
    if check == "bath_temperature" and "medium" in fold["next"].get("body", {}):
        row = medium_row(fold["next"]["body"]["medium"])
        return {"temperature_c": (row["bath_low_c"] + row["bath_high_c"]) / 2}
    if check == "bath_temperature":
        return {"temperature_c": (limits["bath_low_c"] + limits["bath_high_c"]) / 2}
    if check == "oven_temperature":
        temper = fold["state"]["temper"] or 1
        return {"temperature_c": limits["temper_c"][min(temper, len(limits["temper_c"])) - 1]}
    if check == "coupon":
        return {**fold["next"]["body"], "passed": True}
    if check == "hardness" and limits.get("target_hrc") is not None:
        return {"readings_hrc": [limits["target_hrc"]] * 3, "block_checked": True}
    return GOOD_ANSWERS[check]


def waits(fold: dict[str, Any]) -> int:
    """How long to wait before doing what is shown, so that nothing is done too early."""
    if fold["number"]["kind"] == "countdown" and fold["screen"] not in ("straighten", "gate"):
        return int((fold["number"]["until_ms"] - fold["number"]["from_ms"]) / 1000) + 5
    return 10 if fold["screen"] == "quench" else 60


def step(log: Log, fold: dict[str, Any], limits: dict[str, Any]) -> None:
    action = fold["next"]
    seconds = waits(fold)
    if fold["phase"] == "in_quench":
        seconds = 3
    if fold["phase"] == "brittle.cooling":
        seconds = 1000
    if action["do"] == "mark":
        log.mark(action["mark"], after_s=seconds, body=action.get("body", {}))
    elif action["do"] == "check":
        body = {**action.get("body", {}), **answer_to(fold, action["check"], limits)}
        made = api.ask("check_values", {"check": action["check"], "body": body})
        assert "error" not in made, made
        log.check(action["check"], body, after_s=5)
    else:
        raise AssertionError(f"a good blade was sent to {action} in {fold['phase']}")


@pytest.mark.parametrize("name", sorted(VARIANTS))
def test_following_the_primary_action_leads_to_the_end(name: str) -> None:
    made = api.ask("make_card", VARIANTS[name])
    if "error" in made:
        pytest.skip("this plan is refused by name")
    card = made["answer"]
    log = Log(card=card)
    words = data_files.load("words/en/fold")
    seen: list[str] = []
    before = fold = log.fold()
    for _ in range(MOST_STEPS):
        fold = log.fold()
        seen.append(fold["phase"])
        assert fold["sentence"]["key"] in words
        if fold["state"]["id"] in END:
            break
        before = fold
        step(log, fold, card["limits"])
    assert seen[-1] == "released", seen
    assert before["why"] is not None
    assert [fold[part] for part in DONE_WITH] == [None, None, None], "no step is left to warn of or explain"
    assert [flag["id"] for flag in log.fold()["flags"]] == []
    assert log.fold()["cycles_done"] == card["limits"]["cycles"]
    assert log.fold()["tempers_done"] == card["limits"]["tempers"]
