"""Who works at Quillfen Forge, and what stands there. All invented."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from seed_data.logbook import ZONE, Body, Log, Logbook, Smith, at, uuid7

SHOP_NAME = "Quillfen Forge"
OPENED_MS = at("09 Oct 09:00:00")


def _smith(initials: str, name: str, **settings: Any) -> Smith:
    seed = b"quillfen " + initials.encode()
    defaults = {
        "temperature_unit": "c",
        "length_unit": "mm",
        "hand": "right",
        "theme": "auto",
        "language": "en",
    }
    return Smith(
        initials=initials,
        name=name,
        member_id=uuid7(OPENED_MS, seed=seed + b" member"),
        device_id=uuid7(OPENED_MS, seed=seed + b" phone"),
        settings={**defaults, **settings},
    )


MO = _smith("MO", "Mo, owner")
TK = _smith("TK", "TK, second smith", temperature_unit="f", length_unit="thou")
BR = _smith("BR", "Br, apprentice", hand="left")
JA = _smith("JA", "Ja, finisher")
SMITHS = (MO, TK, BR, JA)


@dataclass(frozen=True, slots=True, kw_only=True)
class Bath:
    """A tank: what the card is told about it."""

    name: str
    medium: str
    litres: float
    flash_c: float | None = None
    low_c: float | None = None
    high_c: float | None = None

    def facts(self) -> Body:
        """Return the bath as a card's facts take it."""
        own: Body = {"flash_c": self.flash_c, "low_c": self.low_c, "high_c": self.high_c}
        known = {name: value for name, value in own.items() if value is not None}
        return {"name": self.name, "litres": self.litres, **known}


SHORT_OIL = Bath(name="Short oil", medium="fast_oil", litres=12, flash_c=190, low_c=35, high_c=65)
TALL_OIL = Bath(name="Tall oil", medium="fast_oil", litres=20, flash_c=190, low_c=35, high_c=65)
MEDIUM_OIL = Bath(name="Medium oil", medium="medium_oil", litres=15, flash_c=200)
BRINE = Bath(name="Brine", medium="brine", litres=15)
BATHS = (SHORT_OIL, TALL_OIL, MEDIUM_OIL, BRINE)


def open_shop(book: Logbook) -> None:
    """Write the logs of the shop itself, its people, baths, ovens and instruments."""
    shop = _thing(book, "shop", SHOP_NAME, {"name": SHOP_NAME, "zone": ZONE})
    brine_alarm = {"limits": {"brine_alarm_s": 1_800}, "reason": "QF-103 cracked while it waited overnight"}
    shop.add(at("25 Oct 10:05:00"), "changed", brine_alarm)
    for smith in SMITHS:
        made = {"name": smith.name, "initials": smith.initials, **smith.settings}
        Log(book, "member", smith, smith.member_id).add(OPENED_MS, "made", made)
    _baths(book)
    _ovens(book)
    _instruments(book)


def _thing(book: Logbook, kind: str, name: str, facts: Body) -> Log:
    log = Log(book, kind, MO, uuid7(OPENED_MS, seed=f"quillfen {kind} {name}".encode()))
    log.add(OPENED_MS, "made", facts)
    return log


def _baths(book: Logbook) -> None:
    words: dict[str, Body] = {
        "Tall oil": {"shape": "vertical tube", "oil_class": "fast oil, 7-9 s"},
        "Short oil": {"shape": "open tank", "oil_class": "fast oil, 7-9 s"},
        "Medium oil": {"shape": "open tank", "oil_class": "medium oil, 11-14 s"},
        "Brine": {"shape": "open tank", "salt_pct": 8},
    }
    logs = {}
    for bath in BATHS:
        facts = {"medium": bath.medium, **bath.facts(), **words[bath.name]}
        logs[bath.name] = _thing(book, "bath", bath.name, facts)
    readings = ("17 Oct 13:58:00", 50.0), ("17 Oct 14:27:00", 64.8)
    for when, temperature_c in readings:
        logs["Short oil"].check(at(when), "bath_temperature", {"temperature_c": temperature_c})
    logs["Tall oil"].check(at("17 Oct 14:29:00"), "bath_temperature", {"temperature_c": 58.9})
    for name in ("Tall oil", "Short oil", "Medium oil"):
        logs[name].check(at("12 Oct 08:40:00"), "crackle", {"water": False})


def _ovens(book: Logbook) -> None:
    _thing(
        book,
        "oven",
        "Gas forge",
        {"name": "Gas forge", "kind": "forge", "note": "rear third runs 30 K hotter"},
    )
    _thing(book, "oven", "Small kiln", {"name": "Small kiln", "kind": "kiln"})
    oven = _thing(book, "oven", "Temper oven", {"name": "Temper oven", "kind": "convection"})
    # The dial reads 9 K low: the separate thermocouple is the one that counts.
    compared = {"dial_c": 196, "temperature_c": 205, "instrument": "Thermocouple"}
    oven.check(at("12 Oct 08:30:00"), "oven_temperature", compared)


def _instruments(book: Logbook) -> None:
    _thing(book, "instrument", "Thermocouple", {"name": "Thermocouple", "kind": "type K"})
    _thing(book, "instrument", "Feeler gauges", {"name": "Feeler gauges", "uncertainty_mm": 0.05})
    _thing(book, "instrument", "Test files", {"name": "Test files", "files_hrc": [50, 55, 58, 62, 65]})
    tester = _thing(
        book, "instrument", "Bench tester", {"name": "Bench tester", "scale": "HRC", "block_hrc": 60.4}
    )
    tester.check(at("10 Oct 09:12:00"), "test_block", {"block_hrc": 60.4, "reads_hrc": 60.2})
