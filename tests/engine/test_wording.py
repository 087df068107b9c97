"""Notes become sentences in a person's units; the phone's renderer is held to the same cases."""

from __future__ import annotations

import datetime as dt
import json
import re
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from seed_data import logbook
from temperward import wording
from temperward.engine.thermal import bath

SHARED = json.loads((Path(__file__).parent.parent / "common" / "wording_cases.json").read_text("utf-8"))
UNIT_WORDS = {
    "c": "degC|°|C",
    "k": "K",
    "mm": "mm",
    "s": "s|seconds?",
    "min": "min|minutes?",
    "hrc": "HRC",
    "pct": "%",
    "l": "L|litres?",
}


@pytest.mark.parametrize("units", sorted(SHARED["units"]))
@pytest.mark.parametrize("case", SHARED["cases"], ids=lambda case: json.dumps(case["note"]))
def test_a_note_is_worded_in_the_readers_units(case: dict[str, Any], units: str) -> None:
    reader = wording.Reader(zone=ZoneInfo(SHARED["zone"]), **SHARED["units"][units])
    assert wording.render(case["note"], reader=reader, table=SHARED["words"]) == case[units]


DUBLIN, CHICAGO = "Europe/Dublin", "America/Chicago"


# An instant, then +30, +60 and +205 min, over midnight and the change of the clocks, against IANA time zone
# data; the phone shows them alike (pwa/src/ui/time_text.test.ts).
@pytest.mark.parametrize(
    ("zone", "start", "shown"),
    [
        (DUBLIN, "2026-10-24T23:25", ["00:55", "01:25", "02:50"]),
        (DUBLIN, "2027-03-28T00:25", ["00:55", "02:25", "04:50"]),  # from 01:00 to 02:00 there is none
        (CHICAGO, "2026-11-01T04:50", ["00:20", "00:50", "02:15"]),
        (CHICAGO, "2027-03-14T07:10", ["01:40", "03:10", "05:35"]),
    ],
)
def test_when_a_clock_rings_over_midnight_and_clock_change(zone: str, start: str, shown: list[str]) -> None:
    start_ms = round(dt.datetime.fromisoformat(start + "+00:00").timestamp() * 1000)
    reader = wording.Reader(zone=ZoneInfo(zone))
    notes = [
        {"key": "try.clock", "facts": {"due_ms": start_ms + minutes * 60_000}} for minutes in (30, 60, 205)
    ]
    table = {"try.clock": "{due_ms}"}
    assert [wording.render(note, reader=reader, table=table) for note in notes] == shown


# Two times of one zone taken from one another are 15:18 apart, by the wall; Dublin's daylight flag is -1 h in
# winter.
def test_time_elapsed_over_the_clock_change_is_not_the_walls() -> None:
    zone = ZoneInfo(DUBLIN)
    quenched, opened = (
        dt.datetime(2026, 10, 24, 17, 52, tzinfo=zone),
        dt.datetime(2026, 10, 25, 9, 10, tzinfo=zone),
    )
    assert opened - quenched == dt.timedelta(hours=15, minutes=18)  # the trap
    assert logbook.at("25 Oct 09:10:00") - logbook.at("24 Oct 17:52:00") == (16 * 60 + 18) * 60_000
    offsets = [logbook.utc_offset_min(logbook.at(day)) for day in ("24 Oct 17:52:00", "25 Oct 09:10:00")]
    assert offsets == [60, 0]
    assert (quenched.dst(), opened.dst()) == (dt.timedelta(0), dt.timedelta(hours=-1))


@pytest.mark.parametrize("folder", ["backend/temperward", "seed_data"])
def test_nothing_is_decided_by_a_daylight_flag(folder: str) -> None:
    files = sorted((Path(__file__).parents[2] / folder).rglob("*.py"))
    assert files
    assert [file.name for file in files if re.search(r"\.dst\(|tm_isdst", file.read_text("utf-8"))] == []


# 50 degF as an interval are 27.8 K: flash 190 degC is 374 degF, less fifty 324 degF, which is 162.2 degC. The
# ten that the rule's text prints in brackets is fifty read as a temperature.
def test_an_interval_never_gets_the_thirty_two() -> None:
    words = {"try.all": "{flash_c} less {margin_k} is {most_c}"}
    facts = {"flash_c": 190.0, "margin_k": bath.FLASH_MARGIN_K, "most_c": bath.highest_bath_c(190.0)}
    american = wording.Reader(fahrenheit=True)
    said = wording.render({"key": "try.all", "facts": facts}, reader=american, table=words)
    assert said == "374 °F less 50 °F is 324 °F"
    assert bath.highest_bath_c(190.0) == pytest.approx(162.2, abs=0.05)
    said = wording.render({"key": "try.all", "facts": facts}, table=words)
    assert said == "190 °C less 28 K is 162 °C"


@pytest.mark.parametrize("language", wording.languages())
def test_no_text_says_the_unit_that_the_placeholder_brings_already(language: str) -> None:
    for key, text in wording.words(language).items():
        for form in [text] if isinstance(text, str) else text.values():
            for name, after in re.findall(r"\{(\w+)\}( ?\S*)", form):
                unit = UNIT_WORDS.get(name.rpartition("_")[2])
                assert not (unit and re.match(rf" ?(?:{unit})\b", after)), f"{key}: {form}"


@pytest.mark.parametrize("language", wording.languages())
def test_a_degree_is_written_as_people_write_it(language: str) -> None:
    said = {key: str(text) for key, text in wording.words(language).items()}
    assert [key for key, text in said.items() if re.search(r"\bdeg[CF]\b", text)] == []
