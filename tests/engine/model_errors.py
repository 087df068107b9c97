"""What each model misses published measurements by: bias, scatter, coverage of the band, worst row.

Run it to write the table into backend/docs/models.md:  python tests/engine/model_errors.py
Where a figure became worse it writes nothing, unless told to by --accept-worse: the changelog then says why.
"""

from __future__ import annotations

import json
import math
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parent))

import readings

from temperward.engine.api import ask
from temperward.engine.metallurgy.alloys import find
from temperward.engine.metallurgy.martensite import martensite_start_c, ms_band_k

PAGE = Path(__file__).parents[2] / "backend" / "docs" / "models.md"
RECORD = Path(__file__).parent / "reference" / "model_errors.json"
MODELS = Path(__file__).parents[2] / "backend" / "temperward" / "engine" / "data" / "models.json"
BEGIN, END = "<!-- computed: begin -->", "<!-- computed: end -->"
NAMED = {
    "5160": "5160",
    "6150": "6150",
    "9264": "9260",
    "52100": "52100",
    "102Cr6": "52100",
    "1095": "1095",
    "O1": "O1",
    "L6": "L6",
    "C45U": "1045",
}
# Holds that a sheet does not print are taken as one hour.
UNPRINTED_HOLD_S = 3600.0
LONG_ENOUGH_S = 600.0
# The fit ends at 320; the steels' own tables go on, for springs and softened spines. 149 is printed for 150.
LEAST_C, KNIFE_MOST_C = 149.0, 320.0
# The set holds two starts of some 52100 bars; the lower ones are of a solution heat, its temperature not
# printed, that left no carbide.
LOW_52100_C, ORDINARY_C, SOLUTION_C = 220.0, 840.0, 1000.0
IN_PERCENT = {"dissolved carbon"}


@dataclass(frozen=True)
class Miss:
    """One published value with what the engine says."""

    model: str
    family: str
    label: str
    error: float
    inside: bool
    band: float
    named: dict[str, Any]


def miss(
    model: str,
    family: str,
    label: str,
    *,
    answer: dict[str, Any],
    measured: float,
    named: dict[str, Any] | None = None,
) -> Miss:
    """Return the error of an answer that carries its band; the app may name its row in words of its own."""
    inside = answer["low"] <= measured <= answer["high"]
    band = (answer["high"] - answer["low"]) / 2.0
    shown = {"key": "say:" + label.split(" (", maxsplit=1)[0], "facts": {}} if named is None else named
    return Miss(model, family, label, answer["value"] - measured, inside, band, shown)


def change_misses() -> Iterator[Miss]:
    """Yield Ac1 and Ac3 of named steels against the handbook table, and Ac1 of sheets."""
    names = {"1050", "1060", "1070", "1080", "5160", "6150", "9260", "52100", "100Cr6", "102Cr6", "L6"}
    for row in readings.rows("change_temperatures"):
        if row["steel"] not in names or row["source"] == "equilibrium2025":
            continue
        asked = {"102Cr6": "52100"}.get(row["steel"], row["steel"])
        answer = ask("transformation_temperatures", {"steel": asked})["answer"]
        measured = float(row["value_c"])
        label = f"{row['steel']} ({row['source']})"
        if row["quantity"] in ("Ac1", "critical temperature (Ac1 class)"):
            yield miss("Ac1", "all", label, answer=answer["ac1"], measured=measured)
        if row["quantity"] == "Ac3" and "ac3" in answer:
            yield miss("Ac3", "to 0.75 %C", label, answer=answer["ac3"], measured=measured)


def ms_misses() -> Iterator[Miss]:
    """Yield the Ms formula on the printed carbon, and the product's own route where carbide is left."""
    for row in readings.rows("change_temperatures"):
        if row["quantity"] != "Ms" or row["source"] != "msDatabase2022":
            continue
        parts = readings.analysis(row["composition"])
        assert parts is not None
        measured = float(row["value_c"])
        label = f"{row['steel']} {row['composition']}"
        if row["steel"] == "52100":
            yield from bearing_misses(parts, label=label, measured=measured)
            continue
        carbon = parts["c"]
        value = martensite_start_c(readings.alloy(parts), dissolved_pct=carbon)
        half = ms_band_k(carbon)
        family = "0.45-0.70 %C" if carbon < 0.70 else "0.70-0.90 %C" if carbon < 0.90 else "0.90-1.10 %C"
        answer = {"value": value, "low": value - half, "high": value + half}
        yield miss("Ms", family, label, answer=answer, measured=measured)


def bearing_misses(parts: dict[str, float], *, label: str, measured: float) -> Iterator[Miss]:
    """Yield the error for one bar of 52100: by name and by analysis, or after a solution heat."""
    asked: list[tuple[str, dict[str, Any]]] = [
        ("dissolved carbon", {"steel": "52100"}),
        ("by its analysis", {"composition": parts}),
    ]
    heat_c = ORDINARY_C
    if measured < LOW_52100_C:
        asked, heat_c = [("solution heat", {"composition": parts})], SOLUTION_C
    for family, facts in asked:
        answer = ask("transformation_temperatures", {**facts, "austenitise_c": heat_c})["answer"]
        yield miss("Ms", "52100, " + family, label, answer=answer["ms"], measured=measured)


def dissolved_misses() -> Iterator[Miss]:
    """Yield dissolved carbon against computed equilibria, of known steels asked by their analysis alone.

    By name each goes by its own computed line, which misses nothing. Not of 52100, which an ordinary soak
    keeps under equilibrium: its measured starts are under Ms.
    """
    for row in readings.rows("dissolved_carbon"):
        if row["steel"] in ("Fe-C", "52100"):
            continue
        parts = {name: part["nominal"] for name, part in find(row["steel"])["composition"].items()}
        facts = {"composition": parts, "austenitise_c": float(row["heat_c"])}
        answer = ask("transformation_temperatures", facts)
        if "error" in answer:
            continue
        dissolved = answer["answer"]["dissolved_carbon_pct"]
        label = f"{row['steel']} {row['heat_c']} degC"
        yield miss(
            "dissolved carbon",
            "computed, by analysis alone",
            label,
            answer=dissolved,
            measured=float(row["carbon_pct"]),
            named=at_heat(row["steel"], float(row["heat_c"])),
        )


def at_heat(steel: str, temperature_c: float, hold_s: float | None = None) -> dict[str, Any]:
    """Return a row's steel and heat as the app words them, in the reader's unit."""
    facts: dict[str, Any] = {"steel": steel, "temperature_c": temperature_c}
    if hold_s is None:
        return {"key": "model.worst.at", "facts": facts}
    return {"key": "model.worst.for", "facts": {**facts, "hold_s": hold_s}}


def as_quenched_misses() -> Iterator[Miss]:
    """Yield as-quenched hardness of the plain carbon series and of named steels."""
    for row in readings.rows("as_quenched_hardness"):
        if row["kind"] == "measured" and 0.40 <= float(row["c"]) <= 1.10:
            facts = {"composition": {"c": float(row["c"])}, "austenitise_c": 900.0}
            family, label = "plain carbon, all dissolved", f"{row['c']} %C"
        elif row["kind"].startswith("measured "):
            facts = {"steel": row["kind"].split(" ")[1]}
            family, label = "named alloy steels", facts["steel"]
        else:
            continue
        answer = ask("as_quenched_hardness", facts)["answer"]["hrc"]
        yield miss("as-quenched hardness", family, str(label), answer=answer, measured=float(row["hrc"]))


def tempering_facts(row: dict[str, str]) -> dict[str, Any]:
    """Return the question that a published tempering row answers."""
    hold_s = float(row["hold_s"] or UNPRINTED_HOLD_S)
    facts: dict[str, Any] = {"heats": [{"temperature_c": float(row["temper_c"]), "hold_s": hold_s}]}
    if row["steel"] in NAMED:
        facts["steel"] = NAMED[row["steel"]]
        return facts
    parts = {name: float(row[name] or 0) for name in ("c", "mn", "si", "cr", "ni", "mo", "v")}
    parts["c"] = min(parts["c"], 1.10)  # the fit is level above 0.95 %C
    facts["composition"] = parts
    return facts


def tempering_family(row: dict[str, str]) -> str:
    """Return the family under which a row is counted."""
    short = ", under 10 min" if float(row["hold_s"] or UNPRINTED_HOLD_S) < LONG_ENOUGH_S else ""
    if float(row["temper_c"]) > KNIFE_MOST_C:
        short += ", over 320 degC"
    if row["steel"] in NAMED:
        return NAMED[row["steel"]] + short
    return ("0.25 %Mo" if float(row["mo"] or 0) > 0.1 else "plain carbon") + short


def tempering_misses() -> Iterator[Miss]:
    """Yield tempered hardness for every row that the question covers."""
    for row in readings.rows("tempered_hardness"):
        if row["hrc"].startswith(">=") or float(row["temper_c"]) < LEAST_C:
            continue
        answer = ask("tempered_hardness", tempering_facts(row))
        if "error" in answer:
            continue
        label = f"{row['steel']} {row['temper_c']} degC {row['hold_s'] or '?'} s ({row['source']})"
        yield miss(
            "tempered hardness",
            tempering_family(row),
            label,
            answer=answer["answer"]["hrc"],
            measured=readings.hardness(row["hrc"]),
            named=at_heat(
                row["steel"], float(row["temper_c"]), float(row["hold_s"]) if row["hold_s"] else None
            ),
        )


SOURCES: list[Callable[[], Iterator[Miss]]] = [
    change_misses,
    dissolved_misses,
    ms_misses,
    as_quenched_misses,
    tempering_misses,
]


def all_misses() -> list[Miss]:
    """Return every published value that is held against the engine."""
    return [one for source in SOURCES for one in source()]


def figures() -> list[dict[str, Any]]:
    """Return count, bias, scatter, coverage and worst row of each model and family."""
    found: dict[tuple[str, str], list[Miss]] = {}
    for one in all_misses():
        found.setdefault((one.model, one.family), []).append(one)
    table = []
    for (model, family), members in sorted(found.items()):
        bias = sum(one.error for one in members) / len(members)
        scatter = math.sqrt(sum((one.error - bias) ** 2 for one in members) / len(members))
        worst = max(members, key=lambda one: abs(one.error))
        table.append(
            {
                "model": model,
                "family": family,
                "count": len(members),
                "inside": sum(one.inside for one in members),
                "bias": round(bias, 2),
                "sd": round(scatter, 2),
                "coverage_pct": round(100.0 * sum(one.inside for one in members) / len(members)),
                "band": round(sum(one.band for one in members) / len(members), 2),
                "worst": worst.label,
                "worst_error": round(worst.error, 3),
                "worst_named": worst.named,
            }
        )
    return table


AWAY = ["bias", "sd", "band", "worst_error"]


def best_of(recorded: dict[str, Any], now: dict[str, Any]) -> dict[str, Any]:
    """Return today's row with the best that each figure was: a hundredth at a time would be a slope."""
    return {**now, **{name: recorded[name] for name in AWAY if abs(recorded[name]) < abs(now[name])}}


def worse_figures(recorded: dict[str, Any], now: dict[str, Any]) -> list[str]:
    """Name the figures of a family that became worse; a hundredth is rounding.

    A wider band is worse as well: it would hold every row and say nothing.
    """
    worse = [name for name in AWAY if abs(now[name]) > abs(recorded[name]) + 0.011]
    return worse + [name for name in ["count", "coverage_pct"] if now[name] < recorded[name]]


def all_worse(recorded: list[dict[str, Any]], now: list[dict[str, Any]]) -> list[str]:
    """Name every figure that became worse, and every family that is gone."""
    rows = {(row["model"], row["family"]): row for row in now}
    found = []
    for row in recorded:
        key = (row["model"], row["family"])
        names = worse_figures(row, rows[key]) if key in rows else ["gone"]
        found += [f"{row['model']}, {row['family']}: {name}" for name in names]
    return found


def markdown(table: list[dict[str, Any]]) -> str:
    """Return the figures as a table for the page."""
    lines = [
        "| model | family | rows | bias | sd | band | band holds | worst row |",
        "|---|---|---|---|---|---|---|---|",
    ]
    for row in table:
        more = 2 if row["model"] in IN_PERCENT else 1
        lines.append(
            f"| {row['model']} | {row['family']} | {row['count']} | {row['bias']:+.2f} | {row['sd']:.2f} "
            f"| +-{row['band']:.{more}f} | {row['coverage_pct']} % "
            f"| {row['worst']}: {row['worst_error']:+.{more}f} |"
        )
    return "\n".join(lines)


def page_with(table: list[dict[str, Any]]) -> str:
    """Return the page with the computed part in its place."""
    page = PAGE.read_text(encoding="utf-8")
    before, rest = page.split(BEGIN)
    after = rest.split(END)[1]
    return before + BEGIN + "\n" + markdown(table) + "\n" + END + after


# What the page of the app shows, in its order: the id of the words, the model that was measured, and the
# row of backend/docs/models.md.
SHOWN = [
    ("ac1", "Ac1", "Ac1"),
    ("ac3", "Ac3", "Ac3"),
    ("acm", "", "last carbide gone (Acm)"),
    ("dissolved", "dissolved carbon", "carbon dissolved"),
    ("ms", "Ms", "Ms"),
    ("fraction", "", "martensite fraction"),
    ("as_quenched", "as-quenched hardness", "hardness from the bath"),
    ("tempered", "tempered hardness", "hardness tempered"),
    ("equivalent", "", "time against temperature"),
    ("hardens", "", "hardens?"),
    ("plate", "", "plate of the ideal diameter"),
    ("bath_hold", "", "bath hold"),
    ("window", "", "straightening window"),
    ("straightness", "", "straightness"),
    ("springback", "", "past straight, shim"),
    ("edge", "", "lost skin"),
    ("bath_rise", "", "bath rise"),
    ("colours", "", "colours"),
]
UNITS = {"Ac1": "k", "Ac3": "k", "Ms": "k", "dissolved carbon": "pct"}
HRC = "hrc"


def family_text(family: str) -> dict[str, Any]:
    """Return a family's name as the app words it, its heat in the reader's unit."""
    what, _, over = family.partition(", over ")
    if not over:
        return {"key": "say:" + family, "facts": {}}
    return {"key": "model.over", "facts": {"what": what, "temperature_c": float(over.removesuffix(" degC"))}}


def side(error: float) -> dict[str, Any]:
    """Return on which side of the measured value the engine's lies."""
    return {"key": "model.high" if error >= 0 else "model.low", "facts": {}}


def error_text(row: dict[str, Any]) -> dict[str, Any]:
    """Return a family's figures as the app words them, each in the reader's unit."""
    unit = UNITS.get(row["model"], HRC)
    figures = {"bias": row["bias"], "sd": row["sd"], "band": row["band"], "worst": row["worst_error"]}
    facts: dict[str, Any] = {f"{name}_{unit}": abs(value) for name, value in figures.items()}
    facts |= {"count": row["count"], "held_pct": row["coverage_pct"], "worst": row["worst_named"]}
    facts |= {"side": side(row["bias"]), "worst_side": side(row["worst_error"])}
    return {"key": "model.error." + unit, "facts": facts}


def models(table: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Return the models as the engine's data hold them, with what the tests found."""
    return [
        {
            "id": model_id,
            "errors": [
                {"family": family_text(row["family"]), "text": error_text(row)}
                for row in table
                if row["model"] == model
            ],
        }
        for model_id, model, _ in SHOWN
    ]


def models_text(table: list[dict[str, Any]]) -> str:
    """Return the data file of the models."""
    return json.dumps({"models": models(table)}, indent=1) + "\n"


def main() -> int:
    """Write the page, the app's figures and the record, but never a worse figure unasked."""
    now = figures()
    recorded = json.loads(RECORD.read_text(encoding="utf-8"))
    worse, accepted = all_worse(recorded, now), "--accept-worse" in sys.argv
    if worse and not accepted:
        sys.stderr.write("\n".join(["became worse, nothing written:", *worse]) + "\n")
        return 1
    MODELS.write_text(models_text(now), encoding="utf-8")
    PAGE.write_text(page_with(now), encoding="utf-8")
    before = {} if accepted else {(row["model"], row["family"]): row for row in recorded}
    kept = [best_of(before.get((row["model"], row["family"]), row), row) for row in now]
    RECORD.write_text(json.dumps(kept, indent=1) + "\n", encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
