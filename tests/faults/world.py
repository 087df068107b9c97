"""One run: phones that write, a server, bad links between, and what goes wrong; then everything heals."""

from __future__ import annotations

import contextlib
import random
import threading
import time
import urllib.error
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from bad_link import BadLink, Links
from common.push_receiver import PushReceiver
from faulty_server import FaultyServer, Shop
from phone_process import PhoneProcess
from plan import Event, Plan
from post import FORGETS, Post
from verdict import Ledger, Verdict, judged

from temperward import instants
from temperward.storage.models import Reminder

HEAL_LIMIT_S = 60.0
HELD_LIMIT_S = (
    5.0  # what a sender that was killed held is another's in a minute: a run does not wait for that
)
LOOK_EVERY_S = 0.25
TOLD_OF_A_STUCK_PHONE = ("states", "waiting", "only_here", "small_wanted", "epoch", "last_calls")


@dataclass
class World:
    """What one run consists of."""

    plan: Plan
    server: FaultyServer
    links: Links
    code: Path
    pictures: list[Path]
    folder: Path
    receiver: PushReceiver
    heal_limit_s: float = HEAL_LIMIT_S
    phones: list[PhoneProcess] = field(default_factory=list)
    ways: list[BadLink] = field(default_factory=list)
    wishes: list[dict[int, list[str]]] = field(default_factory=list)
    erased: set[str] = field(default_factory=set)
    doings: list[threading.Timer] = field(default_factory=list)
    stuck: list[str] = field(default_factory=list)
    reminders: list[Reminder] = field(default_factory=list)  # as they stood when nothing was under way
    held_until: float | None = None

    def __post_init__(self) -> None:
        self.chance = random.Random(f"{self.plan.seed} while it runs")  # noqa: S311 - a seed, no secret
        self.shop: Shop = self.server.open_shop(name=f"Run {self.plan.seed}", devices=self.plan.phones + 1)
        self.post = Post(self.plan, self.receiver)
        self.server.subscribe(self.shop, self.post.browsers)

    def run(self) -> Verdict:
        """Run, heal, and say what became of it."""
        try:
            self._open()
            self._happen()
            self._heal()
            verdict = judged(self._ledger(), server=self.server, shop=self.shop)
            self.post.judge(verdict, rows=self.reminders, stored=self.server.stored(self.shop.shop_id))
            return verdict
        finally:
            self._close()

    def _open(self) -> None:
        started_ms = int(time.time() * 1000)
        for number, badness in enumerate(self.plan.badness):
            chance = random.Random(f"{self.plan.seed} link {number}")  # noqa: S311 - a seed, no secret
            way = BadLink(self.links.loop, self.server.port, chance, badness=badness).open()
            phone = PhoneProcess(
                name=f"phone {number}",
                folder=self.folder / f"phone-{self.plan.seed}-{number}",
                code=self.code,
                base_url=f"http://127.0.0.1:{way.port}",
                cookie=self.shop.cookies[number],
                started_ms=started_ms,
            )
            self.ways.append(way)
            self.phones.append(phone)
            self.wishes.append({})
            phone.start()

    def _happen(self) -> None:
        started = time.monotonic()
        for event in self.plan.events:
            time.sleep(max(0.0, started + event.at_s - time.monotonic()))
            getattr(self, f"_{event.do}")(event)

    def _write(self, event: Event) -> None:
        labels = [entry["body"]["text"] for entry in event.more["entries"]]
        now_ms = int(time.time() * 1000)
        entries = [
            {**entry, "happened_ms": now_ms - entry["ago_ms"]} if "ago_ms" in entry else entry
            for entry in event.more["entries"]
        ]
        self._wish(event.phone, labels, "write", entries=entries)

    def _photo(self, event: Event) -> None:
        more = dict(event.more)
        file = str(self.pictures[more.pop("picture") % len(self.pictures)])
        self._wish(event.phone, [more["body"]["text"]], "photo", file=file, **more)

    def _wish(self, number: int, labels: list[str], do: str, **more: Any) -> None:
        if self.phones[number].process is not None:
            self.wishes[number][self.phones[number].tell(do, **more)] = labels

    def _tell(self, event: Event) -> None:
        if self.phones[event.phone].process is not None:
            more = dict(event.more)
            self.phones[event.phone].tell(more.pop("wish"), **more)

    def _kill_phone(self, event: Event) -> None:
        self.phones[event.phone].kill()

    def _start_phone(self, event: Event) -> None:
        if self.phones[event.phone].process is None:
            self.phones[event.phone].start()

    def _freeze(self, event: Event) -> None:
        if self.phones[event.phone].process is not None:
            self.phones[event.phone].freeze()

    def _thaw(self, event: Event) -> None:
        if self.phones[event.phone].process is not None:
            self.phones[event.phone].thaw()

    def _link_down(self, event: Event) -> None:
        self.ways[event.phone].down = True

    def _link_up(self, event: Event) -> None:
        self.ways[event.phone].down = False

    def _kill_worker(self, _event: Event) -> None:
        self.server.kill_worker(self.chance)

    def _kill_sender(self, _event: Event) -> None:
        self.server.kill_sender(self.chance)

    def _pause(self, event: Event) -> None:
        pids = [self.server.worker(self.chance)]
        if event.more["whole"]:
            pids = self.server.all_workers()
        for pid in pids:
            self.server.pause(pid)
            timer = threading.Timer(event.more["more_s"], self.server.go_on, [pid])
            timer.start()
            self.doings.append(timer)

    def _erase(self, _event: Event) -> None:
        there = [entry["id"] for entry in self.server.stored(self.shop.shop_id) if entry["kind"] == "note"]
        if not there:
            return
        wanted = self.chance.choice(sorted(there))
        with contextlib.suppress(urllib.error.URLError, OSError):
            body = {"what": "entry", "id": wanted}
            self.server.call("/api/erase", cookie=self.shop.cookies[0], body=body)
            self.erased.add(wanted)

    def _back_up(self, _event: Event) -> None:
        self.server.back_up(self.folder / f"backup-{self.plan.seed}")

    def _set_back(self, _event: Event) -> None:
        self.server.kill()
        self.server.set_back(self.folder / f"backup-{self.plan.seed}")
        self.server.launch()

    def _kill_server(self, _event: Event) -> None:
        self.server.kill()
        self.server.launch()

    def _heal(self) -> None:
        for timer in self.doings:
            timer.join()
        for way in self.ways:
            way.down, way.badness = False, 0.0
        self.server.wait()
        for phone in self.phones:
            if phone.process is None:
                phone.start()
            phone.thaw()
            phone.ask("limit", bytes=None)
        # From here on nobody touches anything: the phones' own timers have to bring it to an end.
        deadline = time.monotonic() + self.heal_limit_s
        while (stuck := self._not_yet()) and time.monotonic() < deadline:
            time.sleep(LOOK_EVERY_S)
        self.stuck = stuck

    def _not_yet(self) -> list[str]:
        """Name what is still under way."""
        if any(way.under_way for way in self.ways):
            return ["requests under way"]
        reports = [phone.ask("report") for phone in self.phones]
        # Read after the reports: what a phone sends while another is asked is then seen to be lacking.
        stored = {entry["id"] for entry in self.server.stored(self.shop.shop_id)}
        waits = []
        for phone, report in zip(self.phones, reports, strict=True):
            only_here = report["only_here"]["photos"] + report["waiting"]
            lacks = stored - {entry["id"] for entry in report["entries"]}
            gone = {entry["id"] for entry in report["entries"] if entry["body"].get("erased")}
            if only_here or lacks or report["small_wanted"] or self.erased - gone:
                parts = {name: report[name] for name in TOLD_OF_A_STUCK_PHONE}
                waits.append(f"{phone.name}: lacks {len(lacks)}, {parts}")
        return waits or self._not_yet_told()

    def _not_yet_told(self) -> list[str]:
        """Name the reminders that no sender has taken up."""
        shop_id, hard_log = self.shop.shop_id, self.plan.hard_log
        # The logs first: one that a sender has done by now has its reminders among those read after it.
        # And what is judged is what is read here: a moment later there may be more, told by nobody yet.
        has_work = self.server.logs_are_due(shop_id)
        self.reminders = self.server.reminders(shop_id)
        if has_work or any(
            one.state == "waiting" and one.next_try_ms <= instants.now_ms() for one in self.reminders
        ):
            return ["reminders that nobody sends"]
        is_there = any(entry["log_id"] == hard_log for entry in self.server.stored(shop_id))
        states = [one.state for one in self.reminders if one.log_id == hard_log]
        is_held = is_there and (not states or "claimed" in states) and not self.post.has_told_the_living()
        return ["a hard blade that no sender has told of"] if is_held and not self._was_killed() else []

    def _was_killed(self) -> bool:
        """Tell whether who holds the hard blade has had its time, where a sender was killed in this run."""
        if not self.plan.times(*FORGETS):
            return False
        self.held_until = self.held_until or time.monotonic() + HELD_LIMIT_S
        return time.monotonic() >= self.held_until

    def _ledger(self) -> Ledger:
        ledger = Ledger(
            plan=self.plan, stuck=list(self.stuck), erased=frozenset(self.erased), phones=self.phones
        )
        for phone, wishes in zip(self.phones, self.wishes, strict=True):
            ledger.troubles += [f"{phone.name}: {trouble}" for trouble in phone.troubles]
            for number, labels in wishes.items():
                answer = phone.answers.get(number, {})
                if "kept" in answer:
                    ledger.kept.update(zip(answer["kept"], labels, strict=True))
                elif "not_kept" in answer:
                    ledger.not_kept.update(labels)
        return ledger

    def _close(self) -> None:
        for timer in self.doings:
            timer.join()
        for phone in self.phones:
            phone.kill()
        for way in self.ways:
            way.close()
