"""The colours of a temper against published tables: of an hour as they stand, of minutes 50 K cooler."""

from __future__ import annotations

from typing import Any

import pytest
import readings

from temperward.engine import data_files
from temperward.engine.api import ask
from temperward.engine.metallurgy.colours import colour_band
from temperward.engine.process import torch_equal

ROWS = readings.rows("temper_colours")
HOUR_ROWS = [row for row in ROWS if row["source"] == "temperColoursTime"]
HELD_LONG = [row for row in ROWS if row["table"] == "held long"]
# The printed word for each of ours; bronze is what the tables of minutes call brown.
WORDS = {"straw": "straw", "brown": "bronze", "bronze": "bronze", "purple": "purple", "blue": "blue"}
SHORT_ROWS = [
    row for row in ROWS if row not in HOUR_ROWS + HELD_LONG and row["colour"].split(" ")[-1] in WORDS
]
# What an hour does at one heat, eight minutes do some 50 K hotter (temperColoursTime).
HOUR_COOLER_K = 50.0


def our_band(word: str) -> dict[str, Any]:
    bands = data_files.load("colours")["held_an_hour"]["bands"]
    return next(band for band in bands if band["colour"] == word)


@pytest.mark.parametrize("row", HOUR_ROWS, ids=lambda row: row["colour"])
def test_the_colour_of_an_hour_against_the_handbook_table(row: dict[str, str]) -> None:
    answer = colour_band(float(row["temperature_c"]))
    assert answer["colour"]["key"] == "colour." + WORDS[row["colour"].split(" ")[-1]]
    assert answer["basis_s"] == 3600


@pytest.mark.parametrize("row", HELD_LONG, ids=lambda row: row["colour"])
def test_a_long_hold_at_straw_heat_against_what_was_seen(row: dict[str, str]) -> None:
    at_c = float(row["temperature_c"])
    more_k = colour_band(at_c)["plus_minus_k"]
    bands = data_files.load("colours")["held_an_hour"]["bands"]
    near = [one["colour"] for one in bands if one["low_c"] - more_k <= at_c <= one["high_c"] + more_k]
    assert {"bronze", "purple"} <= set(near)


@pytest.mark.parametrize("row", SHORT_ROWS, ids=lambda row: f"{row['table']} {row['colour']}")
def test_the_colour_of_minutes_against_seven_published_tables(row: dict[str, str]) -> None:
    word = WORDS[row["colour"].split(" ")[-1]]
    in_an_hour_c = float(row["temperature_c"]) - HOUR_COOLER_K
    more_k = colour_band(in_an_hour_c)["plus_minus_k"]
    band = our_band(word)
    assert band["low_c"] - more_k <= in_an_hour_c <= band["high_c"] + more_k
    # and the tables tell straw from blue: the far end of the scale is out of the band
    far = our_band("blue" if word in ("straw", "bronze") else "straw")
    assert abs(in_an_hour_c - band["low_c"]) < abs(in_an_hour_c - far["low_c"])


# The printed words that stand for each of the colours at which a torch is stopped.
FIRST_SEEN = {
    "faint_straw": ["very pale yellow", "pale straw", "faint straw", "light yellow"],
    "light_straw": ["light straw", "straw"],
    "dark_straw": ["dark straw", "dark yellow"],
    "brown": ["brown", "yellow brown", "red brown"],
    "purple": ["purple", "light purple"],
    "dark_blue": ["dark blue", "deep blue", "blue"],
    "light_blue": ["pale blue", "light blue"],
    "grey_blue": ["grey blue", "blue tinged green", "light grey"],
}
SEEN_ROWS = [
    (ours, row)
    for ours, words in FIRST_SEEN.items()
    for row in ROWS
    if row not in HOUR_ROWS + HELD_LONG and row["colour"] in words
]


def test_each_colour_of_the_torch_has_a_table_behind_it() -> None:
    assert {ours for ours, _ in SEEN_ROWS} == set(torch_equal.colours())


@pytest.mark.parametrize(("ours", "row"), SEEN_ROWS, ids=str)
def test_a_colour_first_seen_against_seven_published_tables(ours: str, row: dict[str, str]) -> None:
    more_k = data_files.load("colours")["first_seen"]["plus_minus_k"]
    assert more_k == 25.0
    assert abs(torch_equal.colour_c(ours) - float(row["temperature_c"])) <= more_k


def test_colours_are_bands_and_only_on_plain_carbon_steel() -> None:
    plain = ask("temper_for", {"steel": "1084", "target_hrc": 60.5})["answer"]["colour"]
    assert plain["plus_minus_k"] == 50.0
    assert plain["basis_s"] == 3600
    assert ask("temper_for", {"steel": "O1", "target_hrc": 61.0})["answer"]["colour"] is None
