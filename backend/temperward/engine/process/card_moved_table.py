"""What moved, as tables: the kept figure and the newer one side by side, in the words of the card."""

from __future__ import annotations

from typing import Any

from temperward.engine.process.card_moved import Group, is_note, told
from temperward.engine.process.frozen_limits import plausible
from temperward.engine.process.picture_tables import row
from temperward.engine.quantities import note

NAMES = {"degC": "c", "K": "k", "mm": "mm", "s": "s", "HRC": "hrc", "pct": "pct", "l": "l"}


def tables(groups: list[Group]) -> list[Group]:
    """Return one table for each step in which something moved."""
    columns = [{"label": note("offer.column." + name), "unit": ""} for name in ("what", "kept", "newer")]
    return [
        {
            "id": group["id"],
            "title": group["title"],
            "notes": [note("offer.why")],
            "sources": group["sources"],
            "columns": columns,
            "rows": [
                row([one["label"], cell(one["was"]), cell(one["now"])], over=False) for one in group["rows"]
            ],
        }
        for group in groups
    ]


def cell(point: Group | None) -> Group | None:
    """Return a set point with its tolerance as one note; nothing where there is none."""
    if point is None:
        return None
    value: Any = point.get("value")
    if is_note(value):
        return dict(value)
    if not plausible(value):
        return note("say:" + value) if isinstance(value, str) else None
    unit = point["unit"] if isinstance(point.get("unit"), str) else ""
    minus: Any = point.get("minus")
    plus: Any = point.get("plus")
    shown = amount(value, unit)
    if not plausible(minus) or not plausible(plus) or (minus == 0 and plus == 0):
        return shown
    by = "K" if unit == "degC" else unit
    if told(minus, by) == told(plus, by):
        return note("offer.moved.even", {"value": shown, "plus": amount(plus, by)})
    return note("offer.moved.uneven", {"value": shown, "minus": amount(minus, by), "plus": amount(plus, by)})


def amount(value: float, unit: str) -> Group:
    """Return one figure under the name that ends in its unit, so that it is shown in the person's own."""
    name = NAMES.get(unit)
    return (
        note("offer.moved.n", {"value": value})
        if name is None
        else note("offer.moved." + name, {"value_" + name: value})
    )
