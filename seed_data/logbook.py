"""Writing a log as phones would have written it: ids, instants, log order, devices, members."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

ZONE = "Europe/Dublin"
ENGINE_VERSION = "0.1.0+demo"
YEAR = 2026
SECOND_MS = 1_000
MINUTE_MS = 60 * SECOND_MS
HOUR_MS = 60 * MINUTE_MS

Body = dict[str, Any]
Entry = dict[str, Any]


def at(text: str) -> int:
    """Return the instant of a Dublin wall clock time in 2026, in ms; the repeated hour is not used here.

    >>> at("24 Oct 17:52:00") - at("25 Oct 09:10:00")
    -58680000
    """
    wall = datetime.strptime(f"{YEAR} {text}", "%Y %d %b %H:%M:%S").replace(tzinfo=ZoneInfo(ZONE))
    return round(wall.timestamp() * SECOND_MS)


def utc_offset_min(instant_ms: int) -> int:
    """Return how far Dublin's clocks were ahead of UTC at an instant."""
    offset = datetime.fromtimestamp(instant_ms / SECOND_MS, tz=ZoneInfo(ZONE)).utcoffset()
    return 0 if offset is None else round(offset.total_seconds() / 60)


def uuid7(instant_ms: int, *, seed: bytes) -> str:
    """Return a version 7 UUID whose chance part comes from a seed.

    >>> uuid7(0, seed=b"x")[:19]
    '00000000-0000-7d71-'
    """
    chance = int.from_bytes(hashlib.sha256(seed).digest()[:10], "big")
    high = instant_ms << 16 | 0x7000 | chance >> 68
    low = 0x8000_0000_0000_0000 | chance & 0x3FFF_FFFF_FFFF_FFFF
    text = f"{high:016x}{low:016x}"
    return "-".join((text[:8], text[8:12], text[12:16], text[16:20], text[20:]))


@dataclass(frozen=True, slots=True, kw_only=True)
class Smith:
    """A person of the shop and the phone in that person's pocket."""

    initials: str
    name: str
    member_id: str
    device_id: str
    settings: Body


@dataclass(slots=True)
class Logbook:
    """All logs of a shop, entry by entry, with the photos they name."""

    seed: bytes
    entries: list[Entry] = field(default_factory=list)
    photos: list[bytes] = field(default_factory=list)

    def new_id(self, instant_ms: int) -> str:
        """Return the next id: the same for the same seed and the same order of calls."""
        place = len(self.entries).to_bytes(4, "big")
        return uuid7(instant_ms, seed=self.seed + place)


@dataclass(slots=True)
class Log:
    """One log being written; lamport is one more than the highest seen in it."""

    book: Logbook
    kind: str
    writer: Smith
    log_id: str
    lamport: int = 0

    def add(
        self,
        happened_ms: int,
        kind: str,
        body: Body,
        *,
        by: Smith | None = None,
        late_s: float = 0,
        plus_minus_s: float = 0,
        beside_last: bool = False,
        group_id: str | None = None,
    ) -> str:
        """Append one entry and return its id.

        late_s > 0: written that much later than it happened, so it is back-dated. beside_last: written
        on a phone that had not yet seen the entry before, so both carry the same lamport.
        """
        smith = by or self.writer
        self.lamport += 0 if beside_last else 1
        written_ms = happened_ms + round(late_s * SECOND_MS)
        entry = {
            "id": self.book.new_id(written_ms),
            "log_kind": self.kind,
            "log_id": self.log_id,
            "kind": kind,
            "version": 1,
            "body": body,
            "lamport": self.lamport,
            "happened_ms": happened_ms,
            "written_ms": written_ms,
            "plus_minus_s": plus_minus_s,
            "utc_offset_min": utc_offset_min(happened_ms),
            "zone": ZONE,
            "at_source": "back_dated" if late_s else "live",
            "device_id": smith.device_id,
            "member_id": smith.member_id,
            "initials": smith.initials,
            "engine_version": ENGINE_VERSION,
        }
        if group_id is not None:
            entry["group_id"] = group_id
        self.book.entries.append(entry)
        return str(entry["id"])

    def mark(self, happened_ms: int, mark: str, **options: Any) -> str:
        """Append a mark; `body` in options adds to it."""
        return self.add(happened_ms, "mark", {"mark": mark, **options.pop("body", {})}, **options)

    def check(self, happened_ms: int, check: str, body: Body, **options: Any) -> str:
        """Append a check."""
        return self.add(happened_ms, "check", {"check": check, **body}, **options)

    def finding(self, happened_ms: int, finding: str, **options: Any) -> str:
        """Append a finding; `body` in options adds cause and text."""
        return self.add(happened_ms, "finding", {"finding": finding, **options.pop("body", {})}, **options)

    def override(self, happened_ms: int, gate: str, items: list[str], reason: str, **options: Any) -> str:
        """Append a "go anyway" with its reason and the writer's initials."""
        smith = options.get("by") or self.writer
        body = {"gate": gate, "items": items, "reason": reason, "initials": smith.initials}
        return self.add(happened_ms, "override", body, **options)

    def note(self, happened_ms: int, text: str, **options: Any) -> str:
        """Append a note."""
        return self.add(happened_ms, "note", {"text": text}, **options)

    def photo(
        self, happened_ms: int, picture: Picture, *, step: str | None = None, of: str | None = None
    ) -> str:
        """Append a photo and put its bytes aside for the photo store."""
        self.book.photos.append(picture.data)
        body: Body = {
            "sha256": hashlib.sha256(picture.data).hexdigest(),
            "bytes": len(picture.data),
            "width": picture.width,
            "height": picture.height,
            "media_type": "image/jpeg",
            "taken_ms": happened_ms,
        }
        named = {"step": step, "of": of, "station_mm": picture.station_mm}
        body.update({name: value for name, value in named.items() if value is not None})
        return self.add(happened_ms, "photo", body)


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """A drawn photo: JPEG bytes without metadata."""

    data: bytes
    width: int
    height: int
    station_mm: float | None = None
