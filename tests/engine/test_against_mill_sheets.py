"""The hardening and normalising heats of steels against mill sheets, producers' data and practice pages.

The heats of a card are of handbooks, most of them from memory; the rows of sheet_heats.csv were read.
American handbooks normalise plain strip steel hotter than European mills do, and heat 1045 hotter than a
sheet for water.
"""

from __future__ import annotations

import pytest
import readings

from temperward.engine.api import ask

ROWS = readings.rows("sheet_heats")
STEELS = {row["designation"]: row for row in ask("steels", {})["answer"]["steels"]}
NEAR_K, HOTTER_1045_K, NORMALISED_HOTTER_K = 10.0, 20.0, 45.0


def name_of(row: dict[str, str]) -> str:
    return f"{row['steel']} as {row['sheet_of']}"


@pytest.mark.parametrize("row", ROWS, ids=name_of)
def test_the_hardening_heat_against_a_sheet(row: dict[str, str]) -> None:
    steel, low_c, high_c = STEELS[row["steel"]], float(row["harden_low_c"]), float(row["harden_high_c"])
    over_k = HOTTER_1045_K if row["steel"] == "1045" else NEAR_K
    assert low_c - NEAR_K <= steel["aim_c"] <= high_c + over_k
    assert steel["austenitise_low_c"] <= high_c
    assert steel["austenitise_high_c"] >= low_c


@pytest.mark.parametrize("row", [row for row in ROWS if row["normalise_low_c"]], ids=name_of)
def test_the_normalising_heat_against_a_sheet(row: dict[str, str]) -> None:
    heat_c = STEELS[row["steel"]]["normalise_c"]
    assert float(row["normalise_low_c"]) <= heat_c <= float(row["normalise_high_c"]) + NORMALISED_HOTTER_K
