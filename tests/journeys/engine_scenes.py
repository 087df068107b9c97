"""Scenes of the gallery as the engine folds them: every working screen in its own words."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

sys.path[:0] = [str(Path(__file__).resolve().parents[1] / "engine")]

from common.card_cases import card, plan  # noqa: E402
from log_maker import START_MS, Log  # noqa: E402

from temperward.engine import api  # noqa: E402

Body = dict[str, Any]
MINUTE_MS = 60_000
WAITS_S = (1, 40, 100, 210, 700, 1500, 2300, 4000, 40_000)
IN_AIR = {"steel": "O1", "quench": [{"medium": "medium_oil"}], "bath": None, "target_hrc": 61}
COUPON = {"thickness_mm": 5, "medium": "medium_oil", "passed": False}
FOUND_BAR = {"steel": "unknown", "quench": [{"medium": "medium_oil"}], "bath": None, "coupon": COUPON}
KINKED_MM = (0.0, 0.40, 0.34, 0.29, 0.23, 0.17, 0.11, 0.06, 0.0)  # a sharp bend inside the limit
SOFT_HRC = {"readings_hrc": [54.0, 54.5, 54.0], "block_checked": True}
TRIES = 2  # of hardening again: then it stays as it is
ALL_THERE = {"covers_blade": True, "lid": True, "extinguisher": True, "path": True, "tipping": True}


def begin(**changes: Any) -> Log:
    """A blade with a card that the engine made."""
    log = Log()
    log.add("piece_made", {"tag": "QF-102", "name": "Long single-edge"})
    log.add("card_made", {"card": card(plan(**changes))})
    return log


def ready(**changes: Any) -> Log:
    """Three heats, straight after each, and everything looked at."""
    log = begin(**changes).ground()
    for _ in range(3):
        log.cycle(0.15)
    return log.get_ready()


def going(**changes: Any) -> Log:
    """Soaked, and on the way to the bath."""
    log = ready(**changes)
    log.mark("hardening_fire", after_s=60)
    log.check("magnet", {"answer": "none", "rising": True}, after_s=300)
    log.check("colour", {"even": True}, after_s=30)
    log.mark("going_to_quench", after_s=125)
    return log


def cooling() -> Log:
    """Out of the fire after the first heat."""
    log = begin().ground()
    log.mark("in_fire", after_s=60)
    log.mark("even_heat", after_s=300)
    log.mark("out_of_fire", after_s=200)
    return log


def hard(**changes: Any) -> Log:
    """Out of the bath and hand-warm."""
    log = ready(**changes).harden()
    log.mark("out_of_bath", after_s=14)
    log.mark("hand_warm", after_s=900)
    return log


def long_blade() -> Log:
    """The bow grows, is straightened, and the blade goes all the way to released."""
    log = begin().ground()
    for bow_mm in (0.30, 0.55):
        log.cycle(bow_mm)
    log.mark("straightening", after_s=60)
    log.mark("straightened", after_s=600)
    log.bow(0.10)
    log.cycle(0.15)
    log.get_ready().harden()
    log.mark("out_of_bath", after_s=14)
    log.mark("hand_warm", after_s=900)
    log.check("file", {"place": "edge", "answer": "skates", "file_hrc": 62}, after_s=20)
    log.check("oven_temperature", {"temperature_c": 203}, after_s=20)
    log.temper(read_c=200)
    log.bow(0.20)
    log.temper(read_c=205)
    log.bow(0.12)
    log.mark("tempered", after_s=60)
    log.mark("grinding", after_s=60)
    log.mark("final_check", after_s=4000)
    log.check("hardness", {"readings_hrc": [59, 59.5, 58.5], "block_checked": True}, after_s=60)
    log.check("crack", {"answer": "none", "method": "penetrant"}, after_s=60)
    log.bow(0.3)
    log.bow(0.05)
    log.check("file", {"place": "tang", "answer": "bites", "file_hrc": 50}, after_s=20)
    log.mark("released", after_s=60)
    return log


def grown() -> Log:
    """The bow grew twice running and is over its limit: straightened hot."""
    log = begin().ground()
    for bow_mm in (0.35, 0.9):
        log.cycle(bow_mm)
    log.mark("ready", after_s=60)
    return log


def not_ready() -> Log:
    """Ready to harden, with one thing after the other against it."""
    log = at_the_gate(0.15, 0.15, 0.15)
    for bath_c in (24, 71, 54):
        log.check("bath_temperature", {"temperature_c": bath_c}, after_s=20)
    for thing in ("covers_blade", "lid", "extinguisher", "path", "tipping"):
        log.check("bath_ready", {**ALL_THERE, thing: False}, after_s=1)
    log.check("bath_ready", ALL_THERE, after_s=1)
    for oven_c in (188, 260):
        log.check("oven_temperature", {"temperature_c": oven_c}, after_s=20)
    log.add("override", {"gate": "ready_to_harden", "items": ["oven"], "reason": "falls", "initials": "MO"})
    return log


def magnet() -> Log:
    """The hardening heat with a cold spot, then out of time."""
    log = ready()
    log.mark("hardening_fire", after_s=60)
    log.check("magnet", {"answer": "sticks", "rising": True}, after_s=200)
    log.check("magnet", {"answer": "none", "rising": True}, after_s=60)
    log.check("colour", {"even": False}, after_s=20)
    return log


def no_lid() -> Log:
    """In the hardening heat the lid turns out to be missing."""
    log = ready()
    log.mark("hardening_fire", after_s=60)
    log.check("bath_ready", {**ALL_THERE, "lid": False}, after_s=200)
    return log


def bath_unread() -> Log:
    """Into the fire without a look at the bath."""
    log = at_the_gate(0.15, 0.15, 0.15)
    log.mark("hardening_fire", after_s=60)
    return log


def no_sheet() -> Log:
    """Everything is ready but the oil's flash point, which nobody has entered."""
    log = begin(**IN_AIR).ground()
    for _ in range(3):
        log.cycle(0.15)
        log.check("file", {"place": "edge", "answer": "bites", "file_hrc": 62}, after_s=20)
    return log.get_ready()


def forgotten() -> Log:
    """Hard and away, then a crack."""
    log = hard()
    log.finding("called_away_hard", after_s=300)
    log.check("crack", {"answer": "seen", "method": "sight"}, after_s=58_000)
    log.mark("scrapped", after_s=600, body={"reason": "crack from the plunge", "kept": True})
    return log


def soft() -> Log:
    """A file bites after the quench."""
    log = hard()
    log.check("file", {"place": "edge", "answer": "bites", "file_hrc": 50}, after_s=20)
    return log


def boiling() -> Log:
    """No oven: boiling water for an hour."""
    log = hard()
    log.mark("boiling_water", after_s=200)
    return log


def snapped() -> Log:
    """Half an hour in a kitchen oven, to be able to wait."""
    log = hard()
    log.mark("in_oven", body={"purpose": "snap"}, after_s=60)
    log.check("oven_temperature", {"temperature_c": 180}, after_s=600)
    log.mark("out_of_oven", after_s=2400)
    return log


def power_cut() -> Log:
    """A temper broken off, its oven cold, then hot again; taken out too soon."""
    log = hard()
    log.mark("in_oven", after_s=5, body={"purpose": "temper"})
    log.check("oven_temperature", {"temperature_c": 140}, after_s=600)
    log.check("oven_temperature", {"temperature_c": 201}, after_s=600)
    log.finding("power_cut_in_temper", after_s=3000)
    log.check("oven_temperature", {"temperature_c": 199}, after_s=1300)
    log.mark("out_of_oven", after_s=600)
    log.mark("cold_after_temper", after_s=1300)
    return log


def unread_oven() -> Log:
    """In an oven that nobody reads."""
    log = hard()
    log.mark("in_oven", after_s=5, body={"purpose": "temper"})
    return log


def jigged() -> Log:
    """Bowed after the first temper, clamped over the bend."""
    log = hard().temper()
    log.bow(0.9)
    log.add("choice", {"choice": "jig_planned"})
    log.mark("jigged", after_s=60)
    log.mark("in_oven", after_s=60, body={"purpose": "temper"})
    return log


def softened() -> Log:
    """A tang softened after the temper."""
    log = hard(soft_tang="softened_after").temper().temper()
    log.bow(0.12)
    log.mark("tempered", after_s=60)
    log.mark("softening", after_s=60)
    return log


def unproven() -> Log:
    """A found bar: a coupon too thin to prove it, and on all the same."""
    log = begin(**FOUND_BAR).ground()
    log.check("coupon", {"thickness_mm": 3, "medium": "medium_oil", "passed": True}, after_s=60)
    for _ in range(3):
        log.cycle(0.15)
    return log.get_ready()


def into_the_oven_unmarked() -> Log:
    """On the way to the bath, then in the oven and out of it again: when it went hard nobody marked."""
    log = going()
    log.mark("in_oven", after_s=900, body={"purpose": "temper"})
    log.mark("out_of_oven", after_s=300)
    return log


def warm_into_the_oven() -> Log:
    """In the oven before it was hand-warm: one temper more."""
    log = ready().harden()
    log.mark("out_of_bath", after_s=14)
    log.mark("in_oven", after_s=200, body={"purpose": "temper"})
    log.check("oven_temperature", {"temperature_c": 203}, after_s=600)
    log.mark("out_of_oven", after_s=7300)
    log.mark("cold_after_temper", after_s=1300)
    log.bow(0.1)
    log.temper(read_c=215)
    log.bow(0.1)
    return log


def hardened_in_air() -> Log:
    """A steel that hardens in air: a file after each heat."""
    log = begin(**IN_AIR).ground().cycle(None)
    log.check("file", {"place": "edge", "answer": "skates", "file_hrc": 62}, after_s=20)
    return log


def twisted() -> Log:
    """Twisted after a heat."""
    log = begin().ground().cycle(0.15)
    log.check("twist", {"gap_mm": 3.0, "width_mm": 30}, after_s=20)
    log.mark("straightening", after_s=60)
    log.mark("straightened", after_s=60)
    log.bow(0.1)
    return log


def two_phones() -> Log:
    """One phone says quenched, the other that the heat was broken off."""
    log = ready()
    log.mark("hardening_fire", after_s=60)
    log.mark("quenched", after_s=400)
    log.mark("heat_aborted", after_s=5, device="phone-b")
    return log


def people(finding: str) -> Log:
    """Something that comes before any blade, then the all-clear."""
    log = ready().harden()
    log.finding(finding, after_s=3)
    log.mark("all_clear", after_s=7200)
    return log


def short() -> Log:
    """Out of the oven too soon, twice; in warm the second time."""
    log = hard().temper(hold_s=3000)
    log.bow(0.1)
    return log.temper(hold_s=4000)


def kinked() -> Log:
    """A sharp bend inside the limit."""
    log = begin().ground()
    log.mark("in_fire", after_s=60)
    log.mark("out_of_fire", after_s=300)
    log.mark("cold", after_s=1100)
    stations = [{"at_mm": k * 52.5, "gap_mm": 1.0 + gap_mm} for k, gap_mm in enumerate(KINKED_MM)]
    log.check("straightness", {"length_mm": 420, "pad_mm": 1.0, "stations": stations, "side": "left"})
    return log


def at_the_gate(*bows_mm: float | None) -> Log:
    """Three heats with these bows after them, then ready to harden."""
    log = begin().ground()
    for bow_mm in bows_mm:
        log.cycle(bow_mm)
    log.mark("ready", after_s=60)
    return log


def twisted_at_the_gate() -> Log:
    """Twisted, and on to the stop point all the same."""
    log = at_the_gate(0.15, 0.15, 0.15)
    log.check("twist", {"gap_mm": 3.0, "width_mm": 30}, after_s=20)
    return log


def near_the_flash() -> Log:
    """An oil whose flash point is too near."""
    log = at_the_gate(0.15, 0.15, 0.15)
    log.check("flash_point", {"flash_c": 80}, after_s=20)
    log.check("bath_temperature", {"temperature_c": 60}, after_s=20)
    return log


def bath_cools() -> Log:
    """Too hot, and read twice: its own cooling says when to read it again."""
    log = at_the_gate(0.15, 0.15, 0.15)
    for bath_c in (84, 78):
        log.check("bath_temperature", {"temperature_c": bath_c}, after_s=300)
    return log


def stiff() -> Log:
    """Lifted, and bent until it would bend no more: time shuts the window."""
    log = ready().harden()
    log.mark("out_of_bath", after_s=14)
    return log


def finish(log: Log) -> Log:
    """From hard to the final check."""
    log.temper(read_c=200)
    log.bow(0.15)
    log.temper(read_c=205)
    log.bow(0.12)
    log.mark("tempered", after_s=60)
    log.mark("grinding", after_s=60)
    log.mark("final_check", after_s=4000)
    return log


def too_soft() -> Log:
    """Under the promised hardness: hardened again by choice, as often as that is allowed."""
    log = hard()
    for tries in range(TRIES + 1):
        finish(log).check("hardness", SOFT_HRC, after_s=60)
        if tries == TRIES:
            return log
        body = {"gate": "reharden", "items": ["reharden"], "reason": "oil was cold", "initials": "MO"}
        log.wait(60).add("override", body)
        log.mark("rework", after_s=60)
        for _ in range(3):
            log.cycle(0.15)
        log.get_ready().harden()
        log.mark("out_of_bath", after_s=14)
        log.mark("hand_warm", after_s=900)
    return log


def unsigned() -> Log:
    """Everything is checked, and whoever holds the phone has no initials."""
    log = finish(hard())
    log.check("hardness", {"readings_hrc": [59, 59.5, 58.5], "block_checked": True}, after_s=60)
    log.check("crack", {"answer": "none", "method": "penetrant"}, after_s=60)
    log.bow(0.05)
    log.check("file", {"place": "tang", "answer": "bites", "file_hrc": 50}, after_s=20)
    log.entries[-1]["initials"] = ""
    return log


def customer_asked() -> Log:
    """Everything is checked, and the customer has not answered."""
    log = unsigned()
    log.entries[-1]["initials"] = "MO"
    log.wait(60).add("choice", {"choice": "customer_asked"})
    return log


def broken_up() -> Log:
    """A sample that was hard, broken behind a guard."""
    log = forgotten()
    log.mark("broken_up", after_s=600)
    return log


def ended(mark: str, *, from_hard: bool = False) -> Log:
    """Put aside, lost or scrapped, while it was soft or hard."""
    log = hard() if from_hard else begin().ground()
    log.mark(mark, after_s=60, body={"reason": "too thin", "kept": False} if mark == "scrapped" else {})
    return log


STORIES: tuple[Callable[[], Log], ...] = (
    long_blade, grown, not_ready, magnet, no_lid, bath_unread, forgotten, soft, boiling, snapped, power_cut,
    unread_oven, jigged, softened, hardened_in_air, twisted, two_phones,
    lambda: begin(steel="1050", thickness_mm=8, target_hrc=55).ground(), lambda: begin(cycles=0).ground(),
    lambda: people("tank_fire"), lambda: people("co_alarm"), lambda: people("someone_hurt"),
    lambda: ended("put_aside"), lambda: ended("scrapped"), lambda: ended("record_lost"),
    lambda: ended("rework"), short, lambda: ended("scrapped", from_hard=True),
    lambda: ended("record_lost", from_hard=True),
    kinked, bath_cools, stiff, too_soft, unsigned, twisted_at_the_gate, near_the_flash,
    lambda: at_the_gate(0.6, 2.0, None), lambda: at_the_gate(0.1, 0.3, 0.4),
    unproven, no_sheet, into_the_oven_unmarked, warm_into_the_oven, customer_asked, broken_up,
    lambda: at_the_gate(2.0), lambda: at_the_gate(0.1, 0.25, 0.4),
)  # fmt: skip


def moments(log: Log) -> Iterator[tuple[int, Body]]:
    """Fold after each entry, and as if nothing more had come for a while."""
    for count in range(2, len(log.entries) + 1):
        for wait_s in WAITS_S:
            part = Log(log_id=log.log_id, start_ms=log.entries[count - 1]["written_ms"] + wait_s * 1000)
            part.entries = log.entries[:count]
            yield part.now_ms, part.fold()


def batch_scenes() -> list[Body]:
    """Return the batch as the engine answers for six knives, one bath, one oven."""
    bath = {"name": "Short oil", "litres": 12, "low_c": 35, "high_c": 65}

    def knife(letter: str, quenched_min: float | None, state: str, bath_c: float, read_min: float) -> Body:
        """One knife; its quench and its bath's reading are so many minutes ago."""
        read = {"temperature_c": bath_c, "read_ms": START_MS - int(read_min * MINUTE_MS)}
        row = {"log_id": letter, "tag": letter, "letter": letter, "state": state, "temper_c": 190}
        row |= {"steel_kg": 0.1735, "steel_c": 845, "bath": bath | read}
        if quenched_min is not None:
            quenched_ms = START_MS - int(quenched_min * MINUTE_MS)
            row |= {"quenched_ms": quenched_ms, "alarm_ms": quenched_ms + 60 * MINUTE_MS}
        return row

    def ask(name: str, rows: list[Body]) -> Body:
        answer = api.ask("batch", {"blades": rows, "now_ms": START_MS})["answer"]
        return {"name": name, "now_ms": START_MS, "batch": answer}

    wait, oven = "ready_to_harden", "temper_in_heat"
    gone = [("A", 14.3), ("B", 10.3), ("C", 6.3)]
    some_hard = [knife(letter, minutes, "hard", 52, 2) for letter, minutes in gone]
    all_hard = [knife("ABCDEF"[k], 34.3 - 4 * k, "hard", 52, 60) for k in range(6)]
    return [
        ask("batch-waiting", [knife(letter, None, wait, 50, 1) for letter in "ABCDEF"]),
        ask(
            "batch-hard",
            [*some_hard, *(knife(letter, None, wait, 52, 2) for letter in ("D", "QF-105-5", "F"))],
        ),
        ask(
            "batch-hot",
            [
                *(knife(letter, minutes, oven, 50, 20) for letter, minutes in gone),
                *(knife(letter, None, wait, 50, 20) for letter in "DEF"),
            ],
        ),
        ask("batch-all-hard", all_hard),
        ask(
            "batch-late",
            [knife("A", 50, "hard", 52, 2), knife("B", 12, "hard", 52, 2), knife("C", None, wait, 52, 2)],
        ),
        ask("batch-in-oven", [knife(letter, 30, oven, 52, 40) for letter in "ABC"]),
    ]


def engine_scenes() -> list[Body]:
    """Return one scene for each sentence that the engine has for a blade, with each caption of its number."""
    found: dict[str, Body] = {}
    for story in STORIES:
        for now_ms, fold in moments(story()):
            sentence = fold["sentence"]["key"].removeprefix("fold.say.")
            caption = fold["number"]["caption"]["key"].rpartition(".")[2]
            name = f"says-{sentence}" + (f"-{caption}" if caption in ("over", "since") else "")
            found.setdefault(name, {"name": name, "now_ms": now_ms, "fold": fold})
    return [*found.values(), *batch_scenes()]
