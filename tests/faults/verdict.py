"""What became of a run: is everything kept, once, everywhere, whole and in one order."""

from __future__ import annotations

import hashlib
import urllib.error
from collections import Counter
from dataclasses import dataclass, field
from typing import Any

from faulty_server import FaultyServer, Shop
from phone_process import PhoneProcess
from plan import Plan

FROM_SERVER = ("seq", "cursor_seq", "received_ms", "unread", "erased_ms")
SMALL_PAGE = 7


@dataclass
class Ledger:
    """What was asked for and what the phones said to it."""

    plan: Plan
    phones: list[PhoneProcess]
    stuck: list[str]
    erased: frozenset[str]
    kept: dict[str, str] = field(default_factory=dict)  # entry id -> label
    not_kept: set[str] = field(default_factory=set)
    troubles: list[str] = field(default_factory=list)


@dataclass
class Verdict:
    """The figures of one run; all empty is as it should be."""

    seed: int
    kept: int
    photos: int
    reminders: int = 0
    lost: list[str] = field(default_factory=list)
    double: list[str] = field(default_factory=list)
    stuck: list[str] = field(default_factory=list)
    wrong: list[str] = field(default_factory=list)

    @property
    def good(self) -> bool:
        return not (self.lost or self.double or self.stuck or self.wrong)


def _bare(entry: dict[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in entry.items() if name not in FROM_SERVER}


def _by_id(entries: list[dict[str, Any]]) -> dict[str, dict[str, Any]]:
    return {entry["id"]: _bare(entry) for entry in entries}


def judged(ledger: Ledger, *, server: FaultyServer, shop: Shop) -> Verdict:
    """Compare the server, every phone and a fresh phone with what was kept."""
    stored = server.stored(shop.shop_id)
    reports = {phone.name: phone.ask("report") for phone in ledger.phones}
    photos = [entry for entry in stored if entry["kind"] == "photo" and not entry["body"].get("erased")]
    verdict = Verdict(seed=ledger.plan.seed, kept=len(ledger.kept), photos=len(photos), stuck=ledger.stuck)
    verdict.wrong += ledger.troubles
    _count(verdict, ledger, stored)
    _once(verdict, ledger, stored)
    _same_everywhere(verdict, ledger, stored, reports)
    _pulled(verdict, stored, server.pull(cookie=shop.cookies[-1], want=SMALL_PAGE))
    for entry in photos:
        _photo(verdict, entry, server=server, shop=shop, reports=reports)
    return verdict


def _count(verdict: Verdict, ledger: Ledger, stored: list[dict[str, Any]]) -> None:
    """Everything that a phone said it kept is on the server, but what the server refuses for good."""
    there = {entry["id"] for entry in stored}
    for entry_id, label in ledger.kept.items():
        if entry_id not in there and label not in ledger.plan.refused:
            verdict.lost.append(f"{label} ({entry_id}) is not on the server")
    for entry_id in ledger.erased & there:
        body = next(entry["body"] for entry in stored if entry["id"] == entry_id)
        if body != {"erased": True}:
            verdict.wrong.append(f"{entry_id} was erased and is back")


def _once(verdict: Verdict, ledger: Ledger, stored: list[dict[str, Any]]) -> None:
    """Nothing is there twice, and nothing that nobody wrote or that was said not to be kept."""
    labels = Counter(entry["body"].get("text") for entry in stored if not entry["body"].get("erased"))
    verdict.double += [f"{label} is there {times} times" for label, times in labels.items() if times > 1]
    invented = set(labels) - ledger.plan.labels
    verdict.wrong += [f"nobody wrote {label}" for label in invented]
    verdict.double += [f"{label} was said not to be kept" for label in ledger.not_kept & set(labels)]
    numbers = Counter(entry["seq"] for entry in stored)
    verdict.double += [f"number {seq} was given twice" for seq, times in numbers.items() if times > 1]


def _same_everywhere(
    verdict: Verdict, ledger: Ledger, stored: list[dict[str, Any]], reports: dict[str, dict[str, Any]]
) -> None:
    wanted = _by_id(stored)
    order = sorted(wanted, key=lambda one: (wanted[one]["lamport"], one))
    for name, report in reports.items():
        held = _by_id(report["entries"])
        set_aside = {one for one, entry in held.items() if entry["body"].get("text") in ledger.plan.refused}
        shared = {one: entry for one, entry in held.items() if one not in set_aside}
        verdict.lost += [f"{name} lacks {one}" for one in wanted.keys() - shared.keys()]
        verdict.wrong += [f"only {name} has {one}" for one in shared.keys() - wanted.keys()]
        differing = [one for one in wanted.keys() & shared.keys() if wanted[one] != shared[one]]
        verdict.wrong += [f"{name} holds {one} differently" for one in differing]
        if report["refused"] != len(set_aside):
            verdict.wrong.append(
                f"{name} set {report['refused']} aside, {report['reasons']}, not {len(set_aside)}"
            )
        if report["photos_refused"]:
            verdict.lost.append(f"{name} gave up photos {report['photos_refused']}")
        for log_id, ids in report["logs"].items():
            right = [one for one in order if wanted[one]["log_id"] == log_id]
            if [one for one in ids if one not in set_aside] != right:
                verdict.wrong.append(f"{name} has log {log_id} in another order")


def _pulled(verdict: Verdict, stored: list[dict[str, Any]], pulled: list[dict[str, Any]]) -> None:
    """A fresh phone gets every entry once, by small pages."""
    if [row["id"] for row in pulled] != [entry["id"] for entry in stored]:
        verdict.wrong.append("a fresh phone pulls something else than what is stored")
    if _by_id(pulled) != _by_id(stored):
        verdict.wrong.append("a fresh phone gets other words than those stored")


def _photo(
    verdict: Verdict,
    entry: dict[str, Any],
    *,
    server: FaultyServer,
    shop: Shop,
    reports: dict[str, dict[str, Any]],
) -> None:
    """The server gives the picture back byte for byte, and each phone has it or its small copy."""
    sha256 = entry["body"]["sha256"]
    try:
        content = server.call(f"/api/photos/{sha256}", cookie=shop.cookies[-1])
    except urllib.error.HTTPError as error:
        verdict.lost.append(f"photo {sha256}: {error.code}")
        return
    if hashlib.sha256(content).hexdigest() != sha256:
        verdict.wrong.append(f"photo {sha256} has other bytes")
    for name, report in reports.items():
        if sha256 not in report["small"] and sha256 not in report["photos"]:
            verdict.lost.append(f"{name} has no copy of photo {sha256}")
