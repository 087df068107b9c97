"""What a bar is made of: a named steel's range, or the bar's own mill analysis, which then rules."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from temperward.engine import data_files
from temperward.engine import facts as facts_module
from temperward.engine.errors import MissingField, Refused, UnknownName

# Limits in weight percent: what the martensite-start measurements cover (msDatabase2022, the filtered part)
# and, for carbon, the blade steels of the data file with their ranges.
ELEMENT_LIMITS_PCT = [
    ("c", 0.40, 1.10),
    ("mn", 0.0, 2.0),
    ("si", 0.0, 2.2),
    ("cr", 0.0, 2.0),
    ("ni", 0.0, 2.5),
    ("mo", 0.0, 0.6),
    ("v", 0.0, 0.5),
    ("w", 0.0, 1.0),
]

# How far past its range a bar still counts as of its steel: mills round, and leave out what they did not add
# (design).
CARBON_SPARE_PCT, ALLOY_SPARE_PCT = 0.02, 0.2


@dataclass(frozen=True, kw_only=True)
class Alloy:
    """One analysis, each element in weight percent."""

    c_pct: float
    mn_pct: float = 0.0
    si_pct: float = 0.0
    cr_pct: float = 0.0
    ni_pct: float = 0.0
    mo_pct: float = 0.0
    v_pct: float = 0.0
    w_pct: float = 0.0


@dataclass(frozen=True, kw_only=True)
class Stock:
    """A bar: its analysis, the ends of its range, and the steel's row where the steel has a name."""

    nominal: Alloy
    lean: Alloy
    rich: Alloy
    row: dict[str, Any] | None
    own_analysis: bool


def find(designation: str) -> dict[str, Any]:
    """Return the steel's row; refuse a steel out of scope by name, list the known ones for a wrong name."""
    steels = data_files.load("steels")
    wanted = plain_name(designation)
    for row in steels["steels"]:
        if wanted in names_of(row):
            return row  # type: ignore[no-any-return]
    for row in steels["refused"]:
        if wanted in [plain_name(name) for name in [row["designation"]] + row["also"]]:
            raise Refused(field="steel", value=designation, reason=row["reason"])
    raise UnknownName(
        field="steel",
        value=designation,
        reason="refusal.unknown_steel",
        choices=[row["designation"] for row in steels["steels"]],
    )


def names_of(row: dict[str, Any]) -> list[str]:
    """Return the names a steel may be asked by, plainly written."""
    return [plain_name(name) for name in [row["designation"], row["uns"]] + row["also"] if name]


def plain_name(name: str) -> str:
    """Return a name without blanks and AISI or SAE, in small letters: "80 CrV2" and "80crv2" are one steel.

    EN is left where it is: En 9 and EN 1.1203 are names of two standards.
    >>> plain_name("80 CrV2"), plain_name("AISI 1084"), plain_name("sae O1")
    ('80crv2', '1084', 'o1')
    """
    plain = name.replace(" ", "").lower()
    for issuer in ["aisi/sae", "aisi", "sae"]:
        if plain.startswith(issuer):
            return plain[len(issuer) :].lstrip("-")
    return plain


def alloy_of(parts: dict[str, float]) -> Alloy:
    """Return the analysis from element names to weight percent."""
    return Alloy(
        c_pct=parts["c"],
        mn_pct=parts.get("mn", 0.0),
        si_pct=parts.get("si", 0.0),
        cr_pct=parts.get("cr", 0.0),
        ni_pct=parts.get("ni", 0.0),
        mo_pct=parts.get("mo", 0.0),
        v_pct=parts.get("v", 0.0),
        w_pct=parts.get("w", 0.0),
    )


def read_composition(given: Any) -> Alloy:
    """Return an analysis that somebody typed, each element checked against what the models cover."""
    if not isinstance(given, dict):
        raise MissingField(field="composition.c", low=0.40, high=1.10, unit="pct", reason="refusal.missing")
    facts_module.only(given, [name for name, _, _ in ELEMENT_LIMITS_PCT])
    parts: dict[str, float] = {}
    for name, low, high in ELEMENT_LIMITS_PCT:
        if name in given or name == "c":
            parts[name] = facts_module.number(given, name, low=low, high=high, unit="pct", of="composition")
    return alloy_of(parts)


def stock_of_row(row: dict[str, Any]) -> Stock:
    """Return a named steel's bar, its analysis unknown within the steel's range."""
    ends: list[dict[str, float]] = [{}, {}, {}]
    for name in sorted(row["composition"]):
        element = row["composition"][name]
        ends[0][name] = element["low"]
        ends[1][name] = element["nominal"]
        ends[2][name] = element["high"]
    return Stock(
        nominal=alloy_of(ends[1]), lean=alloy_of(ends[0]), rich=alloy_of(ends[2]), row=row, own_analysis=False
    )


def stock_of(facts: dict[str, Any]) -> Stock:
    """Return the bar that the facts `steel` and `composition` describe; a mill analysis rules."""
    designation = facts.get("steel")
    given = facts.get("composition")
    if designation is None and given is None:
        raise MissingField(field="steel", reason="refusal.missing")
    row = None if designation is None else find(str(designation))
    if given is not None:
        alloy = read_composition(given)
        return Stock(nominal=alloy, lean=alloy, rich=alloy, row=row, own_analysis=True)
    assert row is not None  # noqa: S101  # the facts named a steel: find returned it or refused
    return stock_of_row(row)


def within_range(row: dict[str, Any], alloy: Alloy, *, with_carbon: bool) -> bool:
    """Tell whether an analysis is of this steel: each element within the steel's range, or nearly.

    Carbon is looked at only where asked: a tempering table can be moved by carbon, a published range cannot.
    """
    found = [
        ("c", alloy.c_pct),
        ("mn", alloy.mn_pct),
        ("si", alloy.si_pct),
        ("cr", alloy.cr_pct),
        ("ni", alloy.ni_pct),
        ("mo", alloy.mo_pct),
        ("v", alloy.v_pct),
        ("w", alloy.w_pct),
    ]
    for name, percent in found:
        if name == "c" and not with_carbon:
            continue
        spare = CARBON_SPARE_PCT if name == "c" else ALLOY_SPARE_PCT
        low, high = 0.0, 0.0
        if name in row["composition"]:
            low, high = row["composition"][name]["low"], row["composition"][name]["high"]
        if percent < low - spare or percent > high + spare:
            return False
    return True


def row_for(stock: Stock, *, with_carbon: bool = True) -> dict[str, Any] | None:
    """Return the steel's row where what is published of it stands for this bar; a mill analysis rules."""
    row = stock.row
    if row is None or not stock.own_analysis or within_range(row, stock.nominal, with_carbon=with_carbon):
        return row
    return None


def composition_sources(stock: Stock) -> list[str]:
    """Return where the analysis comes from."""
    if stock.own_analysis or stock.row is None:
        return ["millAnalysis"]
    return list(stock.row["sources"]["composition"])


def aim_c(stock: Stock, facts: dict[str, Any]) -> float:
    """Return the hardening heat asked about: as given, else the steel's own aim."""
    default = None if stock.row is None else stock.row["aim_c"]
    return facts_module.number(facts, "austenitise_c", low=700.0, high=1000.0, unit="degC", default=default)


def steels(facts: dict[str, Any]) -> Any:
    """Answer `steels`: every row of the data file, and what is refused by name."""
    facts_module.only(facts, [])
    return data_files.load("steels")
