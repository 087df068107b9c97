"""October's six kitchen knives (two tanks, one oven, one dropped), and the coupons of a found bar."""

from __future__ import annotations

from dataclasses import dataclass

from seed_data import pictures
from seed_data.logbook import MINUTE_MS, SECOND_MS, Body, Log, Logbook, at, uuid7
from seed_data.people import JA, MO, SHORT_OIL, TALL_OIL
from seed_data.steps import Blade, make_card, start_blade


@dataclass(frozen=True, slots=True)
class Knife:
    """What was different from knife to knife."""

    number: int
    bath_c: float
    hard_hrc: float
    transfer_s: float
    hard_bow_mm: float
    final_hrc: float
    final_bow_mm: float
    left_right_mm: float


KNIVES = (
    # number, bath_c, hard_hrc, transfer_s, hard_bow_mm, final_hrc, final_bow_mm, left_right_mm
    Knife(1, 50.0, 64.5, 2.0, 0.10, 61.5, 0.10, 0.05),
    Knife(2, 50.0, 64.0, 2.1, 0.15, 61.0, 0.10, 0.10),
    Knife(3, 55.0, 64.5, 1.9, 0.80, 61.5, 0.25, 0.15),
    Knife(4, 53.0, 63.0, 4.5, 0.20, 60.0, 0.15, 0.10),
    Knife(5, 59.9, 64.5, 2.0, 0.10, 61.5, 0.10, 0.05),
    Knife(6, 56.0, 64.0, 2.2, 0.30, 61.5, 0.10, 0.15),
)
FIRST_QUENCH_MS = at("17 Oct 14:02:00")
DROPPED, WARPED, SLOW = 5, 3, 4


def kitchen_batch(book: Logbook) -> None:
    """QF-105-1 to -6: four minutes apart from 14:02, loaded together at 14:53, all but the dropped one."""
    for knife in KNIVES:
        _kitchen_knife(book, knife)


def _kitchen_knife(book: Logbook, knife: Knife) -> None:
    facts = {"steel": "52100", "thickness_mm": 2.2, "edge_mm": 0.5, "length_mm": 210, "width_mm": 48}
    facts |= {"heat_source": "kiln", "target_hrc": 61}
    tag = f"QF-105-{knife.number}"
    piece = {"tag": tag, "name": "Kitchen knife", "batch": "QF-105", "letter": "ABCDEF"[knife.number - 1]}
    bath = SHORT_OIL if knife.number % 2 else TALL_OIL
    made_ms = at("16 Oct 10:00:00") + knife.number * 3 * MINUTE_MS
    blade = start_blade(book, MO, made_ms, piece, facts, bath=bath, bath_c=knife.bath_c, oven_c=190)
    offset_ms = knife.number * 2 * MINUTE_MS
    blade.ground(at("16 Oct 11:00:00") + offset_ms, bow_mm=0.10, left_right_mm=knife.left_right_mm)
    for start in ("16 Oct 13:00:00", "16 Oct 14:00:00", "16 Oct 15:00:00"):
        blade.cycle(at(start) + offset_ms, bow_mm=0.10, file_hrc=62)
    quench_ms = FIRST_QUENCH_MS + (knife.number - 1) * 4 * MINUTE_MS
    blade.ready(quench_ms - 9 * MINUTE_MS - 30 * SECOND_MS)
    blade.log.note(quench_ms - 8 * MINUTE_MS - 50 * SECOND_MS, "Anti-scale wash on.")
    blade.hardening_heat(quench_ms, heat_s=470)
    blade.quench(quench_ms, hold_s=9, transfer_s=knife.transfer_s)
    _through_the_oven(blade, knife, quench_ms)


def _through_the_oven(blade: Blade, knife: Knife, quench_ms: int) -> None:
    log = blade.log
    in_ms = at("17 Oct 14:53:00")
    blade.as_hard(quench_ms + 5 * MINUTE_MS, [knife.hard_hrc] * 3, file_hrc=62)
    blade.straight(quench_ms + 9 * MINUTE_MS, knife.hard_bow_mm)
    if knife.number == DROPPED:
        in_ms = at("17 Oct 14:42:00")
        dropped = {"text": "0.9 m on concrete, hard for 22 min.", "cause": "slipped from the rack"}
        entry_id = log.finding(at("17 Oct 14:40:00"), "dropped_hard", body=dropped)
    cold_ms = blade.temper(in_ms)
    if knife.number == DROPPED:
        log.check(cold_ms + 2 * MINUTE_MS, "crack", {"answer": "none", "method": "penetrant"})
        log.add(cold_ms + 3 * MINUTE_MS, "finding_closed", {"entry_id": entry_id, "text": "Penetrant clean."})
        blade.straight(cold_ms + 5 * MINUTE_MS, knife.hard_bow_mm)
    if knife.number == WARPED:
        log.mark(cold_ms + 6 * MINUTE_MS, "jigged")
    # The jig goes in a little hotter than the first time, or it would not set.
    jig_c = 195 if knife.number == WARPED else None
    cold_ms = blade.temper(at("17 Oct 18:10:00"), oven_c=jig_c)
    done_ms = cold_ms + (6 + 2 * knife.number) * MINUTE_MS
    blade.straight(done_ms - MINUTE_MS, knife.final_bow_mm)
    if knife.number == WARPED:
        log.override(done_ms, "temper_done", ["straight"], "0.25 left after the jig: asking the customer")
    log.mark(done_ms + SECOND_MS, "tempered")
    _finish(blade, knife)


def _finish(blade: Blade, knife: Knife) -> None:
    log = blade.log
    start_ms = at("19 Oct 09:00:00") + knife.number * 2 * MINUTE_MS
    log.note(start_ms - MINUTE_MS, "Finish grind with ear defenders on: no sound reaches me.", by=JA)
    done_ms = blade.finish(start_ms, hrc=[knife.final_hrc] * 3, bow_mm=knife.final_bow_mm)
    if knife.number == WARPED:
        log.finding(done_ms, "bow_over", body={"text": "0.25 left after the jig; asking the customer."})
        return
    if knife.number == SLOW:
        text = "60 where 61 was asked, bow 0.15: taken as it is."
        log.add(done_ms, "choice", {"choice": "customer_accepts", "text": text})
        log.override(done_ms + 30 * SECOND_MS, "release", ["finished_bow"], "customer accepts the bow")
    log.mark(done_ms + MINUTE_MS, "released")


@dataclass(frozen=True, slots=True, kw_only=True)
class Coupon:
    """A piece of the found bar, what was done with it and what came of it."""

    letter: str
    thickness_mm: float
    heat_c: float
    medium: str
    bath: str
    hrc: float
    file_50: str
    crack_mm: float | None = None
    grain_px: int = 4

    def passed(self) -> bool:
        """Tell whether it hardened through and stayed whole."""
        return self.file_50 == "skates" and self.crack_mm is None


COUPONS = (
    Coupon(
        letter="A",
        thickness_mm=3,
        heat_c=800,
        medium="medium_oil",
        bath="Medium oil",
        hrc=42,
        file_50="bites",
    ),
    Coupon(
        letter="B",
        thickness_mm=3,
        heat_c=840,
        medium="medium_oil",
        bath="Medium oil",
        hrc=48,
        file_50="bites",
    ),
    Coupon(
        letter="C", thickness_mm=3, heat_c=840, medium="fast_oil", bath="Short oil", hrc=62, file_50="skates"
    ),
    Coupon(
        letter="D", thickness_mm=6, heat_c=840, medium="fast_oil", bath="Short oil", hrc=55, file_50="drags"
    ),
    Coupon(letter="E1", thickness_mm=6, heat_c=820, medium="brine", bath="Brine", hrc=63, file_50="skates"),
    Coupon(
        letter="E2",
        thickness_mm=6,
        heat_c=820,
        medium="brine",
        bath="Brine",
        hrc=63,
        file_50="skates",
        crack_mm=3,
    ),
)


def found_bar(book: Logbook) -> None:
    """QF-104: six coupons say what the found spring bar may be used for: 3.0 mm, fast oil, nothing more."""
    made_ms = at("10 Oct 09:30:00")
    bar = Log(book, "bar", MO, uuid7(made_ms, seed=b"quillfen bar QF-104"))
    bar.add(made_ms, "made", {"name": "QF-104 spring bar", "steel": "unknown", "thickness_mm": 7})
    piece = Log(book, "piece", MO, uuid7(made_ms, seed=b"quillfen piece QF-104"))
    piece.add(made_ms, "piece_made", {"tag": "QF-104", "name": "Coupons, found spring bar"})
    for place, coupon in enumerate(COUPONS):
        _coupon(book, piece, coupon, at("10 Oct 11:00:00") + place * 25 * MINUTE_MS)
    learned = "About 0.7 % carbon, by comparison with spring steel of that kind."
    bar.add(
        at("20 Oct 18:00:00"),
        "changed",
        {"note": learned, "proven": {"thickness_mm": 3.0, "medium": "fast_oil"}},
    )
    _plan_from_the_proof(piece)


def _coupon(book: Logbook, piece: Log, coupon: Coupon, now_ms: int) -> None:
    name = f"QF-104-{coupon.letter}"
    log = Log(book, "coupon", MO, uuid7(now_ms, seed=b"quillfen coupon " + name.encode()))
    facts = {
        "thickness_mm": coupon.thickness_mm,
        "medium": coupon.medium,
        "bath": coupon.bath,
        "heat_c": coupon.heat_c,
    }
    log.add(now_ms, "made", {"name": name, "bar": "QF-104 spring bar", **facts})
    file_check = {"file_hrc": 50, "place": "edge", "answer": coupon.file_50}
    log.check(now_ms + 6 * MINUTE_MS, "file", file_check)
    readings = {"readings_hrc": [coupon.hrc] * 3, "place": "edge", "block_checked": True}
    log.check(now_ms + 9 * MINUTE_MS, "hardness", readings)
    crack: Body = {"answer": "seen" if coupon.crack_mm else "none", "method": "sight"}
    log.check(now_ms + 11 * MINUTE_MS, "crack", crack)
    result = {"thickness_mm": coupon.thickness_mm, "medium": coupon.medium, "passed": coupon.passed()}
    entry_id = piece.check(now_ms + 14 * MINUTE_MS, "coupon", {**result, "name": name})
    if coupon.letter in ("C", "D", "E2"):
        picture = pictures.fracture(
            bright=coupon.letter != "D", grain_px=coupon.grain_px, seed=ord(coupon.letter[0])
        )
        piece.photo(now_ms + 16 * MINUTE_MS, picture, step="prove-coupon", of=entry_id)


def _plan_from_the_proof(piece: Log) -> None:
    facts = {"steel": "unknown", "thickness_mm": 3.0, "edge_mm": 0.9, "length_mm": 120, "target_hrc": 57.5}
    facts |= {"coupon": {"thickness_mm": 3.0, "medium": "fast_oil"}, "heat_source": "forge_thermocouple"}
    facts |= {
        "quench": [{"medium": SHORT_OIL.medium, "bath_c": 50}],
        "bath": SHORT_OIL.facts(),
        "oven_kind": "kiln",
    }
    piece.add(at("10 Oct 15:00:00"), "card_made", {"card": make_card(facts)})
    piece.note(
        at("10 Oct 15:05:00"),
        "Good for 3.0 mm in fast oil. Not for 6 mm; never in brine (one of two cracked).",
    )
    piece.mark(at("10 Oct 15:06:00"), "put_aside")
