"""Every published row of tempered hardness: how far the engine may miss it, or why it is refused.

Rows and their sources: reference/tempered_hardness.csv. What a row may be missed by is said for its family,
and single rows beyond it by name with the reason.
"""

from __future__ import annotations

import math
from typing import Any

import model_errors
import numpy as np
import pytest
import readings

from temperward.engine.api import ask
from temperward.engine.metallurgy.alloys import find
from temperward.engine.metallurgy.tempering_models import (
    FIT_HIGH_C,
    FIT_LEAST_CARBON_PCT,
    FIT_LOW_C,
    table_of,
)

ROWS = readings.rows("tempered_hardness")
# Least and most HRC that the engine may say above the printed value. Plain steels as the fit was asked to be;
# the others as wide as their sources disagree (penha2010 tempers 5160 four points softer than trade5160, and
# chromium steels held for seconds over 320 degC keep up to nine points more than a table of hours says).
MAY_MISS_HRC = {
    "plain carbon": (-2.5, 2.5),
    "plain carbon, under 10 min": (-2.5, 2.5),
    "0.25 %Mo": (-2.0, 2.0),
    "1045": (-2.5, 2.5),
    "1095": (-2.0, 2.0),
    "5160": (-1.5, 8.5),
    "5160, under 10 min": (-3.0, 1.0),
    "52100": (-1.5, 3.5),
    "52100, over 320 degC": (-7.0, 2.0),
    "52100, under 10 min": (-3.0, 1.5),
    "52100, under 10 min, over 320 degC": (-9.0, 0.0),
    "6150": (-4.5, 4.0),
    "6150, over 320 degC": (0.0, 5.5),
    "6150, under 10 min": (-4.5, 0.0),
    "6150, under 10 min, over 320 degC": (-7.0, 0.0),
    "9260": (-3.5, 1.0),
    "9260, over 320 degC": (-4.0, 1.0),
    "L6": (-1.0, 1.0),
    "L6, over 320 degC": (-1.0, 1.0),
    "O1": (-1.0, 1.0),
    "O1, over 320 degC": (-1.0, 1.5),
}
# Rows beyond their family's limits, each kind with its reason; none of them is missed by six points.
EXPLAINED = [
    # The fit's 1.94 HRC for ten times as long is of minutes and hours: over seconds at heat steel loses less,
    # so the fit reads soft there, which is the careful side after a torch.
    {
        "hold_s": ["10"],
        "temper_c": ["250.0", "300.0"],
        "steel": ["0.56C", "0.74C", "0.89C", "0.98C", "1.15C"],
    },
    # The corners of the fit in carbon, where its term is held level from 0.95 %.
    {"hold_s": ["10"], "temper_c": ["150.0"], "steel": ["1.15C"]},
    {"hold_s": ["86400"], "temper_c": ["300.0"], "steel": ["1.15C"]},
]
EXPLAINED_MOST_HRC = 6.0


def has_table(row: dict[str, str]) -> bool:
    steel = model_errors.NAMED.get(row["steel"])
    return steel is not None and table_of(find(steel)) is not None


def is_explained(row: dict[str, str]) -> bool:
    return any(all(row[name] in values for name, values in kind.items()) for kind in EXPLAINED)


def field_outside(row: dict[str, str]) -> str | None:
    """Return the field by which a row lies outside the models, by the limits they state; else nothing."""
    temperature_c = float(row["temper_c"])
    if temperature_c > 700.0:
        return "heats.temperature_c"
    if float(row["c"] or 1.0) < 0.40 or (not has_table(row) and float(row["c"]) < FIT_LEAST_CARBON_PCT):
        return "composition.c"
    return None if FIT_LOW_C <= temperature_c <= FIT_HIGH_C else "heats.temperature_c"


def label(row: dict[str, str]) -> str:
    return f"{row['steel']} {row['temper_c']} degC {row['hold_s'] or '?'} s {row['source']}"


def asked(row: dict[str, str]) -> dict[str, Any]:
    return ask("tempered_hardness", model_errors.tempering_facts(row))


@pytest.mark.parametrize("row", [row for row in ROWS if "answer" in asked(row)], ids=label)
def test_a_row_of_tempered_hardness_against_its_publication(row: dict[str, str]) -> None:
    assert has_table(row) or field_outside(row) is None
    hrc = asked(row)["answer"]["hrc"]
    if row["hrc"].startswith(">="):
        assert hrc["value"] >= float(row["hrc"].removeprefix(">="))
        return
    missed = hrc["value"] - readings.hardness(row["hrc"])
    low, high = MAY_MISS_HRC[model_errors.tempering_family(row)]
    if is_explained(row):
        low, high = -EXPLAINED_MOST_HRC, EXPLAINED_MOST_HRC
    assert low <= missed <= high


@pytest.mark.parametrize("row", [row for row in ROWS if "error" in asked(row)], ids=label)
def test_a_row_that_is_refused_lies_outside_the_models(row: dict[str, str]) -> None:
    error = asked(row)["error"]
    assert error["low"] < error["high"]
    if has_table(row):
        # A table is read at the one temperature that tempers as much in its own hold: seconds at 150 degC
        # come out colder than 100, hours at 500 hotter than its end.
        assert error["field"] == "heats.temperature_c"
        assert float(row["temper_c"]) >= 500.0 or float(row["temper_c"]) <= 150.0
    else:
        assert error["field"] == field_outside(row)


def test_most_rows_of_steels_within_the_models_are_answered() -> None:
    answered = [row for row in ROWS if "answer" in asked(row)]
    assert len(answered) > 330
    assert {model_errors.tempering_family(row) for row in answered} == set(MAY_MISS_HRC)


@pytest.mark.parametrize("kind", EXPLAINED, ids=str)
def test_every_kind_of_explained_row_is_still_needed(kind: dict[str, list[str]]) -> None:
    rows = [row for row in ROWS if all(row[name] in values for name, values in kind.items())]
    missed = [abs(asked(row)["answer"]["hrc"]["value"] - readings.hardness(row["hrc"])) for row in rows]
    assert max(missed) > 2.5


@pytest.mark.parametrize("row", [row for row in ROWS if row["steel"] == "9264"], ids=label)
def test_silicon_steel_is_not_put_on_the_plain_fit(row: dict[str, str]) -> None:
    parts = {name: float(row[name]) for name in ("c", "mn", "si", "cr", "ni", "mo", "v")}
    heats = [{"temperature_c": min(float(row["temper_c"]), 320.0), "hold_s": 3600.0}]
    error = ask("tempered_hardness", {"composition": parts, "heats": heats})["error"]
    assert (error["field"], error["reason"]) == ("composition.si", "refusal.silicon_temper")


# One curve of Hollomon and Jaffe with constant 20 for all carbon, made on these rows, misses them by 1.6 to
# 2.0 HRC rms; and where a fit may not go it is refused rather than carried on.
def test_one_curve_with_a_constant_of_twenty_against_the_fit_in_use() -> None:
    rows = [
        row for row in ROWS if "answer" in asked(row) and model_errors.tempering_family(row) == "plain carbon"
    ]
    parameter = np.array(
        [(float(r["temper_c"]) + 273.15) * (20 + math.log10(float(r["hold_s"]) / 3600)) / 1000 for r in rows]
    )
    printed = np.array([readings.hardness(row["hrc"]) for row in rows])
    curve = np.polynomial.Polynomial.fit(parameter, printed, 2)
    naive = float(np.sqrt(np.mean((curve(parameter) - printed) ** 2)))
    ours = np.array([asked(row)["answer"]["hrc"]["value"] for row in rows])
    assert float(np.sqrt(np.mean((ours - printed) ** 2))) < 0.75 * naive


# The table of W1 is a curve reading from memory: plain carbon steel of 0.98 %C is the steel of it.
@pytest.mark.parametrize(
    "row",
    [row for row in ROWS if row["steel"] == "0.98C" and float(row["hold_s"]) >= 600.0],
    ids=label,
)
def test_the_table_of_w1_against_hollomon_and_jaffe(row: dict[str, str]) -> None:
    heats = [{"temperature_c": float(row["temper_c"]), "hold_s": float(row["hold_s"])}]
    answer = ask("tempered_hardness", {"steel": "W1", "heats": heats})
    if "error" in answer:
        assert float(row["temper_c"]) >= 400.0 or float(row["hold_s"]) < 3600.0
        return
    hrc = answer["answer"]["hrc"]
    assert hrc["low"] <= float(row["hrc"]) <= hrc["high"]
    assert hrc["value"] == pytest.approx(float(row["hrc"]), abs=2.0)
