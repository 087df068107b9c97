"""Made-up facts for every question: most of them right, some spoiled on purpose."""

from __future__ import annotations

from typing import Any

from hypothesis import strategies as st

from temperward.engine import data_files

STEELS = [row["designation"] for row in data_files.load("steels")["steels"]]
REFUSED = [row["designation"] for row in data_files.load("steels")["refused"]]
MEDIA = [row["id"] for row in data_files.load("media")["media"]]
LIQUIDS = [name for name in MEDIA if name not in ("still_air", "plates")]
CHECKS = data_files.load("entries")["check_order"]

Facts = st.SearchStrategy[dict[str, Any]]


def between(low: float, high: float) -> st.SearchStrategy[float]:
    """Return numbers a person could type: three decimals, or whole ones, or any at all."""
    whole = st.integers(int(low) + 1, int(high)) if int(high) > int(low) else st.just(low)
    return st.one_of(st.floats(low, high).map(lambda value: round(value, 3)), st.floats(low, high), whole)


def facts(needed: dict[str, Any], optional: dict[str, Any] | None = None) -> Facts:
    """Return facts with all of the needed and some of the optional ones."""
    return st.fixed_dictionaries(needed, optional=optional or {})


COMPOSITION = facts(
    {"c": between(0.4, 1.1)},
    {
        "mn": between(0, 2),
        "si": between(0, 2),
        "cr": between(0, 2),
        "ni": between(0, 2),
        "mo": between(0, 0.5),
        "v": between(0, 0.3),
        "w": between(0, 0.5),
    },
)
NAMED = facts({"steel": st.sampled_from(STEELS)})
ANALYSED = facts({"composition": COMPOSITION}, {"steel": st.sampled_from(STEELS)})
WRONG = facts({"steel": st.sampled_from([*REFUSED, "1075 ", "nothing"])})
STOCK = st.integers(0, 9).flatmap(lambda which: NAMED if which < 6 else ANALYSED if which < 9 else WRONG)
HEATS = st.lists(
    facts(
        {"temperature_c": between(160, 300), "hold_s": between(60, 20_000)},
        {"began_above_65": st.booleans(), "from_c": between(15, 300)},
    ),
    min_size=1,
    max_size=4,
)
SECTIONS = st.lists(
    facts({"at_mm": between(0, 600), "thickness_mm": between(0.5, 8), "width_mm": between(5, 60)}),
    min_size=1,
    max_size=6,
)
READINGS = st.lists(facts({"at_mm": between(0, 600), "gap_mm": between(0, 3)}), min_size=2, max_size=9)
BOWS = st.lists(between(-2, 2), min_size=2, max_size=8).flatmap(
    lambda bows: st.sampled_from([bows, [{"bow_mm": bow, "cycle": 2 * k} for k, bow in enumerate(bows)]])
)
AUSTENITISE_C = between(760, 950)
COUPON = facts({"thickness_mm": between(0.5, 8), "medium": st.sampled_from(MEDIA), "passed": st.booleans()})


def with_stock(needed: dict[str, Any], optional: dict[str, Any] | None = None) -> Facts:
    """Return facts about a steel."""
    return st.builds(lambda stock, rest: {**stock, **rest}, STOCK, facts(needed, optional))


CARD = with_stock(
    {
        "thickness_mm": between(0.5, 8),
        "length_mm": between(60, 800),
        "heat_source": st.sampled_from(["kiln", "forge_thermocouple", "forge_by_eye"]),
        "quench": st.lists(
            facts(
                {"medium": st.sampled_from(LIQUIDS)}, {"bath_c": between(10, 90), "seconds": between(1, 60)}
            ),
            min_size=1,
            max_size=2,
        ),
    },
    {
        "edge_mm": between(0.3, 0.6),
        "width_mm": between(10, 80),
        "stations": SECTIONS,
        "cycles": st.integers(0, 3),
        "stress_relief": st.booleans(),
        "soft_tang": st.sampled_from(["kept_out", "softened_after"]),
        "hard_zone": facts({"kind": st.sampled_from(["whole", "edge"])}, {"from_mm": between(0, 50)}),
        "double_edge": st.booleans(),
        "clay": st.booleans(),
        "notch": st.booleans(),
        "bolster_mm": between(2, 20),
        "oven_kind": st.sampled_from(["kiln", "kitchen", "torch_after"]),
        "target_hrc": between(52, 64),
        "temper_cycles": st.integers(1, 3),
        "coupon": COUPON,
        "bath": facts(
            {"name": st.text(max_size=12)}, {"litres": between(2, 60), "flash_c": between(120, 250)}
        ),
    },
)

OUTCOME = facts(
    {"steel": st.sampled_from(STEELS[:3]), "medium": st.sampled_from(MEDIA[:3])},
    {
        "cracked": st.booleans(),
        "bow_mm": between(0, 2),
        "hrc": between(50, 66),
        "expected_hrc": between(50, 66),
        "wait_s": between(60, 9000),
        "transfer_s": between(0, 5),
        "hold_s": between(5, 40),
        "expected_hold_s": between(5, 40),
    },
)

TANK = facts(
    {"name": st.sampled_from(["Short oil", "Tall oil"])},
    {
        "litres": between(2, 40),
        "liquid": st.sampled_from(["oil", "water"]),
        "low_c": between(20, 40),
        "high_c": between(50, 70),
        "temperature_c": between(10, 80),
        "read_ms": st.integers(0, 8_000_000),
        "readings": st.lists(
            st.fixed_dictionaries({"at_ms": st.integers(0, 8_000_000), "temperature_c": st.integers(20, 90)}),
            max_size=4,
        ),
    },
)
OFFERED_BLADE = facts(
    {"log_id": st.sampled_from(["1", "2", "3"]), "state": st.sampled_from(["hard", "released", "scrapped"])},
    {"batch": st.sampled_from(["B7", "B8"]), "letter": st.sampled_from(["A", "B"])},
)
BATCH_BLADE = facts(
    {
        "log_id": st.sampled_from(["one", "two", "three", "four"]),
        "tag": st.sampled_from(["QF-1", "QF-2", "QF-3"]),
        "state": st.sampled_from(
            ["ready_to_harden", "hardening_heat", "in_quench", "hard", "temper_in_heat"]
        ),
        "quenched_ms": st.integers(0, 9_000_000),
    },
    {
        "letter": st.sampled_from(["A", "B", "C"]),
        "alarm_ms": st.integers(0, 12_000_000),
        "steel_kg": between(0.05, 2),
        "steel_c": between(750, 900),
        "temper_c": between(150, 300),
        "bath": TANK,
    },
)

QUESTIONS: dict[str, Facts] = {
    "as_quenched_hardness": with_stock(
        {}, {"austenitise_c": AUSTENITISE_C, "martensite_fraction": between(0, 1), "by_eye": st.booleans()}
    ),
    "batch": facts(
        {"blades": st.lists(BATCH_BLADE, min_size=1, max_size=6), "now_ms": st.integers(0, 10_000_000)},
        {"load_ms": st.integers(0, 12_000_000), "redo_s": between(60, 3600)},
    ),
    "batch_offer": facts(
        {"blades": st.lists(OFFERED_BLADE, max_size=6)},
        {"batch": st.sampled_from(["B7", "B8", ""]), "letter": st.sampled_from(["A", "B", "Z", ""])},
    ),
    "bath_rise": facts(
        {"steel_kg": between(0.05, 3), "bath_c": between(0, 90), "litres": between(1, 60)},
        {
            "steel_c": between(750, 900),
            "blades": st.integers(1, 9),
            "liquid": st.sampled_from(["oil", "water"]),
            "limit_c": between(40, 120),
        },
    ),
    "bath_size": facts(
        {"steel_kg": between(0.05, 3)},
        {
            "steel_c": between(750, 900),
            "rise_k": between(3, 40),
            "dip_mm": between(60, 900),
            "bore_mm": between(60, 300),
            "mean_end_c": between(30, 90),
            "hot_c": between(30, 90),
        },
    ),
    "card_pictures": CARD,
    "edge_plan": with_stock(
        {"quench": st.lists(facts({"medium": st.sampled_from(LIQUIDS)}), min_size=1, max_size=2)},
        {"cycles": st.integers(0, 4), "clay": st.booleans()},
    ),
    "bevels": facts({"stations": SECTIONS, "edge_mm": between(0.1, 1)}, {"double_edge": st.booleans()}),
    "check_values": facts(
        {
            "check": st.sampled_from(CHECKS),
            "body": st.dictionaries(
                st.sampled_from(
                    [
                        "temperature_c",
                        "answer",
                        "bow_mm",
                        "length_mm",
                        "readings_hrc",
                        "stations",
                        "place",
                        "even",
                        "lid",
                    ]
                ),
                st.one_of(
                    between(-20, 900),
                    st.sampled_from(["none", "sticks", "edge", "left"]),
                    st.booleans(),
                    READINGS,
                ),
            ),
        }
    ),
    "edge_allowance": facts(
        {
            "heats": st.lists(
                facts({"temperature_c": between(700, 950), "hold_s": between(30, 3600)}), max_size=5
            )
        },
        {
            "final_edge_mm": between(0, 2),
            "bow_mm": between(0, 2),
            "medium": st.sampled_from(MEDIA),
            "carbon_pct": between(0.4, 1.1),
        },
    ),
    "findings": facts({}),
    "flash_margin": facts(
        {"flash_c": between(80, 300), "bath_c": between(0, 250)}, {"rise_k": between(0, 100)}
    ),
    "hardness_scales": facts({"hrc": between(15, 70)}),
    "look_back": facts({"outcomes": st.lists(OUTCOME, max_size=12)}),
    "make_card": CARD,
    "media": facts({}),
    "models": facts({}),
    "overshoot": facts(
        {
            "set_c": between(150, 260),
            "planned_s": between(1800, 14_400),
            "peak_c": between(150, 330),
            "peak_s": between(60, 7200),
        },
        {"steel": st.sampled_from([*STEELS[:4], "unknown"])},
    ),
    "power_cut": facts(
        {
            "set_c": between(150, 260),
            "planned_s": between(1800, 14_400),
            "held_s": between(0, 9000),
            "away_s": between(0, 20_000),
        },
        {"oven_tau_s": between(600, 9000)},
    ),
    "sources": facts({}),
    "springback": facts(
        {
            "bow_mm": between(0.05, 5),
            "span_mm": between(50, 600),
            "thickness_mm": between(1, 8),
            "state": st.sampled_from(["soft", "tempered"]),
        },
        {"tempered_c": between(200, 500)},
    ),
    "steels": facts({}),
    "straightening_window": with_stock(
        {"thickness_mm": between(1, 8), "from_c": between(120, 300)},
        {
            "austenitise_c": AUSTENITISE_C,
            "still_air": st.booleans(),
            "ambient_c": between(-10, 40),
            "ms_c": between(120, 300),
        },
    ),
    "straightness": facts(
        {"stations": READINGS},
        {
            "length_mm": between(100, 700),
            "pad_mm": between(0, 3),
            "side": st.sampled_from(["left", "right"]),
            "uncertainty_mm": between(0.01, 0.5),
            "limit_pct": between(0.05, 0.5),
        },
    ),
    "temper_equivalent": facts(
        {"heats": HEATS},
        {"at_c": between(150, 400), "hold_s": between(60, 20_000), "constant": between(12, 22)},
    ),
    "temper_for": with_stock(
        {"target_hrc": between(54, 64)}, {"hold_s": between(1800, 14_400), "cycles": st.integers(1, 3)}
    ),
    "tempered_hardness": with_stock({"heats": HEATS}, {"by_eye": st.booleans()}),
    "thermocouple_tolerance": facts(
        {"temperature_c": between(0, 1300)},
        {"kind": st.sampled_from(["K", "N", "J", "S", "B"]), "grade": st.sampled_from(["special", "iec_1"])},
    ),
    "torch_equals": facts(
        {"torch_s": between(5, 700)},
        {
            "temperature_c": between(150, 450),
            "colour": st.sampled_from(["brown", "purple", "grey_blue", "red"]),
        },
    ),
    "transformation_temperatures": with_stock(
        {}, {"austenitise_c": AUSTENITISE_C, "to_c": between(-20, 100)}
    ),
    "twist": facts(
        {"gap_mm": between(-3, 3), "width_mm": between(5, 80)}, {"uncertainty_mm": between(0.01, 0.5)}
    ),
    "warp_trend": facts({"bows": BOWS}, {"uncertainty_mm": between(0.01, 0.5)}),
    "will_it_harden": with_stock(
        {"thickness_mm": between(0.8, 10), "medium": st.sampled_from(MEDIA)},
        {
            "bath_c": between(20, 60),
            "edge_mm": between(0.2, 1),
            "austenitise_c": AUSTENITISE_C,
            "transfer_s": between(0, 8),
            "coupon": COUPON,
        },
    ),
}

SPOILS = st.sampled_from([None, "", "abc", -1, 10**9, 1e-9, True, [], {}, [1, "a"], {"x": 1}])


@st.composite
def spoiled(draw: st.DrawFn, whole: Facts) -> dict[str, Any]:
    """Return facts with one of them wrong, missing or unknown."""
    made = dict(draw(whole))
    name = draw(st.sampled_from([*sorted(made), "nobody_asked"]))
    if draw(st.booleans()) and name in made:
        del made[name]
    else:
        made[name] = draw(SPOILS)
    return made
