"""Every number in the data files names its source, every source is spelled out, every key has its words."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest

from temperward.engine import data_files

ENGINE = Path(data_files.__file__).parent
SOURCES = data_files.load("sources")
FILES = ["steels", "media", "tempering", "colours", "kinetics", "hardness_scales"]
WORDS = json.loads((ENGINE / "data" / "words" / "en" / "numbers.json").read_text(encoding="utf-8"))
OURS = ["metallurgy", "thermal", "shape", "look_back"]


def source_lists(value: Any, *, inside: bool = False) -> list[list[str]]:
    """Return every list of source ids, and every list in a table of sources by group."""
    if isinstance(value, dict):
        found = []
        for name, part in value.items():
            found += source_lists(part, inside=inside or name == "sources")
        return found
    if isinstance(value, list):
        if inside and all(isinstance(part, str) for part in value):
            return [value]
        return [one for part in value for one in source_lists(part, inside=inside)]
    return []


@pytest.mark.parametrize("name", FILES)
def test_every_source_is_spelled_out(name: str) -> None:
    lists = source_lists(data_files.load(name))
    assert lists
    for ids in lists:
        assert ids
        assert set(ids) <= set(SOURCES)


def test_every_source_says_how_it_is_known() -> None:
    for source in SOURCES.values():
        assert source["title"]
        assert source["verified"] in ("read", "memory", "practice", "entered")


@pytest.mark.parametrize("row", data_files.load("steels")["steels"], ids=lambda row: row["designation"])
def test_every_steel_names_the_source_of_every_group(row: dict[str, Any]) -> None:
    groups = {"composition", "austenitise", "aim", "soak", "normalise", "temper", "as_quenched", "magnet_off"}
    assert groups <= set(row["sources"])
    assert row["austenitise_low_c"] <= row["aim_c"] <= row["austenitise_high_c"]
    assert row["as_quenched_low_hrc"] <= row["as_quenched_high_hrc"]
    for element in row["composition"].values():
        assert element["low"] <= element["nominal"] <= element["high"]


@pytest.mark.parametrize(
    ("steel", "aim_c"),
    [
        ("1045", 840),
        ("1055", 830),
        ("1075", 810),
        ("1084", 810),
        ("1095", 800),
        ("W1", 780),
        ("O1", 800),
        ("5160", 830),
        ("6150", 855),
        ("9260", 870),
        ("52100", 830),
        ("80CrV2", 830),
        ("75Ni8", 805),
        ("L6", 820),
    ],
)
def test_the_aims(steel: str, aim_c: int) -> None:
    rows = [row for row in data_files.load("steels")["steels"] if row["designation"] == steel]
    assert [row["aim_c"] for row in rows] == [aim_c]


def keys_in_code() -> set[str]:
    """Return the word keys that the numbers' code can give."""
    found: set[str] = set()
    for folder in OURS:
        for file in (ENGINE / folder).glob("*.py"):
            text = file.read_text(encoding="utf-8")
            found |= set(re.findall(r'"((?:note|warning|refusal|verdict)\.[a-z0-9_]+)"', text))
    found |= {"medium." + row["id"] for row in data_files.load("media")["media"]}
    found |= {row["reason"] for row in data_files.load("steels")["refused"]}
    found |= {"colour." + band["colour"] for band in data_files.load("colours")["held_an_hour"]["bands"]}
    return found | {"verdict." + word for word in ("hardens", "likely", "doubtful", "no")}


def test_every_key_has_its_words() -> None:
    assert keys_in_code() - set(WORDS) == set()


def test_every_source_named_in_a_formulas_docstring_is_spelled_out() -> None:
    for folder in OURS:
        for file in (ENGINE / folder).glob("*.py"):
            for line in re.findall(
                r"Reference: ([\w, ]+)\.?$", file.read_text(encoding="utf-8"), re.MULTILINE
            ):
                for name in line.split(","):
                    assert name.strip() in SOURCES, (file.name, line)
