"""The reminders of all shops: worked out from the logs, claimed by one sender, and written off."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Row, delete, select, tuple_, update
from sqlalchemy.orm import Session

from temperward.services.clocks import Clocks, Stage, clocks_of
from temperward.services.related import Folded
from temperward.storage.models import Log, Reminder
from temperward.storage.session import begin_write

TAKE_OVER_MS = 60_000  # a sender that has not come back by then has died
RETRY_MS = 20_000
FAILED_AGAIN_MS = 10 * 60_000
AT_A_TIME = 20
CLAIMED_AT_A_TIME = 4  # few, so that of many due in one shop no more are held than can be sent at once


@dataclass(frozen=True, slots=True, kw_only=True)
class Claim:
    """A due reminder that this sender alone holds for now."""

    shop_id: str
    log_id: str
    clock_id: str
    stage: str
    due_ms: int
    first_try_ms: int
    until_ms: int  # from then on another sender may hold it; no two claims of a row have the same
    again: bool
    reached: frozenset[str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Worked:
    """A claimed log and the clocks that were worked out from it."""

    log: Row[str, str, int]
    clocks: Clocks

    @property
    def key(self) -> tuple[str, str]:
        """Return what names the log."""
        return self.log.shop_id, self.log.log_id


def refresh_logs(session: Session, *, now_ms: int) -> int:
    """Work out again the reminders of the logs that changed or that time has changed; return how many."""
    folded: Folded = {}
    worked = []
    for log in _claim_logs(session, now_ms=now_ms):
        clocks = clocks_of(session, shop_id=log.shop_id, log_id=log.log_id, now_ms=now_ms, folded=folded)
        worked.append(Worked(log=log, clocks=clocks))
    session.rollback()  # ends the reading transaction: the write below must see today's rows
    if worked:
        keep_reminders(session, worked=worked, now_ms=now_ms)
    return len(worked)


def _claim_logs(session: Session, *, now_ms: int) -> Sequence[Row[str, str, int]]:
    begin_write(session)
    key = (Log.shop_id, Log.log_id)
    due = select(*key).where(Log.look_again_ms <= now_ms).order_by(Log.look_again_ms).limit(AT_A_TIME)
    claim = (
        update(Log)
        .where(tuple_(*key).in_(_locked(due)))
        .values(look_again_ms=now_ms + TAKE_OVER_MS)
        .returning(Log.shop_id, Log.log_id, Log.changes)
    )
    claimed = session.execute(claim, execution_options={"synchronize_session": False}).all()
    session.commit()
    return claimed


def _locked(due: Any) -> Any:
    """Take the rows nobody else is taking; a common table expression runs once, an IN (...) alone may not."""
    return select(due.with_for_update(skip_locked=True).cte("due"))


def keep_reminders(session: Session, *, worked: list[Worked], now_ms: int) -> None:
    """Write what was worked out; a log that has changed meanwhile is somebody's next work.

    All in one commit. A log that somebody holds is not waited for while others are held: it comes by itself.
    """
    left = _keep(session, worked=worked, now_ms=now_ms, wait=False)
    for one in left:
        _keep(session, worked=[one], now_ms=now_ms, wait=True)


def _keep(session: Session, *, worked: list[Worked], now_ms: int, wait: bool) -> list[Worked]:
    """Write in one transaction and return what could not be had."""
    begin_write(session)
    keys = [one.key for one in worked]
    query = select(Log.shop_id, Log.log_id, Log.changes).where(tuple_(Log.shop_id, Log.log_id).in_(keys))
    rows = session.execute(query.with_for_update(skip_locked=not wait)).all()
    changes = {(row.shop_id, row.log_id): row.changes for row in rows}
    newest = [one for one in worked if changes.get(one.key) == one.log.changes]
    for one in newest:
        again_ms = now_ms + FAILED_AGAIN_MS if one.clocks.failure else one.clocks.look_again_ms
        done = update(Log).where(Log.shop_id == one.log.shop_id, Log.log_id == one.log.log_id)
        values = {"look_again_ms": again_ms, "failure": one.clocks.failure}
        session.execute(done.values(values), execution_options={"synchronize_session": False})
    _replace_rows(session, worked=[one for one in newest if one.clocks.failure is None], now_ms=now_ms)
    session.commit()
    return [] if wait else [one for one in worked if one.key not in changes]


def _replace_rows(session: Session, *, worked: list[Worked], now_ms: int) -> None:
    keys = [one.key for one in worked]
    query = select(Reminder).where(tuple_(Reminder.shop_id, Reminder.log_id).in_(keys))
    found = session.scalars(query.with_for_update()).all() if keys else []
    there = {(row.shop_id, row.log_id, row.clock_id, row.stage): row for row in found}
    for one in worked:
        for stage in one.clocks.stages:
            row = there.pop((*one.key, stage.clock_id, stage.stage), None)
            if row is None:
                session.add(_new_row(stage, shop_id=one.log.shop_id, log_id=one.log.log_id))
            elif row.due_ms != stage.due_ms:
                _move_row(row, due_ms=stage.due_ms, now_ms=now_ms)
    for row in there.values():
        session.delete(row)


def _new_row(stage: Stage, *, shop_id: str, log_id: str) -> Reminder:
    return Reminder(
        shop_id=shop_id,
        clock_id=stage.clock_id,
        stage=stage.stage,
        log_id=log_id,
        due_ms=stage.due_ms,
        state="waiting",
        next_try_ms=stage.due_ms,
        first_try_ms=None,
        sent_ms=None,
        reached="[]",
    )


def _move_row(row: Reminder, *, due_ms: int, now_ms: int) -> None:
    """Set a corrected instant; one that was already told is told again only when it lies ahead."""
    row.due_ms = due_ms
    if row.state == "waiting" or due_ms > now_ms:
        row.state = "waiting"
        row.next_try_ms = due_ms
        row.first_try_ms = None
        row.reached = "[]"


def claim_due(
    session: Session, *, now_ms: int, besides: frozenset[str] = frozenset(), again: bool = True
) -> list[Claim]:
    """Claim reminders that are due; of any number of senders each gets others.

    A claim that was not written off in a minute belongs to a sender that died, and is claimed again.
    `besides` names shops that have enough under way; without `again` only what was never tried is claimed.
    """
    begin_write(session)
    key = (Reminder.shop_id, Reminder.clock_id, Reminder.stage)
    open_states = Reminder.state.in_(("waiting", "claimed"))
    due = select(*key).where(open_states, Reminder.next_try_ms <= now_ms).order_by(Reminder.next_try_ms)
    if besides:
        due = due.where(Reminder.shop_id.not_in(sorted(besides)))
    if not again:
        due = due.where(Reminder.first_try_ms.is_(None))
    until_ms = now_ms + TAKE_OVER_MS
    claim = (
        update(Reminder)
        .where(tuple_(*key).in_(_locked(due.limit(CLAIMED_AT_A_TIME))))
        .values(state="claimed", next_try_ms=until_ms)
        .returning(*key, Reminder.log_id, Reminder.due_ms, Reminder.first_try_ms, Reminder.reached)
    )
    rows = session.execute(claim, execution_options={"synchronize_session": False}).all()
    session.commit()
    return [
        Claim(
            shop_id=row.shop_id,
            log_id=row.log_id,
            clock_id=row.clock_id,
            stage=row.stage,
            due_ms=row.due_ms,
            first_try_ms=now_ms if row.first_try_ms is None else row.first_try_ms,
            until_ms=until_ms,
            again=row.first_try_ms is not None,
            reached=frozenset(json.loads(row.reached)),
        )
        for row in rows
    ]


def _row_of(claim: Claim) -> tuple[Any, ...]:
    """Name the claimed row, as long as nobody claimed it anew or moved it to another instant meanwhile."""
    return (
        Reminder.shop_id == claim.shop_id,
        Reminder.clock_id == claim.clock_id,
        Reminder.stage == claim.stage,
        Reminder.state == "claimed",
        Reminder.due_ms == claim.due_ms,
        Reminder.next_try_ms == claim.until_ms,
    )


def write_off(session: Session, *, claim: Claim, state: str, reached: frozenset[str], now_ms: int) -> None:
    """Write what became of a claim: sent, passed, unheard, or waiting for another try."""
    begin_write(session)
    values = {
        "state": state,
        "first_try_ms": claim.first_try_ms,
        "reached": json.dumps(sorted(reached)),
        "next_try_ms": now_ms + RETRY_MS,
        "sent_ms": now_ms if reached else None,
    }
    session.execute(update(Reminder).where(*_row_of(claim)).values(values))
    session.commit()


def drop(session: Session, *, claim: Claim) -> None:
    """Forget a reminder whose clock no longer runs."""
    begin_write(session)
    session.execute(delete(Reminder).where(*_row_of(claim)))
    session.commit()
