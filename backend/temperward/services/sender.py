"""One round of the sender: work out what changed, claim what is due, look again, and tell every device."""

from __future__ import annotations

import logging
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from sqlalchemy.orm import Session

from temperward.delivery.message import Message, Sending, tag_of
from temperward.services.clocks import Clocks, Stage, clocks_of
from temperward.services.reminders import Claim, claim_due, drop, refresh_logs, write_off
from temperward.services.subscriptions import addresses_of, forget, signing_key
from temperward.services.telling import Telling, Tellings

EVERY_S = 5.0

log = logging.getLogger("temperward.sender")


@dataclass(frozen=True, slots=True, kw_only=True)
class Due:
    """A claimed reminder that still stands when looked at again."""

    claim: Claim
    clocks: Clocks
    stage: Stage


@dataclass(frozen=True, slots=True, kw_only=True)
class Sender:
    """What a sender needs besides the database; without a subject it works out but does not send."""

    subject: str
    clock: Callable[[], int]
    allowed: str = ""
    is_ending: Callable[[], bool] = lambda: False  # then nothing new is claimed

    def round(self, session: Session) -> Counter[str]:
        """Do what is due, and what becomes due while messages are under way; count what was done."""
        done: Counter[str] = Counter()
        tellings = Tellings(clock=self.clock)
        try:
            while self._turn(session, tellings=tellings, done=done):
                pass
        finally:
            tellings.close()
        if done:
            log.info("round", extra={"facts": dict(done)})
        return done

    def _turn(self, session: Session, *, tellings: Tellings, done: Counter[str]) -> bool:
        """Do a little of everything: a thousand changed logs must not hold up a message that is due."""
        refreshed = refresh_logs(session, now_ms=self.clock())
        claims = self._claims(session, tellings=tellings)
        done.update({"logs": refreshed} if refreshed else {})
        for claim in claims:
            settled = self.settle(session, claim)
            left = self._begin(session, settled, tellings=tellings) if isinstance(settled, Due) else settled
            done.update([left] if left else [])
        done.update(self._end(session, telling) for telling in tellings.ended())
        if tellings.open and not refreshed and not claims:
            tellings.rest()
        return bool(tellings.open) or (bool(refreshed or claims) and not self.is_ending())

    def _claims(self, session: Session, *, tellings: Tellings) -> list[Claim]:
        if not self.subject or self.is_ending() or not tellings.has_room():
            return []
        again = tellings.has_room_for_second_tries()
        return claim_due(session, now_ms=self.clock(), besides=tellings.full_shops(), again=again)

    def settle(self, session: Session, claim: Claim) -> str | Due:
        """Look at the blade again: what is to be told, or else what became of the reminder."""
        now_ms = self.clock()
        clocks = clocks_of(session, shop_id=claim.shop_id, log_id=claim.log_id, now_ms=now_ms)
        session.rollback()
        stage = clocks.latest_due(claim.clock_id, now_ms=now_ms)
        if clocks.failure is not None:
            write_off(session, claim=claim, state="waiting", reached=claim.reached, now_ms=now_ms)
            return "failed"
        if stage is None:
            drop(session, claim=claim)
            return "dropped"
        if stage.stage != claim.stage:
            write_off(session, claim=claim, state="passed", reached=claim.reached, now_ms=now_ms)
            return "passed"
        return Due(claim=claim, clocks=clocks, stage=stage)

    def _begin(self, session: Session, due: Due, *, tellings: Tellings) -> str | None:
        """Let the messages of a reminder go; the word says that it is left to another sender."""
        now_ms = self.clock()
        if tellings.is_too_late(due.claim):
            return "left"
        everyone = addresses_of(session, shop_id=due.claim.shop_id)
        by = Sending(subject=self.subject, signing_key=signing_key(session), allowed=self.allowed)
        session.rollback()  # nothing stays open while we wait for the push services
        tellings.begin(
            due.claim,
            message=message_of(due, now_ms=now_ms),
            to={name: one for name, one in everyone.items() if name not in due.claim.reached},
            by=by,
            is_last=now_ms - due.claim.first_try_ms >= due.stage.useful_s * 1000,
        )
        return None

    def _end(self, session: Session, telling: Telling) -> str:
        """Write down what became of a reminder, and forget the addresses that are gone."""
        claim, outcomes = telling.claim, telling.outcomes()
        for name, outcome in outcomes.items():
            if outcome == "gone":
                forget(session, shop_id=claim.shop_id, endpoint_id=name)
        reached = claim.reached | {name for name, outcome in outcomes.items() if outcome == "taken"}
        unreached = not reached or "failed" in outcomes.values()
        state = _state(unreached=unreached, reached=bool(reached), is_last=telling.is_last)
        write_off(session, claim=claim, state=state, reached=reached, now_ms=self.clock())
        return state


def _state(*, unreached: bool, reached: bool, is_last: bool) -> str:
    if unreached and not is_last:
        return "waiting"
    return "sent" if reached else "unheard"


def message_of(due: Due, *, now_ms: int) -> Message:
    """Return the message of one stage; due and sent let the phone say how late it is."""
    claim, stage = due.claim, due.stage
    tag = tag_of(claim.clock_id)
    payload: dict[str, Any] = {
        "v": 1,
        "tag": tag,
        "clock_id": claim.clock_id,
        "kind": stage.kind,
        "stage": stage.stage,
        "piece_id": claim.log_id,
        "piece_tag": due.clocks.piece_tag,
        "due_ms": stage.due_ms,
        "sent_ms": now_ms,
        "text": stage.text,
    }
    return Message(tag=tag, payload=payload, useful_s=stage.useful_s)
