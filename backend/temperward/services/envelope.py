"""What an entry must look like from outside. Its body is the engine's matter, before the mark is made.

ENVELOPE is the one table: pushes are judged by it, and the OpenAPI document is drawn from it.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any, Literal, NamedTuple

from temperward.engine import data_files

Reason = Literal["not_an_object", "bad_envelope", "too_big", "other_body", "not_allowed"]

BODY_LIMIT_BYTES = 64 * 1024
DEEPEST_BODY = 64  # lists and objects one inside the other; the deepest of ours, a card, has 11
SERVER_FIELDS = frozenset(("seq", "received_ms", "unread", "erased_ms", "shop_id"))
LOG_KINDS = ("piece", "bar", "bath", "oven", "instrument", "coupon", "member", "shop", "customer")
AT_SOURCES = ("live", "back_dated", "estimated")
ROLES = ("owner", "smith", "viewer")
SAFE_INTEGER = 2**53 - 1  # the largest whole number a phone's JavaScript keeps exactly (ECMA-262)
# Design: more entries than a log ever has. A mark counts one on from the highest of its log, so without a
# limit one entry with the largest number would leave no number for every mark after it.
LAMPORT_ROOM = 1_000_000
LAMPORT_ABOUT = f"at most {LAMPORT_ROOM:,} more than the highest that the log has, none being 0"
SKEW_MS = 120_000  # design: clocks of phones differ by seconds; from two minutes on a step's time misleads
LONGEST_OFFSET_MIN = 18 * 60  # what ISO 8601 tools accept; real zones reach 14 h
UUID = re.compile(r"[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}")
WORD = re.compile(r"[a-z][a-z0-9_]{0,63}")
SHA256 = re.compile(r"[0-9a-f]{64}")

OTHER_KINDS = ("made", "changed", "check", "note", "photo", "withdraw", "correct", "choose", "same_as")
# What comes out of JSON holds no circle; made once, because making one costs as much as using it.
COMPACT = json.JSONEncoder(separators=(",", ":"), allow_nan=False, check_circular=False)
READ_VERSION = 1  # the version of every kind that this release reads


@dataclass(frozen=True, slots=True, kw_only=True)
class EnvelopeField:
    """One field of the envelope: its JSON type for the document and the test that a value must pass."""

    name: str
    schema: dict[str, Any]
    passes: Callable[[Any], bool]
    required: bool = True


def _whole(name: str, *, low: int, high: int, about: str = "") -> EnvelopeField:
    def passes(value: Any) -> bool:
        return type(value) is int and low <= value <= high

    schema: dict[str, Any] = {"type": "integer", "minimum": low, "maximum": high}
    if about:
        schema["description"] = about
    return EnvelopeField(name=name, schema=schema, passes=passes)


def _number(name: str, *, low: float, high: float) -> EnvelopeField:
    def passes(value: Any) -> bool:
        return type(value) in (int, float) and low <= value <= high

    return EnvelopeField(name=name, schema={"type": "number", "minimum": low, "maximum": high}, passes=passes)


def _text(name: str, *, longest: int, least: int = 0, required: bool = True) -> EnvelopeField:
    def passes(value: Any) -> bool:
        return isinstance(value, str) and least <= len(value) <= longest and "\x00" not in value

    schema: dict[str, Any] = {"type": "string" if required else ["string", "null"], "maxLength": longest}
    if least:
        schema["minLength"] = least
    return EnvelopeField(name=name, schema=schema, passes=passes, required=required)


def _pattern(name: str, pattern: re.Pattern[str], *, required: bool = True) -> EnvelopeField:
    def passes(value: Any) -> bool:
        return isinstance(value, str) and pattern.fullmatch(value) is not None

    schema = {"type": "string", "pattern": f"^{pattern.pattern}$"}
    return EnvelopeField(name=name, schema=schema, passes=passes, required=required)


def _choice(name: str, choices: tuple[str, ...]) -> EnvelopeField:
    def passes(value: Any) -> bool:
        return isinstance(value, str) and value in choices

    return EnvelopeField(name=name, schema={"type": "string", "enum": list(choices)}, passes=passes)


def _is_object(value: Any) -> bool:
    return isinstance(value, dict)


def _skew(name: str) -> EnvelopeField:
    def passes(value: Any) -> bool:
        return type(value) is int and abs(value) <= SAFE_INTEGER

    about = "by how much the server's clock was ahead of the phone's when the phone last asked"
    schema = {"type": ["integer", "null"], "minimum": -SAFE_INTEGER, "maximum": SAFE_INTEGER}
    return EnvelopeField(name=name, schema={**schema, "description": about}, passes=passes, required=False)


ENVELOPE: tuple[EnvelopeField, ...] = (
    _pattern("id", UUID),
    _choice("log_kind", LOG_KINDS),
    _pattern("log_id", UUID),
    _pattern("kind", WORD),
    _whole("version", low=1, high=10_000),
    EnvelopeField(name="body", schema={"type": "object"}, passes=_is_object),
    _whole("lamport", low=0, high=SAFE_INTEGER, about=LAMPORT_ABOUT),
    _whole("happened_ms", low=0, high=SAFE_INTEGER),
    _whole("written_ms", low=0, high=SAFE_INTEGER),
    _number("plus_minus_s", low=0, high=1e10),
    _whole("utc_offset_min", low=-LONGEST_OFFSET_MIN, high=LONGEST_OFFSET_MIN),
    _text("zone", longest=64),
    _choice("at_source", AT_SOURCES),
    _text("device_id", longest=64, least=1),  # the engine orders a log by the clock of each device
    _text("member_id", longest=64),
    _text("initials", longest=16),
    _text("engine_version", longest=128),
    _text("group_id", longest=64, required=False),
    _skew("skew_ms"),
)
# The same, laid out for looking at every field of every entry.
CHECKS = tuple((one.name, one.passes, one.required) for one in ENVELOPE)


class Judged(NamedTuple):
    """An entry that may be stored, with its own text, or the reason why not."""

    id: str | None
    entry: dict[str, Any] | None = None
    text: str = ""
    reason: Reason | None = None
    field: str | None = None


def judge(offered: Any, *, role: str) -> Judged:
    """Judge one entry by itself: nothing about it holds up its neighbours."""
    if not isinstance(offered, dict):
        return Judged(id=None, reason="not_an_object")
    named = offered.get("id")
    known = named if isinstance(named, str) and UUID.fullmatch(named) else None
    entry = offered
    if not SERVER_FIELDS.isdisjoint(offered):
        entry = {name: value for name, value in offered.items() if name not in SERVER_FIELDS}
    wrong = _wrong_field(entry)
    if wrong is not None:
        return Judged(id=known, reason="bad_envelope", field=wrong)
    text = as_text(entry)
    if text is None or _is_too_deep(entry["body"], text=text):
        return Judged(id=known, reason="bad_envelope", field="body")
    if len(text) > BODY_LIMIT_BYTES and _is_too_big(entry):
        return Judged(id=known, reason="too_big", field="body")
    if not may_write(entry, role=role):
        return Judged(id=known, reason="not_allowed")
    return Judged(known, entry, text)


def _wrong_field(entry: dict[str, Any]) -> str | None:
    for name, passes, required in CHECKS:
        value = entry.get(name)
        if not passes(value) and (required or value is not None):
            return name
    return None


def as_text(entry: dict[str, Any]) -> str | None:
    """Return the entry as compact JSON in plain ASCII; None when it holds what JSON has no word for."""
    try:
        return COMPACT.encode(entry)
    except (ValueError, RecursionError):
        return None


def _is_too_deep(body: Any, *, text: str) -> bool:
    """Tell a body nested so deep that who reads it later, here or on a phone, would run out of stack."""
    if text.count("{") + text.count("[") <= DEEPEST_BODY:
        return False
    level = [body]
    for _ in range(DEEPEST_BODY + 1):
        level = [inner for outer in level for inner in _inside(outer)]
    return bool(level)


def _inside(value: Any) -> Iterable[Any]:
    if isinstance(value, dict):
        return value.values()
    return value if isinstance(value, list) else ()


def _is_too_big(entry: dict[str, Any]) -> bool:
    """Measure in UTF-8, as the phone does; what stands beside the body has no business being large either."""
    return (
        len(json.dumps(entry, separators=(",", ":"), ensure_ascii=False).encode("utf-8", "replace"))
        > BODY_LIMIT_BYTES
    )


def may_write(entry: dict[str, Any], *, role: str) -> bool:
    """Tell whether a role may write such an entry.

    A smith may add a member and change one (whoever joins must be able to sign with their initials);
    taking a member away is the owner's.
    """
    if role == "owner":
        return True
    if role != "smith":
        return False
    return entry["log_kind"] != "member" or entry["kind"] in ("made", "changed", "note")


def entry_kinds() -> dict[str, list[dict[str, Any]]]:
    """Return the kinds of a piece's log that this release reads, with the parts of their bodies."""
    kinds: dict[str, list[dict[str, Any]]] = data_files.load("entries")["piece"]
    return kinds


def is_unread(entry: dict[str, Any]) -> bool:
    """Tell an entry of a kind or version that a newer program wrote: kept and passed on, no more."""
    kinds = entry_kinds() if entry["log_kind"] == "piece" else OTHER_KINDS
    return entry["kind"] not in kinds or entry["version"] != READ_VERSION


def is_skewed(entry: dict[str, Any], *, now_ms: int) -> bool:
    """Tell an entry whose phone had a wrong clock: as it measured, or because it was written in the future.

    It is stored as it was said, like any other: the flag is for who looks at its times.
    """
    measured_ms: int = entry.get("skew_ms") or 0
    written_ms: int = entry["written_ms"]
    return abs(measured_ms) > SKEW_MS or written_ms - now_ms > SKEW_MS


def photo_of(entry: dict[str, Any]) -> str | None:
    """Return the name of the photo that an entry shows; what else may stand there names none."""
    found = entry["body"].get("sha256") if entry["kind"] == "photo" else None
    return found if isinstance(found, str) and SHA256.fullmatch(found) else None


def same_json(left: Any, right: Any) -> bool:
    """Compare two parsed JSON values: 1 and 1.0 are one number, 1 and true are not."""
    if isinstance(left, dict) and isinstance(right, dict):
        return left.keys() == right.keys() and all(same_json(left[name], right[name]) for name in left)
    if isinstance(left, list) and isinstance(right, list):
        return len(left) == len(right) and all(map(same_json, left, right))
    if isinstance(left, bool) or isinstance(right, bool):
        return left is right
    return bool(left == right)
