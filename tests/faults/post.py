"""The push service of a run: what the senders told each device, and whether that was right."""

from __future__ import annotations

import json
from collections import Counter
from typing import Any

from common.phones import PushBrowser
from common.push_receiver import PushReceiver, open_message
from plan import Plan
from verdict import Verdict

from temperward.storage.models import Reminder

GONE = 410
FORGETS = ("kill_sender", "kill_server", "set_back")


class Post:
    """One address for each device: it takes messages, is gone, hangs up, or says nothing."""

    def __init__(self, plan: Plan, receiver: PushReceiver) -> None:
        self.plan = plan
        paths = [f"/push/{plan.seed}/{number}-{fate}" for number, fate in enumerate(plan.push_fates)]
        self.browsers = [PushBrowser(receiver, path=path) for path in paths]
        self.paths = paths
        self.receiver = receiver
        for path, fate in zip(paths, plan.push_fates, strict=True):
            if fate == "gone":
                receiver.answers[path] = GONE
            if fate == "lost":
                receiver.lost.add(path)
            if fate == "silent":
                receiver.silent.add(path)
        self.before = len(receiver.received)  # an earlier run of the same seed

    def brittle(self) -> list[tuple[str, dict[str, Any]]]:
        """Return what the hard blades' clocks told, with where it came."""
        by_path = dict(zip(self.paths, self.browsers, strict=True))
        told = []
        for one in self.receiver.received[self.before :]:
            if one.path in by_path:
                browser = by_path[one.path]
                message = json.loads(open_message(one.body, private=browser.private, auth=browser.auth))
                if message["kind"] == "brittle":
                    told.append((one.path, message))
        return told

    def judge(self, verdict: Verdict, *, rows: list[Reminder], stored: list[dict[str, Any]]) -> None:
        """Each stage once at each address, but after a lost answer; nothing of a blade in the oven."""
        told = self.brittle()
        verdict.reminders = len(told)
        # A sender that is killed, or a server set back, may not know any more what it has told.
        forgotten = self.plan.times(*FORGETS)
        times = Counter((path, one["stage"]) for path, one in told if one["piece_id"] == self.plan.hard_log)
        for (path, stage), number in times.items():
            if number > 1 + forgotten and not path.endswith("lost"):
                verdict.double.append(f"{path} was told {number} times of {stage}")
        if self._was_in_the_oven_first(stored):
            wrong = [(path, one) for path, one in told if one["piece_id"] == self.plan.oven_log]
            verdict.wrong += [f"{path} was told {one['stage']} of a blade in the oven" for path, one in wrong]
        states = {one.stage: one.state for one in rows if one.log_id == self.plan.hard_log}
        if forgotten and "claimed" in states.values():
            return  # who held it may have been killed with it: another takes it over in a minute
        if not states:
            return  # the phone was off, or who held the log was killed with it: the run has waited for others
        verdict.lost += [
            f"{path} was told nothing of a hard blade, its reminders are {states}"
            for path in self._living()
            if not any(path == there for there, _stage in times)
        ]

    def has_told_the_living(self) -> bool:
        """Tell whether every address that takes messages was told of the hard blade."""
        told = {path for path, one in self.brittle() if one["piece_id"] == self.plan.hard_log}
        return told.issuperset(self._living())

    def _living(self) -> list[str]:
        return [path for path in self.paths if path.endswith("taken")]

    def _was_in_the_oven_first(self, stored: list[dict[str, Any]]) -> bool:
        """Tell whether the server never saw that blade without its oven: the phone may have been off."""
        log = [entry["body"].get("mark") for entry in stored if entry["log_id"] == self.plan.oven_log]
        return log[:1] == ["in_oven"]
