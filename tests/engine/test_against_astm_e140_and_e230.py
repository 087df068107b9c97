"""Hardness in other scales against ASTM E140, thermocouples against ASTM E230 and IEC 60584."""

from __future__ import annotations

import pytest
import readings

from temperward.engine.api import ask


@pytest.mark.parametrize("row", readings.rows("hardness_scales"), ids=lambda row: row["hrc"])
def test_other_scales_against_astm_e140(row: dict[str, str]) -> None:
    answer = ask("hardness_scales", {"hrc": float(row["hrc"])})["answer"]
    assert answer["hv"]["value"] == pytest.approx(float(row["hv"]))
    if row["hbw"]:
        assert answer["hbw"]["value"] == pytest.approx(float(row["hbw"]))
        assert answer["hbw"]["low"] <= float(row["hbw"]) <= answer["hbw"]["high"]
    else:
        assert answer["hbw"] is None


# A published open table prints 613 HB beside 60 HRC: forty off, the Vickers figure of 56.
def test_brinell_at_sixty_against_astm_e140_not_a_wrong_open_table() -> None:
    answer = ask("hardness_scales", {"hrc": 60})["answer"]
    assert answer["hbw"]["value"] == 654
    assert answer["hbw"]["low"] > 613


@pytest.mark.parametrize(("hrc", "least_mm"), [(60, 0.8), (40, 1.2)])
def test_thin_pieces_read_low_against_the_rule_of_the_test_standards(hrc: float, least_mm: float) -> None:
    assert ask("hardness_scales", {"hrc": hrc})["answer"]["least_thickness_mm"] == pytest.approx(least_mm)


@pytest.mark.parametrize(
    "row", readings.rows("thermocouples"), ids=lambda row: row["kind"] + " " + row["grade"]
)
def test_thermocouples_against_astm_e230(row: dict[str, str]) -> None:
    least, share = float(row["least_k"]), float(row["share_pct"]) / 100
    couple = {"kind": row["kind"], "grade": row["grade"]}
    asked = [900.0, 1500.0] if row["kind"] == "B" else [100.0, 293.0, 350.0]
    for temperature_c in asked:
        found = ask("thermocouple_tolerance", {"temperature_c": temperature_c, **couple})["answer"]
        assert found["tolerance"]["value"] == pytest.approx(max(least, share * temperature_c))


# As tabulated by two suppliers (astmE230)
@pytest.mark.parametrize(
    ("temperature_c", "standard_k", "special_k"),
    [(200, 2.20, 1.10), (760, 5.70, 3.04), (800, 6.00, 3.20), (850, 6.375, 3.40)],
)
def test_type_k_against_astm_e230(temperature_c: float, standard_k: float, special_k: float) -> None:
    for grade, least_k in [("standard", standard_k), ("special", special_k)]:
        facts = {"temperature_c": temperature_c, "grade": grade}
        found = ask("thermocouple_tolerance", facts)["answer"]["tolerance"]["value"]
        assert found == pytest.approx(least_k, abs=1e-9)
