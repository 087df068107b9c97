"""The table of known faults names tests that exist."""

from __future__ import annotations

import re
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
TABLE = (ROOT / "backend" / "docs" / "known_faults.md").read_text("utf-8")
# The kinds of the list that the table answers, by the numbers they have there; those between were struck out.
KINDS = (
    *range(1, 9), *range(11, 23), *range(25, 29), *range(30, 37), 38, 39,
    *range(41, 49), 50, 51, 53, 54, 55, 56, 57, 59, 61, 63, 64,
)  # fmt: skip
PHONE_FILE = r"(?:store|sync|actions|ui|state|alarms)/[\w/.]+\.tsx?"


def test_every_test_of_the_server_that_the_table_names_is_there() -> None:
    named = re.findall(r"`(tests/[\w/]+\.py)(?:::(\w+))?`", TABLE)
    assert len(named) > 20
    missing = [
        (file, name)
        for file, name in named
        if not (ROOT / file).exists() or (name and f"def {name}(" not in (ROOT / file).read_text("utf-8"))
    ]
    assert missing == []


def test_every_test_of_the_phone_that_the_table_names_is_there() -> None:
    rows = [line for line in TABLE.splitlines() if line.startswith("|")]
    missing = []
    for row in rows:
        files = re.findall(PHONE_FILE, row)
        texts = [(ROOT / "pwa" / "src" / file).read_text("utf-8") for file in files]
        quoted = re.findall(r'(?:: |`)"([^"]+)"`', row)
        assert all(files for _ in quoted), row
        missing += [name for name in quoted if not any(f'"{name}"' in text for text in texts)]
    assert missing == []


def test_every_kind_of_the_list_has_a_row_and_every_row_a_test_or_a_reason() -> None:
    rows = [line.split("|") for line in TABLE.splitlines() if re.match(r"\| \d", line)]
    numbers = [int(number) for row in rows for number in row[1].split(",")]
    assert numbers == list(KINDS)
    assert [row[1] for row in rows if len(row[4].strip()) < 20] == []
