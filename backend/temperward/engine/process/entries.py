"""Reading entries: the envelope is refused by name when it is broken, a body we cannot read is kept unread."""

from __future__ import annotations

from typing import Any

from temperward.engine import data_files
from temperward.engine.errors import MissingField, OutOfRange, UnknownName
from temperward.engine.facts import is_number

Entry = dict[str, Any]

LOG_KINDS = ["piece", "bar", "bath", "oven", "instrument", "coupon", "member", "shop", "customer"]
AT_SOURCES = ["live", "back_dated", "estimated"]
READ_VERSION = 1
LEAST_APART_MM = 0.5  # stations nearer than this are one station (source: design)
LARGEST_INTEGER = 9007199254740991  # the largest whole number that survives JSON on every host (RFC 8259, 6)

TEXTS = ["id", "log_kind", "log_id", "kind", "device_id", "at_source"]
INTEGERS = ["version", "lamport", "happened_ms", "written_ms"]


def is_integer(value: Any) -> bool:
    """Tell a whole number from everything else; a truth value is not a number."""
    return isinstance(value, int) and not isinstance(value, bool)


def check_envelopes(entries: Any, *, log_kind: str, log_id: str) -> list[Entry]:
    """Return the entries of one log, each once; refuse a broken envelope by its place and name."""
    if not isinstance(entries, list):
        raise UnknownName(field="entries", value=None, reason="refusal.not_a_list")
    seen: dict[str, bool] = {}
    kept = []
    for index, entry in enumerate(entries):
        place = "entries[" + str(index) + "]"
        _check_envelope(entry, place)
        _check_home(entry, place, log_kind=log_kind, log_id=log_id)
        if entry["id"] not in seen:
            seen[entry["id"]] = True
            kept.append(entry)
    return kept


def _check_envelope(entry: Any, place: str) -> None:
    if not isinstance(entry, dict):
        raise UnknownName(field=place, value=None, reason="refusal.not_an_object")
    for name in TEXTS:
        value = entry.get(name)
        if not isinstance(value, str) or not value:
            _refuse(place, name, value, "refusal.not_a_text")
    for name in INTEGERS:
        value = entry.get(name)
        if not is_integer(value) or value > LARGEST_INTEGER or value < 0:  # type: ignore[operator]
            _refuse(place, name, value, "refusal.not_a_whole_number")
    if not is_number(entry.get("plus_minus_s")) or entry["plus_minus_s"] < 0:
        _refuse(place, "plus_minus_s", entry.get("plus_minus_s"), "refusal.not_a_number")
    if not isinstance(entry.get("body"), dict):
        _refuse(place, "body", None, "refusal.not_an_object")
    if entry["at_source"] not in AT_SOURCES:
        raise UnknownName(
            field=place + ".at_source",
            value=entry["at_source"],
            reason="refusal.unknown_name",
            choices=AT_SOURCES,
        )


def _check_home(entry: Entry, place: str, *, log_kind: str, log_id: str) -> None:
    if entry["log_id"] != log_id:
        raise UnknownName(
            field=place + ".log_id", value=entry["log_id"], reason="refusal.other_log", choices=[log_id]
        )
    if entry["log_kind"] != log_kind:
        raise UnknownName(
            field=place + ".log_kind", value=entry["log_kind"], reason="refusal.other_log", choices=[log_kind]
        )


def _refuse(place: str, name: str, value: Any, reason: str) -> None:
    field = place + "." + name
    if value is None:
        raise MissingField(field=field, reason="refusal.missing")
    if is_number(value):
        raise OutOfRange(field=field, value=value, low=0, high=LARGEST_INTEGER, reason=reason)
    raise UnknownName(field=field, value=str(value), reason=reason)


def readable(entry: Entry) -> bool:
    """Tell whether this engine knows the entry's kind and version and can read its body."""
    if entry["version"] != READ_VERSION:
        return False
    bodies: dict[str, Any] = data_files.load("entries")["piece"]
    shape = bodies.get(entry["kind"])
    if shape is None or not fits(entry["body"], shape):
        return False
    if entry["kind"] == "mark":
        return entry["body"]["mark"] in data_files.load("marks")["by_id"]
    if entry["kind"] == "check":
        check_shape = data_files.load("entries")["checks"].get(entry["body"]["check"])
        if check_shape is None or not fits(entry["body"], check_shape):
            return False
        return "stations" not in entry["body"] or stations_apart(entry["body"]["stations"])
    if entry["kind"] == "finding":
        return entry["body"]["finding"] in data_files.load("findings")["by_id"]
    return True


def stations_apart(stations: Any) -> bool:
    """Tell whether no two stations are at one place: a slope between them could not be reckoned."""
    if not isinstance(stations, list) or not all(isinstance(row, dict) for row in stations):
        return False
    places = sorted([row["at_mm"] for row in stations if is_number(row.get("at_mm"))])
    return all(places[index] - places[index - 1] >= LEAST_APART_MM for index in range(1, len(places)))


def readable_thing(entry: Entry) -> bool:
    """Tell whether this engine knows the kind of an entry in the log of a thing or a person."""
    if entry["version"] != READ_VERSION:
        return False
    shape = data_files.load("entries")["thing"].get(entry["kind"])
    if shape is None or not fits(entry["body"], shape):
        return False
    checks = data_files.load("entries")["checks"]
    if entry["kind"] != "check" or entry["body"]["check"] not in checks:
        return True
    return fits(entry["body"], checks[entry["body"]["check"]])


def fits(body: dict[str, Any], shape: list[dict[str, Any]]) -> bool:
    """Tell whether every field the shape names is there, of its type and inside its range."""
    return all(_field_fits(body.get(field["name"]), field) for field in shape)


def _field_fits(value: Any, field: dict[str, Any]) -> bool:
    if value is None:
        return bool(field.get("optional"))
    return _TYPE_TESTS[field["type"]](value, field)


def _number_fits(value: Any, field: dict[str, Any]) -> bool:
    if not is_number(value):
        return False
    low = field.get("low")
    high = field.get("high")
    return (low is None or value >= low) and (high is None or value <= high)


def _numbers_fit(value: Any, field: dict[str, Any]) -> bool:
    return isinstance(value, list) and len(value) > 0 and all(_number_fits(one, field) for one in value)


def _text_fits(value: Any, field: dict[str, Any]) -> bool:
    return isinstance(value, str) and len(value) >= field.get("least", 1)


def _texts_fit(value: Any, field: dict[str, Any]) -> bool:
    return isinstance(value, list) and len(value) > 0 and all(_text_fits(one, field) for one in value)


def _choice_fits(value: Any, field: dict[str, Any]) -> bool:
    return isinstance(value, str) and value in field["choices"]


def _flag_fits(value: Any, _field: dict[str, Any]) -> bool:
    return isinstance(value, bool)


def _object_fits(value: Any, _field: dict[str, Any]) -> bool:
    return isinstance(value, dict)


def _integer_fits(value: Any, _field: dict[str, Any]) -> bool:
    return is_integer(value) and 0 <= value <= LARGEST_INTEGER


def _rows_fit(value: Any, field: dict[str, Any]) -> bool:
    if not isinstance(value, list) or len(value) < field.get("least", 1):
        return False
    return all(isinstance(row, dict) and fits(row, field["row"]) for row in value)


_TYPE_TESTS = {
    "number": _number_fits,
    "numbers": _numbers_fit,
    "integer": _integer_fits,
    "text": _text_fits,
    "texts": _texts_fit,
    "choice": _choice_fits,
    "flag": _flag_fits,
    "object": _object_fits,
    "rows": _rows_fit,
}
