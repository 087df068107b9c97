"""The eight example cards: facts, figures and what is said, by a smith and a metallurgist for this program.

Each figure must lie inside the example's own tolerance, and each check, caution and follow-up must stand in
the same step. Where one does not, it is listed here, and backend/docs/cards.md says why.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from common.card_cases import card, examples, step

from temperward.engine.thermal.bath_hold import bath_hold_s

EXAMPLES = {one["id"]: one for one in examples()}
# An example that gives no tolerance is met within these: seconds are computed (15 %), the rest read off.
SPREAD = {"s": 0.15, "mm": 0.17, "degC": 0.01, "K": 0.01, "pct": 0.0, "grit": 0.0, "count": 0.0, "HRC": 0.0}
# Given without a tolerance, and by us with a band: the example's figure must lie inside ours.
INSIDE_OUR_BAND = ["still_to_go"]
# The weight that these two hang on is not in an example: no width is given. They are compared below.
BY_WEIGHT = ["bath_rise", "bath_volume"]
# (card, step, set point): ours, for the figures that differ for a better reason.
LISTED = {
    ("1084-4mm-by-eye", "straighten-now", "closed_below"): 150.0,
    ("1084-4mm-by-eye", "hardening-heat", "not_above"): 825.0,
    ("1095-3.2mm", "quench", "transfer"): 1.97,
    ("5160-6.5mm", "quench", "transfer"): 2.0,
    ("52100-2.2mm-kiln", "quench", "lift_temperature"): 267.8,
    ("w1-5mm-clay-water", "cycle-2", "temperature"): 785.0,
    ("w1-5mm-clay-water", "temper-1", "temperature"): 170.0,
    ("80crv2-5mm", "quench", "transfer"): 2.0,
    ("80crv2-5mm", "ready-to-harden", "oven_temperature"): 205.0,
    ("unknown-5mm", "quench", "transfer"): 2.0,
    ("unknown-5mm", "ground-ready", "edge_left"): 0.648,
}
# Nothing is shown where nobody can know it: no window after water, none for an unknown bar, which so stays in
# the oil to hand-warm.
NOT_A_FIGURE = [
    ("w1-5mm-clay-water", "straighten-now", "bend_until"),
    ("w1-5mm-clay-water", "straighten-now", "closed_below"),
    ("unknown-5mm", "quench", "hold_in_bath"),
    ("unknown-5mm", "quench", "lift_temperature"),
    ("unknown-5mm", "straighten-now", "bend_until"),
    ("unknown-5mm", "straighten-now", "closed_below"),
    ("unknown-5mm", "hardening-heat", "magnet_lets_go"),
    ("unknown-5mm", "hardening-heat", "still_to_go"),
]
# (card, step, what is said): said by an example and not by us.
NOT_SAID = [
    ("5160-6.5mm", "hard", "cause_if_58_cuts"),
    ("5160-6.5mm", "release", "measure_then_raise"),
    ("5160-6.5mm", "temper-1", "colour_band"),
    ("5160-6.5mm", "temper-2", "colour_band"),
    ("52100-2.2mm-kiln", "hardening-heat", "no_magnet_at_all"),
    ("52100-2.2mm-kiln", "hard", "retained_austenite_bites"),
    ("52100-2.2mm-kiln", "temper-1", "colour_band"),
    ("52100-2.2mm-kiln", "temper-2", "colour_band"),
    ("80crv2-5mm", "temper-1", "colour_band"),
    ("80crv2-5mm", "temper-2", "colour_band"),
    ("w1-5mm-clay-water", "straighten-now", "sight_once"),
    ("w1-5mm-clay-water", "straighten-now", "stop_at_stiffness"),
    ("w1-5mm-clay-water", "straighten-now", "back_below"),
    ("w1-5mm-clay-water", "straighten-now", "gloves_fail"),
    ("unknown-5mm", "straighten-now", "sight_once"),
    ("unknown-5mm", "straighten-now", "stop_at_stiffness"),
    ("unknown-5mm", "straighten-now", "back_below"),
    ("unknown-5mm", "straighten-now", "gloves_fail"),
]
KINDS = ["checks", "cautions", "follow_ups"]
FIGURES = [
    pytest.param(name, figure, id=f"{name}-{figure['step']}-{figure['set_point']}")
    for name, example in EXAMPLES.items()
    for figure in example["figures"]
    if (name, figure["step"], figure["set_point"]) not in NOT_A_FIGURE
    and figure["set_point"] not in BY_WEIGHT
]
SAID = [
    pytest.param(name, row["step"], kind, said, id=f"{name}-{row['step']}-{said}")
    for name, example in EXAMPLES.items()
    for row in example["says"]
    for kind in KINDS
    for said in row.get(kind, [])
]
DOCS = Path(__file__).parents[2] / "backend" / "docs" / "cards.md"


@pytest.fixture(scope="module")
def cards() -> dict[str, dict[str, Any]]:
    return {name: card(example["facts"]) for name, example in EXAMPLES.items()}


def ours(cards: dict[str, dict[str, Any]], name: str, step_id: str, set_point: str) -> dict[str, Any]:
    points = step(cards[name], step_id)["set_points"]
    return dict(next(one for one in points if one["id"] == set_point))


@pytest.mark.parametrize(("name", "figure"), FIGURES)
def test_a_figure_lies_inside_the_example(
    cards: dict[str, dict[str, Any]], name: str, figure: dict[str, Any]
) -> None:
    point = ours(cards, name, figure["step"], figure["set_point"])
    assert point["unit"] == figure["unit"]
    if isinstance(figure["value"], str):
        assert point["value"]["key"] in ("card.text." + figure["value"], "medium." + figure["value"])
        return
    listed = LISTED.get((name, figure["step"], figure["set_point"]))
    if listed is not None:
        assert point["value"] == pytest.approx(listed, rel=0.005)
        return
    spread = SPREAD[figure["unit"]] * figure["value"]
    low = figure["value"] - figure.get("minus", spread)
    high = figure["value"] + figure.get("plus", spread)
    if figure["set_point"] in INSIDE_OUR_BAND:
        assert point["value"] - point["minus"] <= high
        assert point["value"] + point["plus"] >= low
        return
    assert low - 1e-9 <= point["value"] <= high + 1e-9


def test_what_is_listed_as_different_is_different(cards: dict[str, dict[str, Any]]) -> None:
    for name, step_id, set_point in LISTED:
        figure = next(
            one
            for one in EXAMPLES[name]["figures"]
            if (one["step"], one["set_point"]) == (step_id, set_point)
        )
        spread = SPREAD[figure["unit"]] * figure["value"]
        low = figure["value"] - figure.get("minus", spread)
        high = figure["value"] + figure.get("plus", spread)
        value = ours(cards, name, step_id, set_point)["value"]
        assert not low <= value <= high, (name, set_point)


@pytest.mark.parametrize(("name", "step_id", "kind", "said"), SAID)
def test_what_an_example_says_stands_in_the_same_step(
    cards: dict[str, dict[str, Any]], name: str, step_id: str, kind: str, said: str
) -> None:
    rows = step(cards[name], step_id)[kind]
    keys = [row["text"]["key"] if kind == "checks" else row["key"] for row in rows]
    stands = said in [key.split(".")[-1] for key in keys]
    assert stands is ((name, step_id, said) not in NOT_SAID)


@pytest.mark.parametrize("name", sorted(EXAMPLES))
def test_the_standing_line_is_on_every_card(cards: dict[str, dict[str, Any]], name: str) -> None:
    assert cards[name]["standing"]["key"] == "caution.standing"


@pytest.mark.parametrize("name", sorted(EXAMPLES))
def test_steps_stand_in_the_order_of_the_example(cards: dict[str, dict[str, Any]], name: str) -> None:
    found = [one["id"] for one in cards[name]["steps"] if one["id"] != "finish"]
    assert found == EXAMPLES[name]["steps"]


@pytest.mark.parametrize("place", NOT_A_FIGURE, ids=str)
def test_nothing_is_shown_where_nobody_knows(
    cards: dict[str, dict[str, Any]], place: tuple[str, str, str]
) -> None:
    name, step_id, set_point = place
    found = [one for one in step(cards[name], step_id)["set_points"] if one["id"] == set_point]
    assert all(one["kind"] == "text" for one in found)


def weight_kg(rise_k: float, *, litres: float, steel_c: float, bath_c: float) -> float:
    """The steel that warms a bath so far, by the balance of the examples: 0.17 and 0.45 cal/gK, 0.87 kg/L."""
    taken_j = litres * 0.87 * 0.45 * 4184 * rise_k
    return taken_j / (0.17 * 4184 * (steel_c - bath_c - rise_k))


@pytest.mark.parametrize("name", [one for one in sorted(EXAMPLES) if one != "w1-5mm-clay-water"])
def test_bath_rise_and_volume_for_the_weight_that_the_example_has_in_mind(
    cards: dict[str, dict[str, Any]], name: str
) -> None:
    example = EXAMPLES[name]
    said = {one["set_point"]: one["value"] for one in example["figures"] if one["set_point"] in BY_WEIGHT}
    bath_c = ours(cards, name, "ready-to-harden", "bath_temperature")["value"]
    steel_c = ours(cards, name, "hardening-heat", "temperature")["value"]
    steel_kg = weight_kg(said["bath_rise"], litres=said["bath_volume"], steel_c=steel_c, bath_c=bath_c)
    facts = example["facts"]
    width_mm = steel_kg / (facts["length_mm"] * facts["thickness_mm"] * 0.8 * 7.85e-6)
    bath = {"name": "As in the example", "litres": said["bath_volume"], "flash_c": 190}
    weighed = card({**facts, "width_mm": width_mm, "bath": bath})
    points = {one["id"]: one for one in step(weighed, "ready-to-harden")["set_points"]}
    assert points["bath_rise"]["value"] == pytest.approx(said["bath_rise"], rel=0.02)
    assert points["bath_volume"]["value"] <= said["bath_volume"], "ours is the least, by a rise of 15 K"


@pytest.mark.parametrize("name", [one for one in sorted(EXAMPLES) if "instead" in EXAMPLES[one]])
def test_the_time_in_the_other_oil_that_an_example_names(name: str) -> None:
    said = EXAMPLES[name]["instead"]
    made = card({**EXAMPLES[name]["facts"], "quench": [{"medium": said["medium"]}]})
    hold = next(one for one in step(made, "quench")["set_points"] if one["id"] == "hold_in_bath")
    assert said["hold_s"] - said["minus"] <= hold["value"] <= said["hold_s"] + said["plus"]


def test_the_bare_edge_under_clay() -> None:
    """The example: under 200 degC after 0.5 s, -0.3 +0.5; at which thickness it does not say.

    An edge of half a millimetre is; the middle of the 2 mm that its own card leaves is not (cards.md).
    """
    water = {"from_c": 780.0, "bath_c": 30.0, "to_c": 200.0}
    assert 0.2 <= bath_hold_s("water", thickness_mm=0.5, **water) <= 1.0
    assert bath_hold_s("water", thickness_mm=2.0, **water) == pytest.approx(1.93, rel=0.01)


@pytest.mark.parametrize(
    ("name", "file_hrc"),
    [
        ("1084-4mm-by-eye", 62.0),
        ("1095-3.2mm", 62.0),
        ("5160-6.5mm", 55.0),
        ("52100-2.2mm-kiln", 62.0),
        ("w1-5mm-clay-water", 62.0),
        ("80crv2-5mm", 62.0),
        ("75ni8-1084-4mm", 62.0),
        ("unknown-5mm", None),
    ],
)
def test_the_file_that_must_not_cut_is_the_examples(
    cards: dict[str, dict[str, Any]], name: str, file_hrc: float | None
) -> None:
    assert cards[name]["limits"]["file_must_not_cut_hrc"] == file_hrc


def test_clocks_are_halved_for_the_two_cards_that_say_so(cards: dict[str, dict[str, Any]]) -> None:
    halved = [name for name in sorted(cards) if cards[name]["limits"]["brittle"]["alarm_s"] == 1800]
    assert halved == ["1095-3.2mm", "w1-5mm-clay-water"]


def test_the_word_stiffening_comes_no_later_than_the_safe_figure(cards: dict[str, dict[str, Any]]) -> None:
    """By the highest measured Ms: the examples themselves count 90, 23 and 104 s for three of these."""
    for name in ("1084-4mm-by-eye", "52100-2.2mm-kiln", "75ni8-1084-4mm", "1095-3.2mm"):
        safe_s = ours(cards, name, "straighten-now", "bend_safe")["value"]
        window = cards[name]["limits"]["window"]
        assert window["stiffening_s"] <= safe_s < window["bend_s"]


def test_every_difference_stands_in_the_docs() -> None:
    page = DOCS.read_text("utf-8")
    for name, step_id, what in [*LISTED, *NOT_SAID, *NOT_A_FIGURE]:
        assert f"`{what}`" in page, (name, step_id, what)
