"""Reading entries: what is broken, of another log or of a newer program is kept unread and stops nothing."""

from __future__ import annotations

from typing import Any

from temperward.engine import data_files
from temperward.engine.errors import UnknownName, shown
from temperward.engine.facts import is_number

Entry = dict[str, Any]

LOG_KINDS = ["piece", "bar", "bath", "oven", "instrument", "coupon", "member", "shop", "customer"]
AT_SOURCES = ["live", "back_dated", "estimated"]
READ_VERSION = 1
LEAST_APART_MM = 0.5  # stations nearer than this are one station (source: design)
LARGEST_INTEGER = 9007199254740991  # the largest whole number that survives JSON on every host (RFC 8259, 6)

PLAIN_NUMBERS = [int, float]
INFINITE = float("inf")


def is_integer(value: Any) -> bool:
    """Tell a whole number from everything else; a truth value is not a number."""
    return isinstance(value, int) and not isinstance(value, bool)


def unseen(
    entries: list[Any],
    seen: dict[str, bool],
    *,
    log_kind: str,
    log_id: str,
    strange: list[str],
    first: int = 0,
) -> list[Entry]:
    """Return the entries from a place on, each once; ids of those that are no entries of this log go aside.

    A blade's clocks must not stop because one line among its own is broken, or strayed in from elsewhere.
    """
    kept = []
    for index in range(first, len(entries)):
        entry = entries[index]
        if not _sound(entry, log_kind=log_kind, log_id=log_id):
            strange_id = _id_of(entry, "entries[" + str(index) + "]")
            if strange_id not in strange:
                strange.append(strange_id)
            continue
        entry_id = entry["id"]
        if entry_id not in seen:
            seen[entry_id] = True
            kept.append(entry)
    return kept


def _id_of(entry: Any, place: str) -> str:
    """Return what a broken entry can be shown by; what has no id is refused by its place."""
    if not isinstance(entry, dict):
        raise UnknownName(field=place, value=None, reason="refusal.not_an_object")
    entry_id = entry.get("id")
    if not isinstance(entry_id, str) or entry_id == "":
        raise UnknownName(field=place + ".id", value=shown(entry_id), reason="refusal.not_a_text")
    return entry_id


def _sound(entry: Any, *, log_kind: str, log_id: str) -> bool:
    """Tell whether an envelope is whole, and of this log.

    Exact types, each field looked up once: every fold asks this of every entry, and on the phone it adds up.
    """
    try:
        entry_id = entry["id"]
        kind = entry["kind"]
        device = entry["device_id"]
        lamport = entry["lamport"]
        happened_ms = entry["happened_ms"]
        written_ms = entry["written_ms"]
        plus_minus_s = entry["plus_minus_s"]
        return (
            isinstance(entry_id, str)
            and isinstance(kind, str)
            and isinstance(device, str)
            and entry_id != ""
            and kind != ""
            and device != ""
            and type(entry["version"]) is type(lamport) is type(happened_ms) is type(written_ms) is int
            and lamport >= 0
            and 0 <= happened_ms <= LARGEST_INTEGER
            and 0 <= written_ms <= LARGEST_INTEGER
            and lamport <= LARGEST_INTEGER
            and type(entry["body"]) is dict
            and type(plus_minus_s) in PLAIN_NUMBERS
            and 0 <= plus_minus_s < INFINITE
            and entry["at_source"] in AT_SOURCES
            and entry["log_id"] == log_id
            and entry["log_kind"] == log_kind
        )
    except (KeyError, TypeError):
        return False


class Tables:
    """What entries are read by, looked up once for a log."""

    def __init__(self) -> None:
        """Load them."""
        tables = data_files.load("entries")
        self.piece: dict[str, Any] = tables["piece"]
        self.thing: dict[str, Any] = tables["thing"]
        self.checks: dict[str, Any] = tables["checks"]
        self.named: dict[str, dict[str, Any]] = {  # the kinds that say by name what they are
            "mark": data_files.load("marks")["by_id"],
            "check": self.checks,
            "finding": data_files.load("findings")["by_id"],
        }


def readable(entry: Entry, tables: Tables) -> bool:
    """Tell whether this engine knows the entry's kind and version and can read its body."""
    if entry["version"] != READ_VERSION:
        return False
    kind = entry["kind"]
    body = entry["body"]
    if kind in tables.named:
        name = body.get(kind)
        known = isinstance(name, str) and name in tables.named[kind]
        return known and (kind != "check" or _check_fits(body, tables))
    shape = tables.piece.get(kind)
    return shape is not None and fits(body, shape)


def _check_fits(body: dict[str, Any], tables: Tables) -> bool:
    if not fits(body, tables.checks[body["check"]]):
        return False
    return "stations" not in body or stations_apart(body["stations"])


def stations_apart(stations: Any) -> bool:
    """Tell whether no two stations are at one place: a slope between them could not be reckoned."""
    if not isinstance(stations, list) or not all(isinstance(row, dict) for row in stations):
        return False
    places = sorted([row["at_mm"] for row in stations if is_number(row.get("at_mm"))])
    return all(places[index] - places[index - 1] >= LEAST_APART_MM for index in range(1, len(places)))


def readable_thing(entry: Entry, tables: Tables) -> bool:
    """Tell whether this engine knows the kind of an entry in the log of a thing or a person."""
    if entry["version"] != READ_VERSION:
        return False
    shape = tables.thing.get(entry["kind"])
    if shape is None or not fits(entry["body"], shape):
        return False
    if entry["kind"] != "check" or entry["body"]["check"] not in tables.checks:
        return True
    return _check_fits(entry["body"], tables)


def fits(body: dict[str, Any], shape: list[dict[str, Any]]) -> bool:
    """Tell whether every field the shape names is there, of its type and inside its range."""
    for field in shape:
        value = body.get(field["name"])
        if value is None:
            if not field.get("optional"):
                return False
        elif not _TYPE_TESTS[field["type"]](value, field):
            return False
    return True


def _number_fits(value: Any, field: dict[str, Any]) -> bool:
    return is_number(value) and field.get("low", value) <= value <= field.get("high", value)


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
    for row in value:  # noqa: SIM110 (as above)
        if not isinstance(row, dict) or not fits(row, field["row"]):
            return False
    return True


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
