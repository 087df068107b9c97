"""The fold: a log in, everything that the screen shows out; a log that is held is read on, not read anew."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from temperward.engine import facts as facts_module
from temperward.engine.errors import EngineError, MissingField, UnknownName
from temperward.engine.process.entries import LARGEST_INTEGER, LOG_KINDS, is_integer, unseen
from temperward.engine.process.folded import folded
from temperward.engine.process.order import Ordered, worked_out
from temperward.engine.process.reading import read_on
from temperward.engine.process.shop_logs import fold_thing
from temperward.engine.process.story import Story
from temperward.engine.process.timeline import advance

if TYPE_CHECKING:
    from temperward.engine.process.entries import Entry


def fold(facts: dict[str, Any]) -> dict[str, Any]:
    """Answer `fold`: state, screen, stop points, clocks, findings and flags of one log at one instant."""
    return HeldLog(facts.get("entries") if isinstance(facts, dict) else None).fold(facts)


class HeldLog:
    """The entries of one log, and what was read of them: each is checked, ordered and read once.

    Every answer is what a fold from the first entry on gives; what is kept only saves the work. It begins
    anew when an entry takes back, corrects or goes before another, when the things of the shop say
    something else, and after time alone has moved the blade.
    """

    def __init__(self, entries: Any) -> None:
        """Hold these entries; the first fold looks at them."""
        self.entries = entries
        self._begin(log_kind="", log_id="")

    def _begin(self, *, log_kind: str, log_id: str) -> None:
        self.log_kind = log_kind
        self.log_id = log_id
        self.checked = 0  # how many of the entries were looked at
        self.seen: dict[str, bool] = {}
        self.strange: list[str] = []  # ids of what stands in the list and is no entry of this log
        self.kept: list[Entry] = []  # each entry once
        self.ordered = Ordered()
        self.story: Story | None = None
        self.told = 0  # how many of the events the story has read

    def append(self, entry: Any) -> None:
        """Hold one entry more."""
        self.entries.append(entry)

    def fold(self, facts: dict[str, Any]) -> dict[str, Any]:
        """Answer the question `fold` for these entries; the other facts are as there."""
        story = self.read(facts)
        if story is None:
            answer = fold_thing(self.kept, log_kind=self.log_kind, log_id=self.log_id)
        else:
            answer = folded(self.ordered, story, log_id=self.log_id, now_ms=int(facts["now_ms"]))
        if self.strange:
            answer["unread"] = self.strange + answer["unread"]
        return answer

    def read(self, facts: dict[str, Any]) -> Story | None:
        """Return the story that these entries tell of a blade; nothing for any other log."""
        facts_module.only(facts, ["log_kind", "log_id", "entries", "related", "now_ms"])
        log_kind = facts_module.choice(facts, "log_kind", choices=LOG_KINDS)
        log_id = facts.get("log_id")
        if not isinstance(log_id, str) or not log_id:
            raise MissingField(field="log_id", reason="refusal.missing")
        now_ms = _now_ms(facts)
        related = facts.get("related")
        if related is not None and not isinstance(related, dict):
            raise UnknownName(field="related", value=None, reason="refusal.not_an_object")
        self._check(log_kind=log_kind, log_id=log_id)
        if log_kind != "piece":
            return None
        return self._read(related={} if related is None else related, now_ms=now_ms)

    def _check(self, *, log_kind: str, log_id: str) -> None:
        """Look at the entries that came since the last fold, and put them in order."""
        if not isinstance(self.entries, list):
            raise UnknownName(field="entries", value=None, reason="refusal.not_a_list")
        if log_kind != self.log_kind or log_id != self.log_id:
            self._begin(log_kind=log_kind, log_id=log_id)
        try:
            fresh = unseen(
                self.entries,
                self.seen,
                log_kind=log_kind,
                log_id=log_id,
                strange=self.strange,
                first=self.checked,
            )
        except EngineError:
            self._begin(log_kind="", log_id="")
            raise
        self.checked = len(self.entries)
        self.kept += fresh
        if log_kind == "piece" and not self.ordered.take(fresh):
            self.ordered = worked_out(self.kept)
            self.story = None

    def _read(self, *, related: dict[str, Any], now_ms: int) -> Story:
        """Return the story that the log tells up to now."""
        story = self.story
        if story is None or story.related != related:
            story = Story(chosen=self.ordered.chosen, related=related)
            self.told = 0
        read_on(story, self.ordered.events, first=self.told)
        self.told = len(self.ordered.events)
        self.story = None if advance(story, now_ms) else story
        return story


def _now_ms(facts: dict[str, Any]) -> int:
    now_ms = facts.get("now_ms")
    if not is_integer(now_ms):
        raise MissingField(field="now_ms", low=0, high=LARGEST_INTEGER, unit="ms", reason="refusal.missing")
    return int(facts_module.number(facts, "now_ms", low=0, high=LARGEST_INTEGER, unit="ms"))
