"""Logs as a release wrote them, with what they folded to: a later engine must read them to the same state.

`python tests/golden_logs/kept_logs.py VERSION` writes the files of a release; none is written over.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

FOLDER = Path(__file__).parent
sys.path[:0] = [str(FOLDER.parent / "engine"), str(FOLDER.parent)]

from common.card_cases import PLAIN, plan  # noqa: E402
from log_maker import Log  # noqa: E402

from temperward.engine import api  # noqa: E402

Body = dict[str, Any]
CLOCK_FIELDS = ["id", "from_ms", "due_ms", "paused"]


def card(facts: Body) -> Body:
    """Return the card of a plan, frozen into the log from here on."""
    return dict(api.ask("make_card", facts)["answer"])


def long_blade() -> Log:
    """The bow grows, is straightened, and the blade goes on to tempered."""
    log = Log(card=card(PLAIN)).ground()
    for bow_mm in (0.30, 0.55):
        log.cycle(bow_mm)
    log.mark("straightened", after_s=600)
    log.bow(0.10)
    log.cycle(0.15)
    log.get_ready().harden()
    log.mark("out_of_bath", after_s=14)
    log.mark("hand_warm", after_s=900)
    log.check("file", {"place": "edge", "answer": "skates", "file_hrc": 62}, after_s=20)
    log.temper(read_c=200)
    log.bow(0.20)
    log.temper(read_c=215)
    log.bow(0.12)
    log.mark("tempered", after_s=60)
    return log


def forgotten() -> Log:
    """Quenched in brine and left over night; found cracked."""
    facts = plan(
        steel="W1",
        thickness_mm=3.8,
        quench=[{"medium": "brine"}],
        bath={"name": "Brine", "litres": 15, "low_c": 20, "high_c": 30},
        coupon={"thickness_mm": 4.0, "medium": "brine"},
    )
    log = Log(card=card(facts)).to_hard()
    log.finding("called_away_hard", after_s=300)
    log.check("crack", {"answer": "seen", "method": "sight"}, after_s=58_000)
    log.mark("scrapped", after_s=600, body={"reason": "crack from the plunge", "kept": True})
    return log


def two_phones() -> Log:
    """One phone marks the quench, the other that the heat was broken off: it stays hard."""
    log = Log(card=card(PLAIN)).ground()
    for _ in range(3):
        log.cycle(0.15)
    log.get_ready().mark("hardening_fire", after_s=60)
    log.mark("quenched", after_s=400)
    log.mark("heat_aborted", after_s=5, device="phone-b")
    log.bow(0.2, device="phone-b")
    return log


def power_cut() -> Log:
    """A temper that a power cut broke off after fifty minutes, a correction and a withdrawal on the way."""
    log = Log(card=card(PLAIN)).to_hard()
    log.mark("hand_warm", after_s=950)
    wrong = log.mark("in_oven", after_s=60, body={"purpose": "snap"})
    log.wait(5).add("withdraw", {"entry_id": wrong})
    placed = log.mark("in_oven", after_s=5, body={"purpose": "temper"})
    log.add("correct", {"entry_id": placed, "happened_ms": log.now_ms - 20_000})
    log.check("oven_temperature", {"temperature_c": 201}, after_s=600)
    log.finding("power_cut_in_temper", after_s=3000)
    log.check("oven_temperature", {"temperature_c": 40}, after_s=5400)
    log.check("oven_temperature", {"temperature_c": 199}, after_s=1300)
    return log


def fire() -> Log:
    """A tank fire just after the quench, then the all-clear."""
    log = Log(card=card(PLAIN)).to_hard()
    log.finding("tank_fire", after_s=3)
    log.mark("all_clear", after_s=7200)
    return log


def two_cards() -> Log:
    """Two phones replace one card, one by a clock that is ahead; one is chosen, and the work goes by it."""
    log = Log(card=card(PLAIN)).ground()
    old = log.entries[1]["id"]
    colder = log.wait(900).add(
        "card_made", {"card": card(plan(target_hrc=61)), "replaces": old}, device="phone-b"
    )
    log.wait(-900).add("card_made", {"card": card(plan(temper_cycles=3)), "replaces": old})
    log.wait(1200).add("choose", {"entry_id": colder})
    for bow_mm in (0.15, 0.20, 0.15):
        log.cycle(bow_mm)
    log.get_ready().harden()
    log.mark("hand_warm", after_s=950)
    log.temper(read_c=190).temper(read_c=195)
    return log


STORIES: dict[str, Callable[[], Log]] = {
    "fire": fire,
    "forgotten": forgotten,
    "long_blade": long_blade,
    "power_cut": power_cut,
    "two_cards": two_cards,
    "two_phones": two_phones,
}


def told(fold: Body) -> Body:
    """Return what every later engine must still say: where the blade is, not how a screen shows it."""
    return {
        "state": {name: fold["state"][name] for name in ("id", "cycle", "temper", "since_ms")},
        "people": fold["people"],
        "cycles_done": fold["cycles_done"],
        "tempers_done": fold["tempers_done"],
        "hazards": fold["hazards"],
        "clocks": [{name: clock[name] for name in CLOCK_FIELDS} for clock in fold["clocks"]],
        "stages": [
            [stage["stage"], stage["due_ms"]] for clock in fold["clocks"] for stage in clock["stages"]
        ],
        "gates": [[gate["id"], gate["open"]] for gate in fold["gates"]],
        "findings": [finding["id"] for finding in fold["findings"]],
        "flags": [flag["id"] for flag in fold["flags"]],
        "bows_mm": [bow["bow_mm"] for bow in fold["bows"]],
        "shop_order": fold["shop_order"],
        "withdrawn": fold["withdrawn"],
        "corrected": fold["corrected"],
        "unread": fold["unread"],
    }


def folds(facts: Body) -> list[Body]:
    """Return what a log tells after each of its entries, and an hour after the last."""
    entries = facts["entries"]
    told_at = []
    for count in range(1, len(entries) + 1):
        now_ms = entries[count - 1]["written_ms"] + 1000
        answer = api.ask("fold", {**facts, "entries": entries[:count], "now_ms": now_ms})["answer"]
        told_at.append({"state": told(answer)["state"], "flags": told(answer)["flags"]})
    last = api.ask("fold", {**facts, "now_ms": facts["now_ms"] + 3_600_000})["answer"]
    return [*told_at, told(last)]


def write(version: str) -> None:
    """Write one file per story, none over another."""
    for name in sorted(STORIES):
        path = FOLDER / version / f"{name}.json"
        path.parent.mkdir(exist_ok=True)
        facts = STORIES[name]().facts()
        with path.open("x", encoding="utf-8") as file:
            json.dump(
                {"made_by": version, "facts": facts, "folds": folds(facts)}, file, separators=(",", ":")
            )
            file.write("\n")


if __name__ == "__main__":
    write(sys.argv[1])
