"""Notes become sentences in a person's units; the phone's renderer is held to the same cases."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from temperward import wording

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


@pytest.mark.parametrize("language", wording.languages())
def test_no_text_says_the_unit_that_the_placeholder_brings_already(language: str) -> None:
    for key, text in wording.words(language).items():
        for form in [text] if isinstance(text, str) else text.values():
            for name, after in re.findall(r"\{(\w+)\}( ?\S*)", form):
                unit = UNIT_WORDS.get(name.rpartition("_")[2])
                assert not (unit and re.match(rf" ?(?:{unit})\b", after)), f"{key}: {form}"
