"""What a card needs to know of the steel: one row, an analysis, two layers, or nobody knows."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from temperward.engine.errors import MissingField, OutOfRange, Refused
from temperward.engine.metallurgy.alloys import Stock, find, stock_of, stock_of_row
from temperward.engine.process.card_facts import Plan, items
from temperward.engine.process.card_refusals import refuse_cladding
from temperward.engine.process.card_steel_own import row_of_analysis
from temperward.engine.process.limit_values import sources_of, value_of
from temperward.engine.quantities import once

UNKNOWN = "unknown"


@dataclass(frozen=True, kw_only=True)
class Metal:
    """The steel of one card: the layers with their bars, and one row that rules the set points."""

    name: str
    kind: str  # named, analysis, layers, unknown
    layers: list[Stock]
    row: dict[str, Any]

    @property
    def known(self) -> bool:
        """Tell whether anybody knows what the bar is."""
        return self.kind != UNKNOWN

    @property
    def alloyed(self) -> bool:
        """Tell whether the steel hardens deeper than plain carbon steel, which water would crack."""
        return bool(self.row["family"] != "plain")

    @property
    def carbon_pct(self) -> float:
        """Return the most carbon of any layer; an unknown bar is taken at its worst."""
        if not self.known:
            return 1.0
        return max([stock.nominal.c_pct for stock in self.layers])

    def sources(self, name: str) -> list[str]:
        """Return where one figure of the ruling row comes from."""
        return list(self.row["sources"][name])


def of_facts(facts: dict[str, Any]) -> Metal:
    """Return the steel that the facts name, refused by name where no card is made for it."""
    layers = items(facts, "steels")
    if len(layers) > 0:
        return of_layers(layers, facts=facts)
    if facts.get("steel") == UNKNOWN:
        return of_unknown()
    stock = stock_of(facts)
    if stock.row is not None:
        kind = "analysis" if stock.own_analysis else "named"
        return Metal(name=stock.row["designation"], kind=kind, layers=[stock], row=stock.row)
    return Metal(name="", kind="analysis", layers=[stock], row=row_of_analysis(stock))


def of_layers(names: list[Any], *, facts: dict[str, Any]) -> Metal:
    """Return two or three hardening steels welded into one blade."""
    if facts.get("steel") is not None or facts.get("composition") is not None:
        raise Refused(field="steels", value=str(names), reason="refusal.card_steel_twice")
    stocks = []
    for name in names:
        refuse_cladding(name)
        stocks.append(stock_of_row(find(str(name))))
    if len(stocks) < 2:  # noqa: PLR2004  # one steel is given as `steel`
        raise MissingField(
            field="steels", value=len(stocks), low=2, high=3, unit="count", reason="refusal.card_layers"
        )
    rows = [stock.row for stock in stocks if stock.row is not None]
    return Metal(
        name=" + ".join([row["designation"] for row in rows]),
        kind="layers",
        layers=stocks,
        row=row_of_layers(rows),
    )


def overlap(rows: list[dict[str, Any]]) -> tuple[float, float]:
    """Return the hardening range that all layers share; refuse one too narrow to hit."""
    low = max([row["austenitise_low_c"] for row in rows])
    high = min([row["austenitise_high_c"] for row in rows])
    least = value_of("overlap_least_k")
    if high - low < least:
        raise OutOfRange(
            field="steels",
            value=high - low,
            low=least,
            high=None,
            unit="K",
            reason="refusal.card_overlap",
        )
    return low, high


def worst(rows: list[dict[str, Any]], name: str, order: list[str]) -> str:
    """Return the most demanding word of all layers."""
    place = 0
    for row in rows:
        place = max(place, order.index(row[name]))
    return order[place]


def welded_normalise_c(rows: list[dict[str, Any]]) -> float:
    """Return the normalising heat of a welded billet: the hottest layer's, and enough after welding heats."""
    hottest = max([row["normalise_c"] or row["austenitise_high_c"] for row in rows])
    return float(max(hottest, value_of("layers_normalise_c")))


def row_of_layers(rows: list[dict[str, Any]]) -> dict[str, Any]:
    """Return one row that all layers can live with."""
    low, high = overlap(rows)
    middle = sum([row["aim_c"] for row in rows]) / len(rows)
    aim = 5.0 * int(max(low, min(high, middle)) / 5.0)
    below = [row["air_hardens_below_mm"] for row in rows if row["air_hardens_below_mm"] is not None]
    cycle3 = [row["cycle3_c"] for row in rows]
    families = [row["family"] for row in rows]
    alloyed = [family for family in families if family != "plain"]
    merged: dict[str, list[str]] = {}
    for name in sorted(rows[0]["sources"]):
        ids: list[str] = []
        for row in rows:
            ids = once(ids + row["sources"][name])
        merged[name] = ids
    merged["normalise"] = sources_of("layers_normalise_c")
    return {
        "designation": " + ".join([row["designation"] for row in rows]),
        "family": alloyed[0] if alloyed else "plain",
        "austenitise_low_c": low,
        "austenitise_high_c": high,
        "aim_c": max(low, aim),
        "soak_s": max([row["soak_s"] for row in rows]),
        "normalise_c": welded_normalise_c(rows),
        "normalise_only_if_forged": False,
        "cycle3_c": None if None in cycle3 else max(cycle3),
        "air_hardens": worst(rows, "air_hardens", ["no", "below", "any"]),
        "air_hardens_below_mm": max(below) if below else None,
        "by_eye": worst(rows, "by_eye", ["yes", "poor", "no"]),
        "temper_low_c": max([row["temper_low_c"] for row in rows]),
        "temper_high_c": min([row["temper_high_c"] for row in rows]),
        "media": [medium for medium in rows[0]["media"] if all(medium in row["media"] for row in rows)],
        "sources": merged,
    }


def of_unknown() -> Metal:
    """Return a bar of unknown steel: set points of common practice, and the likely steels for its bands."""
    likely = [stock_of_row(find(name)) for name in value_of("unknown_likely")]
    row = {
        "designation": UNKNOWN,
        "family": UNKNOWN,
        "austenitise_low_c": float(value_of("unknown_harden_low_c")),
        "austenitise_high_c": float(value_of("unknown_harden_high_c")),
        "aim_c": float(value_of("unknown_harden_c")),
        "soak_s": value_of("unknown_soak_s"),
        "normalise_c": float(value_of("unknown_normalise_c")),
        "normalise_only_if_forged": False,
        "cycle3_c": float(value_of("unknown_cycle_3_c")),
        "air_hardens": "any",
        "air_hardens_below_mm": None,
        "by_eye": "poor",
        "temper_low_c": float(value_of("own_temper_low_c")),
        "temper_high_c": float(value_of("own_temper_high_c")),
        "media": ["medium_oil", "fast_oil"],
        "sources": {
            "austenitise": sources_of("unknown_harden_c"),
            "aim": sources_of("unknown_harden_c"),
            "soak": sources_of("unknown_soak_s"),
            "normalise": sources_of("unknown_normalise_c"),
            "cycle3": sources_of("unknown_cycle_3_c"),
            "air_hardens": ["practice"],
            "by_eye": ["practice"],
            "temper": sources_of("own_temper_low_c"),
            "media": ["practice"],
        },
    }
    return Metal(name=UNKNOWN, kind=UNKNOWN, layers=likely, row=row)


def hardens_in_air(metal: Metal, *, plan: Plan) -> bool:
    """Tell whether the blade's body can come out of a normalising heat hard."""
    if metal.row["air_hardens"] == "any":
        return True
    below = metal.row["air_hardens_below_mm"]
    return below is not None and plan.thickness_mm <= below


def thin_places_harden_in_air(metal: Metal) -> bool:
    """Tell whether the tip and edge of such a steel can come out hard, however thick the spine."""
    return bool(metal.row["air_hardens"] != "no")
