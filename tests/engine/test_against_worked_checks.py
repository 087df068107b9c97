"""The worked checks of reference/worked_checks.csv, each by its own id, against the engine's functions."""

from __future__ import annotations

import ast
import math
import re
from collections.abc import Callable

import pytest
import readings

from temperward.engine.api import ask
from temperward.engine.metallurgy.alloys import find, stock_of_row
from temperward.engine.metallurgy.decarb import carbon_diffusivity_high_m2_s, decarb_depth_mm
from temperward.engine.metallurgy.dissolved import iron_carbon_saturation_pct, saturation_pct
from temperward.engine.metallurgy.equivalents import equivalent_hold_s, total_hold_s
from temperward.engine.metallurgy.hardness import full_martensite_hrc
from temperward.engine.metallurgy.martensite import RETAINED_BAND, fraction_at, martensite_start_c
from temperward.engine.metallurgy.tempering_models import FIT_HIGH_C, plain_fit_hrc
from temperward.engine.shape.springback import springback_ratio
from temperward.engine.shape.straightness import minimum_zone_mm
from temperward.engine.thermal.bath import bath_rise_k

HOUR_S = 3600.0
Row = dict[str, str]


def number(row: Row) -> float:
    return float(row["expected"])


def inputs(row: Row) -> dict[str, float]:
    """Return the inputs written as name=value."""
    found = re.findall(r"(\w+) ?= ?([\d.]+)", row["inputs"])
    return {name: float(value) for name, value in found}


def martensite_start(row: Row) -> None:
    parts = {name.lower(): value for name, value in ast.literal_eval(row["inputs"]).items()}
    value = martensite_start_c(readings.alloy(parts), dissolved_pct=parts["c"])
    assert value == pytest.approx(number(row), abs=0.1)


def fraction(row: Row) -> None:
    given = inputs(row)
    assert fraction_at(given["T"], ms_c=given["Ms"]) == pytest.approx(number(row), abs=1e-4)


def rate_of_the_fraction(row: Row) -> None:
    # The engine keeps 0.011 per kelvin; what van Bohemen's rate says instead lies within the band it shows.
    parts = readings.analysis(row["inputs"])
    assert parts is not None
    alloyed = 0.14 * parts["mn"] + 0.21 * parts["si"]
    rate = 1e-3 * (27.2 - alloyed - 19.8 * (1 - math.exp(-1.56 * parts["c"])))
    assert rate == pytest.approx(number(row), abs=1e-5)
    ms_c = martensite_start_c(readings.alloy(parts), dissolved_pct=parts["c"])
    for at_c, within in [(20.0, RETAINED_BAND), (65.0, RETAINED_BAND), (140.0, 0.06)]:
        other = 1 - math.exp(-rate * (ms_c - at_c))
        assert fraction_at(at_c, ms_c=ms_c) == pytest.approx(other, abs=within)
        facts = {"composition": parts, "austenitise_c": 810.0, "to_c": at_c}
        left = ask("transformation_temperatures", facts)["answer"]["retained_austenite"]
        assert left["low"] <= 100 * (1 - other) <= left["high"]


def full_martensite(row: Row) -> None:
    assert full_martensite_hrc(inputs(row)["C"]) == pytest.approx(number(row), abs=0.1)


def curve_beyond_its_range(row: Row) -> None:
    naive = float(re.findall(r"give ([\d.]+)", row["expected"])[0])
    assert full_martensite_hrc(inputs(row)["C"]) > naive + 5


def plain_temper(row: Row) -> None:
    given = inputs(row)
    value = plain_fit_hrc(given["T"], hold_s=given["t"] * HOUR_S, carbon_pct=given["C"])
    assert value == pytest.approx(number(row), abs=2.5)
    heats = [{"temperature_c": given["T"], "hold_s": given["t"] * HOUR_S}]
    answer = ask("tempered_hardness", {"composition": {"c": given["C"]}, "heats": heats})
    if given["T"] > FIT_HIGH_C:
        assert answer["error"]["high"] == FIT_HIGH_C
    else:
        assert answer["answer"]["hrc"]["value"] == pytest.approx(
            value, abs=2.0
        )  # no harder than from the bath


def equal_hold(row: Row) -> None:
    hours, from_c, at_c, constant = [float(part) for part in re.findall(r"\d+", row["inputs"])]
    hold_s = equivalent_hold_s(from_c, hold_s=hours * HOUR_S, at_c=at_c, constant=constant)
    assert hold_s / HOUR_S == pytest.approx(number(row), rel=0.005)


def ramp(row: Row) -> None:
    heats = [{"from_c": 25.0, "temperature_c": 200.0, "hold_s": 17.5 * 60.0}]
    hold = ask("temper_equivalent", {"heats": heats, "at_c": 200.0})["answer"]["hold"]
    assert hold["value"] / 60 == pytest.approx(number(row), abs=0.05)


def two_single_hours(_: Row) -> None:
    assert total_hold_s([[200.0, HOUR_S]] * 2, at_c=200.0, constant=17.0) == pytest.approx(2 * HOUR_S)


def springs_back(row: Row) -> None:
    given = inputs(row)
    ratio = springback_ratio(bend_radius_mm=given["Ri"], yield_mpa=given["sy"], thickness_mm=given["t"])
    assert given["Ri"] / ratio == pytest.approx(number(row), abs=0.5)


def straightness(row: Row) -> None:
    lists = [ast.literal_eval(part) for part in re.findall(r"\[[^]]*\]", row["inputs"])]
    points = [[float(x), y] for x, y in zip(*lists, strict=True)]
    assert minimum_zone_mm(points) == pytest.approx(number(row), abs=1e-3)


def diffusivity(row: Row) -> None:
    given = inputs(row)
    value = carbon_diffusivity_high_m2_s(given["T"], carbon_pct=given["C"])
    assert value == pytest.approx(number(row), rel=0.01)


def lost_skin(row: Row) -> None:
    # The row takes the middle of the published constants: above the engine's own, within its spread of 2.3.
    low = decarb_depth_mm([[850.0, 600.0]])
    assert low <= number(row) <= low * 2.3**0.5


def bath(row: Row) -> None:
    # 8.3 lb/gal is the density of water, 0.87 kg/L that of oil: the rise goes with the inverse.
    rise_k = bath_rise_k(steel_kg=0.4536, steel_c=865.0, bath_c=50.0, litres=3.785 * 0.995 / 0.87)
    assert rise_k == pytest.approx(number(row), abs=4)


def dissolved_at_equilibrium(row: Row) -> None:
    steel, at_c = re.findall(r"(\d+) at (\d+) C", row["inputs"])[0]
    steel_row = find(steel)
    stock = stock_of_row(steel_row)
    value = saturation_pct(float(at_c), alloy=stock.nominal, row=steel_row)
    assert value == pytest.approx(number(row), abs=float(row["tolerance"].lstrip("+-")))
    answer = ask("transformation_temperatures", {"steel": steel, "austenitise_c": float(at_c)})["answer"]
    assert answer["dissolved_carbon_pct"]["value"] <= value + 1e-9  # a short soak dissolves no more


def iron_carbon_line(row: Row) -> None:
    at = [float(part) for part in re.findall(r"\d+", row["inputs"])]
    carbon = [float(part) for part in row["expected"].split("/")]
    assert [iron_carbon_saturation_pct(t) for t in at] == pytest.approx(carbon, abs=0.03)


def bainite_formula(row: Row) -> None:
    # It would let 1084 harden at about 1 K/s; plates cool 4 mm at some 30 K/s, and it stays pearlite.
    answer = ask("will_it_harden", {"steel": row["inputs"], "thickness_mm": 4.0, "medium": "plates"})[
        "answer"
    ]
    assert answer["verdict"]["key"] == "verdict.no"
    assert answer["places"][0]["centre"]["martensite"]["value"] < 5


CHECKS: list[tuple[str, Callable[[Row], None]]] = [
    ("Ms-", martensite_start),
    ("KM-1", fraction),
    ("KM-2", fraction),
    ("KM-3", rate_of_the_fraction),
    ("A255-HM", full_martensite),
    ("A255-guard", curve_beyond_its_range),
    ("TEMP-", plain_temper),
    ("HJ-eq", equal_hold),
    ("HJ-ramp", ramp),
    ("HJ-double", two_single_hours),
    ("SPRING-", springs_back),
    ("STR-", straightness),
    ("DIFF-", diffusivity),
    ("DECARB-", lost_skin),
    ("BATH-", bath),
    ("AE-", dissolved_at_equilibrium),
    ("ACM-", iron_carbon_line),
    ("MAY-guard", bainite_formula),
]
ROWS = [
    row for row in readings.rows("worked_checks") if row["id"].startswith(tuple(name for name, _ in CHECKS))
]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["id"])
def test_the_engine_against_a_worked_check(row: Row) -> None:
    next(check for name, check in CHECKS if row["id"].startswith(name))(row)
