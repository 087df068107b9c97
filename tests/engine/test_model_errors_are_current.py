"""The page of model errors is the one the engine of today makes, and no figure has become worse."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import model_errors
import pytest
from scipy.stats import binom

from temperward import wording
from temperward.engine import api, data_files
from temperward.engine.metallurgy import tempering_models

FIGURES = model_errors.figures()
RECORDED = json.loads(model_errors.RECORD.read_text(encoding="utf-8"))
# Bands that must hold their family: by the share from ten rows on, where one miss is a tenth; by chance
# of any number.
CHANCE = 0.05
LEAST_COVERAGE_PCT, LEAST_ROWS = 85, 10
# A band that holds all of many rows says too little; of thirty rows a tenth would be three.
MOST_COVERAGE_PCT, MANY_ROWS = 97, 30


def key_of(row: dict[str, Any]) -> tuple[str, str]:
    return row["model"], row["family"]


def test_the_committed_page_is_current() -> None:
    assert model_errors.PAGE.read_text(encoding="utf-8") == model_errors.page_with(FIGURES)


def test_the_figures_that_the_app_shows_are_current() -> None:
    assert model_errors.MODELS.read_text(encoding="utf-8") == model_errors.models_text(FIGURES)
    shown = {model for _, model, _ in model_errors.SHOWN if model}
    assert shown == {row["model"] for row in FIGURES}


def test_the_app_shows_every_model_of_the_page() -> None:
    table = model_errors.PAGE.read_text(encoding="utf-8").split("## The models")[1].split("## ")[0]
    rows = [line.split("|")[1].strip() for line in table.splitlines() if line.startswith("|")][2:]
    assert rows == [row for _, _, row in model_errors.SHOWN]
    words = data_files.load("words/en/app")
    for model in api.ask("models", {})["answer"]:
        assert all(words["app.model." + model["id"] + part] for part in ("", ".range", ".not"))


@pytest.mark.parametrize("row", FIGURES, ids=lambda row: f"{row['model']}, {row['family']}")
def test_each_family_stands_in_the_app_with_all_its_figures(row: dict[str, Any]) -> None:
    (model_id,) = [one for one, name, _ in model_errors.SHOWN if name == row["model"]]
    (model,) = [one for one in api.ask("models", {})["answer"] if one["id"] == model_id]
    named = model_errors.family_text(row["family"])
    (text,) = [one["text"] for one in model["errors"] if one["family"] == named]
    assert wording.render(named).replace("°C", "degC") == row["family"]
    said = wording.render(text)
    assert "{" not in said
    assert "?" not in said
    for name in ("bias", "sd", "band", "worst_error"):
        one = f"x_{text['key'].rsplit('.', 1)[1]}"
        shown = wording.render({"key": "try", "facts": {one: abs(row[name])}}, table={"try": f"{{{one}}}"})
        assert shown in said, (name, said)
    assert f"{row['coverage_pct']} %" in said
    assert row["worst"].split(" ")[0] in said


def test_every_family_that_was_recorded_is_still_computed() -> None:
    assert {key_of(row) for row in FIGURES} == {key_of(row) for row in RECORDED}


@pytest.mark.parametrize("recorded", RECORDED, ids=lambda row: f"{row['model']}, {row['family']}")
def test_no_figure_became_worse(recorded: dict[str, Any]) -> None:
    now = next(row for row in FIGURES if key_of(row) == key_of(recorded))
    assert model_errors.worse_figures(recorded, now) == []


@pytest.mark.parametrize(
    ("name", "by"),
    [
        ("bias", 0.02),
        ("sd", 0.02),
        ("band", 0.02),
        ("worst_error", 0.02),
        ("count", -1),
        ("coverage_pct", -1),
    ],
)
@pytest.mark.parametrize("sign", [1, -1])
def test_each_figure_by_itself_is_seen_to_become_worse(name: str, by: float, sign: int) -> None:
    before = {"count": 9, "coverage_pct": 90, "bias": 0.5 * sign, "sd": 1.0, "band": 2.0, "worst_error": -3.0}
    after = {**before, name: before[name] + (by if before[name] > 0 else -by)}
    assert model_errors.worse_figures(before, after) == [name]
    assert model_errors.worse_figures(after, before) == []


def test_a_figure_does_not_slip_a_hundredth_at_a_time(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    for name in ("PAGE", "MODELS", "RECORD"):
        copy = tmp_path / name
        copy.write_text(getattr(model_errors, name).read_text("utf-8"), "utf-8")
        monkeypatch.setattr(model_errors, name, copy)
    monkeypatch.setattr("sys.argv", ["model_errors.py"])

    def run(by: float) -> int:
        worse = [{**row, "sd": row["sd"] + by} for row in FIGURES]
        monkeypatch.setattr(model_errors, "figures", lambda: worse)
        return model_errors.main()

    assert run(0.01) == 0
    assert run(0.02) == 1


def test_a_family_that_is_gone_is_named() -> None:
    assert model_errors.all_worse(RECORDED, FIGURES[1:]) == [f"{', '.join(key_of(FIGURES[0]))}: gone"]


def test_a_worse_model_is_not_written_down_unasked(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    names = ("PAGE", "MODELS", "RECORD")
    for name in names:
        copy = tmp_path / name
        copy.write_text(getattr(model_errors, name).read_text("utf-8"), "utf-8")
        monkeypatch.setattr(model_errors, name, copy)
    before = [(tmp_path / name).read_text("utf-8") for name in names]
    monkeypatch.setattr(tempering_models, "FIT_PER_K", 0.0559)
    monkeypatch.setattr("sys.argv", ["model_errors.py"])
    assert model_errors.main() == 1
    assert [(tmp_path / name).read_text("utf-8") for name in names] == before
    monkeypatch.setattr("sys.argv", ["model_errors.py", "--accept-worse"])
    assert model_errors.main() == 0
    assert [(tmp_path / name).read_text("utf-8") for name in names] != before


def test_bands_of_all_tempering_together_are_neither_too_narrow_nor_too_wide() -> None:
    inside = [one.inside for one in model_errors.tempering_misses()]
    assert len(inside) > 250
    assert LEAST_COVERAGE_PCT <= 100.0 * sum(inside) / len(inside) <= MOST_COVERAGE_PCT


def too_few_inside(inside: int, rows: int) -> bool:
    """Tell whether so few rows in the band would come by chance less than one time in twenty."""
    return float(binom.cdf(inside, rows, LEAST_COVERAGE_PCT / 100)) < CHANCE


# Of one row nothing can be said; of two, not both may lie outside; of eight, at most three. That a band holds
# too much (97 %) cannot be told by chance of fewer than 99 rows, all of them inside: 0.97^98 is 0.051.
# So the upper end is looked at from thirty rows on by the share itself, and for all tempering together.
@pytest.mark.parametrize("row", FIGURES, ids=lambda row: f"{row['model']}, {row['family']}")
def test_bands_hold_their_family(row: dict[str, Any]) -> None:
    assert not too_few_inside(row["inside"], row["count"])
    if row["count"] >= LEAST_ROWS:
        assert row["coverage_pct"] >= LEAST_COVERAGE_PCT
    if row["count"] >= MANY_ROWS and row["model"] not in model_errors.IN_PERCENT:  # see the page: its band
        assert row["coverage_pct"] <= MOST_COVERAGE_PCT


@pytest.mark.parametrize(
    ("inside", "rows", "few"), [(0, 1, False), (0, 2, True), (1, 2, False), (5, 8, False), (4, 8, True)]
)
def test_what_chance_allows_of_few_rows(inside: int, rows: int, few: bool) -> None:  # noqa: FBT001  (a parameter)
    assert too_few_inside(inside, rows) == few
    assert 0.97**98 > CHANCE > 0.97**99


def test_plain_carbon_tempering_misses_by_little() -> None:
    plain = next(row for row in FIGURES if key_of(row) == ("tempered hardness", "plain carbon"))
    assert plain["count"] >= 90
    assert math.hypot(plain["bias"], plain["sd"]) <= 1.1
