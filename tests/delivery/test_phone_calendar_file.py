"""The calendar file that the phone makes with no network, read back by an independent parser."""

from __future__ import annotations

import datetime as dt
import json
import subprocess
import sys
from pathlib import Path

import icalendar
import pytest

PWA = Path(__file__).parents[2] / "pwa"
NODE = Path(sys.executable).with_name("node")
DUE = dt.datetime(2026, 3, 29, 0, 30, 15, tzinfo=dt.UTC)
PROGRAM = """
import { calendarText } from "./src/alarms/calendar.ts";
let event = "";
for await (const part of process.stdin) event += part;
process.stdout.write(calendarText([JSON.parse(event)]));
"""


def made_by_the_phone(*, title: str, text: str) -> bytes:
    """Return the file's bytes, written by the phone's own code."""
    event = {
        "uid": "brittle-1@temperward",
        "due_ms": int(DUE.timestamp() * 1000),
        "made_ms": int(DUE.timestamp() * 1000) - 3_600_000,
        "title": title,
        "text": text,
    }
    done = subprocess.run(
        [NODE, "--input-type=module", "--eval", PROGRAM],
        cwd=PWA,
        input=json.dumps(event).encode(),
        capture_output=True,
        check=True,
        timeout=60,
    )
    return done.stdout


@pytest.mark.parametrize(
    ("title", "text"),
    [
        ("QF-103: temper it now", "Hard since 23:30."),
        ("Käthe's blade, no. 3; \\ again", "Two lines:\nthe oven, then the cloth"),
        ("刃" * 60, "🔥" * 70),
    ],
)
def test_the_file_says_what_was_meant(title: str, text: str) -> None:
    calendar = icalendar.Calendar.from_ical(made_by_the_phone(title=title, text=text))
    (event,) = calendar.walk("VEVENT")
    (alarm,) = event.walk("VALARM")
    assert event.decoded("dtstart") == DUE
    assert str(event["summary"]) == title
    assert str(event["description"]) == text
    assert alarm.decoded("trigger") == dt.timedelta(0)
    assert calendar["version"] == "2.0"


def test_no_line_is_longer_than_the_standard_allows() -> None:
    lines = made_by_the_phone(title="刃" * 60, text="x" * 500).split(b"\r\n")
    assert max(len(line) for line in lines) <= 75
