"""Hardness out of the bath and ideal diameters against ASTM A255 and measured rows.

Sources beside the rows of as_quenched_hardness.csv, ideal_diameters.csv and critical_plates.csv.
"""

from __future__ import annotations

import re
from typing import Any

import pytest
import readings

from temperward.engine import data_files
from temperward.engine.api import ask
from temperward.engine.metallurgy.alloys import Alloy
from temperward.engine.metallurgy.hardenability import (
    carbon_factor_inch,
    half_temperature_time,
    ideal_diameter_inch,
    manganese_factor,
    nickel_factor,
    plate_mm,
)
from temperward.engine.metallurgy.hardness import full_martensite_hrc, half_martensite_hrc, mixed_hrc

ROWS = readings.rows("as_quenched_hardness")


@pytest.mark.parametrize(
    "row", [row for row in ROWS if row["kind"] == "polynomial"], ids=lambda row: row["c"]
)
def test_full_martensite_against_the_standards_curve(row: dict[str, str]) -> None:
    assert full_martensite_hrc(float(row["c"])) == pytest.approx(float(row["hrc"]), abs=0.06)


@pytest.mark.parametrize("row", [row for row in ROWS if row["kind"] == "trap"], ids=lambda row: row["c"])
def test_the_curve_is_not_carried_on_beyond_its_range(row: dict[str, str]) -> None:
    value = full_martensite_hrc(float(row["c"]))
    assert value > float(row["hrc"]) + 0.3
    assert value == pytest.approx(full_martensite_hrc(0.69))


@pytest.mark.parametrize(
    "row",
    [row for row in ROWS if row["kind"] == "measured" and 0.5 < float(row["c"]) < 1.2],
    ids=lambda row: row["c"],
)
def test_full_martensite_against_hollomon_and_jaffe(row: dict[str, str]) -> None:
    assert full_martensite_hrc(float(row["c"])) == pytest.approx(float(row["hrc"]), abs=1.5)


@pytest.mark.parametrize(
    "row", [row for row in ROWS if row["kind"].startswith("measured ")], ids=lambda r: r["kind"]
)
def test_named_steels_against_penha(row: dict[str, str]) -> None:
    hrc = ask("as_quenched_hardness", {"steel": row["kind"].split(" ")[1]})["answer"]["hrc"]
    assert hrc["low"] <= float(row["hrc"]) <= hrc["high"]


# What each sheet is of, asked of the engine; 55Cr3 and 56Si7 have no row of their own, so by analysis.
SHEETS: dict[str, dict[str, Any]] = {
    "C67S": {"steel": "1070"},
    "C75S": {"steel": "1075"},
    "5160": {"steel": "5160"},
    "52100": {"steel": "52100"},
    "102Cr6": {"steel": "52100"},
    "1095": {"steel": "1095"},
    "O1": {"steel": "O1"},
    "L6": {"steel": "L6"},
    "55Cr3": {"composition": {"c": 0.57, "si": 0.30, "mn": 0.85, "cr": 0.80}, "austenitise_c": 845.0},
    "56Si7": {"composition": {"c": 0.56, "si": 1.80, "mn": 0.75}, "austenitise_c": 855.0},
}


@pytest.mark.parametrize(
    "row",
    [
        row
        for row in ROWS
        if row["kind"].removeprefix("sheet ") in SHEETS and row["kind"].startswith("sheet ")
    ],
    ids=lambda row: row["kind"],
)
def test_steels_against_their_sheets(row: dict[str, str]) -> None:
    hrc = ask("as_quenched_hardness", SHEETS[row["kind"].removeprefix("sheet ")])["answer"]["hrc"]
    ends = [float(part) for part in re.findall(r"[\d.]+", row["hrc"])]
    if row["hrc"].startswith(">="):
        assert hrc["low"] >= ends[0]
    elif row["hrc"].startswith("up to"):
        assert hrc["value"] <= ends[0] <= hrc["high"]
    else:
        assert hrc["low"] <= ends[0] <= ends[-1] <= hrc["high"]


# Even 0.42 %C is 57 HRC hard when all of it is martensite: 54 is a bar that did not harden through (its other
# sheet: a layer of 3-5 mm, through to 15 mm at most), as the engine says of 10 mm in water.
@pytest.mark.parametrize(
    "row", [row for row in ROWS if row["kind"] == "sheet C45U"], ids=lambda row: row["kind"]
)
def test_c45u_against_its_sheet_is_a_bar_not_hard_through(row: dict[str, str]) -> None:
    assert full_martensite_hrc(0.42) > float(row["hrc"]) + 2.5
    facts = {"steel": "1045", "thickness_mm": 10.0, "medium": "water"}
    centre = ask("will_it_harden", facts)["answer"]["places"][0]["centre"]["hrc"]
    assert centre["low"] <= float(row["hrc"]) <= centre["high"]


def test_full_martensite_never_exceeds_sixty_six() -> None:
    for carbon in range(40, 111):
        assert full_martensite_hrc(carbon / 100) < 66.0


@pytest.mark.parametrize(("carbon", "hrc"), [(0.40, 42.4), (0.50, 46.8), (0.60, 50.7), (0.69, 53.0)])
def test_half_martensite_against_the_standards_curve_from_memory(carbon: float, hrc: float) -> None:
    assert half_martensite_hrc(carbon) == pytest.approx(hrc, abs=0.1)


def test_half_martensite_is_not_carried_on_beyond_its_range() -> None:
    for carbon in (0.75, 0.90, 1.0):  # the printed curve falls to 8.5 at 1.0
        assert half_martensite_hrc(carbon) == half_martensite_hrc(0.69)


# Mean hardness by martensite in per cent (hodgeOrehoski1946, from memory), scattering by two points.
@pytest.mark.parametrize(
    ("carbon", "hrc"),
    [
        (0.38, {99.9: 54, 95: 51, 90: 49, 80: 46, 50: 42}),
        (0.43, {99.9: 57, 95: 53.5, 90: 51, 80: 48, 50: 44}),
    ],
)
def test_part_martensite_against_hodge_and_orehoski(carbon: float, hrc: dict[float, float]) -> None:
    found = {percent: mixed_hrc(carbon, martensite_fraction=percent / 100.0) for percent in hrc}
    assert found == pytest.approx(hrc, abs=2.7)


# At 0.60 %C: 64.57 all martensite, 50.72 half (astmA255), five lost at nine tenths (hodgeOrehoski1946), 34
# none (fine pearlite, from memory); straight pieces between, worked by hand.
@pytest.mark.parametrize(
    ("fraction", "hrc"),
    [(1.0, 64.57), (0.95, 62.07), (0.9, 59.57), (0.7, 55.14), (0.5, 50.72), (0.25, 42.36), (0.0, 34.0)],
)
def test_part_martensite_of_blade_carbon_worked_by_hand(fraction: float, hrc: float) -> None:
    assert mixed_hrc(0.60, martensite_fraction=fraction) == pytest.approx(hrc, abs=0.02)


@pytest.mark.parametrize(
    ("steel", "file_hrc"),
    [
        ("1084", 62),
        ("1095", 62),
        ("80CrV2", 62),
        ("O1", 62),
        ("52100", 62),
        ("W1", 62),
        ("1055", 58),
        ("5160", 55),
        ("1045", 50),
    ],
)
def test_the_file_that_must_not_cut_against_sae_j864(steel: str, file_hrc: int) -> None:
    assert ask("as_quenched_hardness", {"steel": steel})["answer"]["file_that_must_not_cut"] == file_hrc


def test_an_ideal_diameter_against_astm_a255() -> None:
    example = Alloy(c_pct=0.22, mn_pct=0.80, si_pct=0.18, ni_pct=0.10, cr_pct=0.43, mo_pct=0.25, v_pct=0.05)
    assert carbon_factor_inch(0.22) == pytest.approx(0.119, abs=0.003)
    assert manganese_factor(0.80) == pytest.approx(3.667, abs=0.003)
    assert nickel_factor(0.10) == pytest.approx(1.036, abs=0.003)
    assert ideal_diameter_inch(example, cu_pct=0.10) == pytest.approx(1.95, abs=0.02)
    assert ideal_diameter_inch(example, cu_pct=0.10) == pytest.approx(1.9321, abs=0.001)


# The worked example's own factors, each as what its element makes of the diameter; copper's and vanadium's
# are printed to a hundredth.
@pytest.mark.parametrize(
    ("element", "share_pct", "factor"),
    [
        ("mn", 0.80, 3.667),
        ("si", 0.18, 1.126),
        ("ni", 0.10, 1.036),
        ("cr", 0.43, 1.929),
        ("mo", 0.25, 1.75),
        ("cu", 0.10, 1.04),
        ("v", 0.05, 1.09),
    ],
)
def test_each_factor_of_an_example_against_astm_a255(element: str, share_pct: float, factor: float) -> None:
    plain = {"c_pct": 0.22}
    if element == "cu":
        with_it = ideal_diameter_inch(Alloy(**plain), cu_pct=share_pct)
    else:
        with_it = ideal_diameter_inch(Alloy(**plain, **{element + "_pct": share_pct}))
    assert with_it / ideal_diameter_inch(Alloy(**plain)) == pytest.approx(
        factor, abs=0.004 if element in ("cu", "v") else 0.003
    )


@pytest.mark.parametrize(
    ("carbon", "below", "above"),
    [(0.39, 0.2106, 0.2117), (0.55, 0.2517, 0.2509), (0.65, 0.2731, 0.2730), (0.75, 0.2930, 0.2928)],
)
def test_the_steps_of_the_carbon_factor_against_astm_a255(carbon: float, below: float, above: float) -> None:
    assert carbon_factor_inch(carbon) == pytest.approx(below, abs=1e-4)
    assert carbon_factor_inch(carbon + 1e-9) == pytest.approx(above, abs=1e-4)


def test_the_end_of_the_carbon_factor_against_astm_a255() -> None:
    assert carbon_factor_inch(1.05) == carbon_factor_inch(0.90) == pytest.approx(0.3208, abs=1e-3)


@pytest.mark.parametrize("row", readings.rows("ideal_diameters"), ids=lambda row: row["steel"])
def test_ideal_diameters_of_named_steels_against_astm_a255(row: dict[str, str]) -> None:
    parts = {name: float(row[name]) for name in ("c", "mn", "si", "ni", "cr", "mo", "v")}
    assert 25.4 * ideal_diameter_inch(readings.alloy(parts)) == pytest.approx(
        float(row["diameter_mm"]), abs=0.2
    )


@pytest.mark.parametrize(
    "row",
    readings.rows("critical_plates"),
    ids=lambda row: f"{row['ideal_diameter_inch']} in, H {row['severity_per_inch']}",
)
def test_critical_plates_against_the_exact_series(row: dict[str, str]) -> None:
    plate = plate_mm(
        25.4 * float(row["ideal_diameter_inch"]), severity_per_inch=float(row["severity_per_inch"])
    )
    assert plate / 25.4 == pytest.approx(float(row["plate_inch"]), abs=0.002, rel=0.005)


def test_plate_to_round_against_the_exact_series() -> None:
    assert half_temperature_time(1e6) == pytest.approx(0.3788, abs=1e-4)
    assert (0.2007 / half_temperature_time(1e6)) ** 0.5 == pytest.approx(0.728, abs=0.002)


@pytest.mark.parametrize("row", data_files.load("steels")["steels"], ids=lambda row: row["designation"])
@pytest.mark.parametrize("fraction", [1.0, 0.9, 0.5])
def test_no_steel_is_harder_than_a_point_above_its_published_range(
    row: dict[str, Any], fraction: float
) -> None:
    facts = {"steel": row["designation"], "martensite_fraction": fraction}
    hrc = ask("as_quenched_hardness", facts)["answer"]["hrc"]
    assert hrc["low"] < hrc["value"] <= hrc["high"] <= min(67.0, row["as_quenched_high_hrc"] + 1.0)


@pytest.mark.parametrize("carbon_pct", [0.5, 0.8, 1.1])
def test_no_analysis_is_harder_than_sixty_seven(carbon_pct: float) -> None:
    facts = {"composition": {"c": carbon_pct, "mn": 0.5}, "austenitise_c": 850}
    hrc = ask("as_quenched_hardness", facts)["answer"]["hrc"]
    assert hrc["low"] < hrc["value"] <= hrc["high"] <= 67.0
