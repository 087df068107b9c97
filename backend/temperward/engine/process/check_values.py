"""Whether the values of a reading can be: the form asks before; an entry once made is never refused."""

from __future__ import annotations

from typing import Any

from temperward.engine import data_files
from temperward.engine import facts as facts_module
from temperward.engine.errors import MissingField, OutOfRange, UnknownName, shown
from temperward.engine.facts import is_number
from temperward.engine.process.entries import fits, stations_apart

Field = dict[str, Any]


def check_values(facts: dict[str, Any]) -> dict[str, Any]:
    """Answer `check_values`: the body as given, or a refusal naming field, value, range and unit."""
    facts_module.only(facts, ["check", "body"])
    table = data_files.load("entries")
    name = facts_module.choice(facts, "check", choices=table["check_order"])
    body = facts.get("body")
    if not isinstance(body, dict):
        raise MissingField(field="body", reason="refusal.missing")
    for field in table["checks"][name]:
        refuse_unless_fits(body.get(field["name"]), field, place="")
    if "stations" in body and not stations_apart(body["stations"]):
        raise OutOfRange(
            field="stations.at_mm", value=None, low=0.5, unit="mm", reason="refusal.same_station"
        )
    return {"check": name, "body": body}


def refuse_unless_fits(value: Any, field: Field, *, place: str) -> None:
    """Refuse a value that is missing, of the wrong kind or outside its range."""
    name = place + field["name"]
    if value is None:
        if not field.get("optional"):
            raise MissingField(
                field=name,
                low=field.get("low"),
                high=field.get("high"),
                unit=field.get("unit", ""),
                reason="refusal.missing",
                choices=field.get("choices"),
            )
        return
    if field["type"] == "rows" and isinstance(value, list):
        _refuse_rows(value, field, name)
        return
    values = value if field["type"] == "numbers" and isinstance(value, list) and value else [value]
    for one in values:
        if not fits({field["name"]: [one] if field["type"] == "numbers" else one}, [field]):
            _refuse(one, field, name)


def _refuse_rows(rows: list[Any], field: Field, name: str) -> None:
    if len(rows) < field.get("least", 1):
        raise OutOfRange(
            field=name, value=len(rows), low=field.get("least", 1), unit="", reason="refusal.three_stations"
        )
    for index in range(len(rows)):
        row = rows[index] if isinstance(rows[index], dict) else {}
        for inner in field["row"]:
            refuse_unless_fits(row.get(inner["name"]), inner, place=name + "[" + str(index) + "].")


def _refuse(value: Any, field: Field, name: str) -> None:
    if field["type"] in ("number", "numbers"):
        number = is_number(value)
        raise OutOfRange(
            field=name,
            value=value if number else shown(value),
            low=field.get("low"),
            high=field.get("high"),
            unit=field.get("unit", ""),
            reason="refusal.out_of_range" if number else "refusal.not_a_number",
        )
    choices = ["true", "false"] if field["type"] == "flag" else field.get("choices")
    reason = "refusal.not_yes_or_no" if field["type"] == "flag" else "refusal.unknown_name"
    raise UnknownName(field=name, value=shown(value), reason=reason, choices=choices)
