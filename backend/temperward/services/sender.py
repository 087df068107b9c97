"""One round of the sender: work out what changed, claim what is due, look again, and tell every device."""

from __future__ import annotations

import logging
from collections import Counter
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from sqlalchemy.orm import Session

from temperward.delivery.message import Address, Message, tag_of
from temperward.services.clocks import Clocks, Stage, clocks_of
from temperward.services.reminders import Claim, claim_due, drop, refresh_logs, write_off
from temperward.services.subscriptions import addresses_of, forget, signing_key

if TYPE_CHECKING:
    from temperward.delivery.web_push import Outcome

AT_ONCE = 8  # messages under way together: a dead push service must not hold up the living
EVERY_S = 5.0

log = logging.getLogger("temperward.sender")


@dataclass(frozen=True, slots=True, kw_only=True)
class Sender:
    """What a sender needs besides the database; without a subject it works out but does not send."""

    subject: str
    clock: Callable[[], int]

    def round(self, session: Session) -> Counter[str]:
        """Do everything that is due now and count what was done."""
        done: Counter[str] = Counter()
        busy = True
        while busy:  # in turns: a thousand changed logs must not hold up a message that is due
            refreshed = refresh_logs(session, now_ms=self.clock())
            claims = claim_due(session, now_ms=self.clock()) if self.subject else []
            done.update({"logs": refreshed} if refreshed else {})
            done.update(self.settle(session, claim) for claim in claims)
            busy = bool(refreshed or claims)
        if done:
            log.info("round", extra={"facts": dict(done)})
        return done

    def settle(self, session: Session, claim: Claim) -> str:
        """Look at the blade again and send, let pass, or drop one claimed reminder."""
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
        return self._tell(session, claim=claim, clocks=clocks, stage=stage)

    def _tell(self, session: Session, *, claim: Claim, clocks: Clocks, stage: Stage) -> str:
        now_ms = self.clock()
        everyone = addresses_of(session, shop_id=claim.shop_id)
        left = {name: one for name, one in everyone.items() if name not in claim.reached}
        message = message_of(claim, clocks=clocks, stage=stage, now_ms=now_ms)
        outcomes = self._send(session, message=message, to=left)
        for name, outcome in outcomes.items():
            if outcome == "gone":
                forget(session, shop_id=claim.shop_id, endpoint_id=name)
        reached = claim.reached | {name for name, outcome in outcomes.items() if outcome == "taken"}
        unreached = not reached or "failed" in outcomes.values()
        state = _state(
            unreached=unreached, reached=bool(reached), over=_is_over(claim, stage=stage, now_ms=now_ms)
        )
        write_off(session, claim=claim, state=state, reached=reached, now_ms=self.clock())
        return state

    def _send(self, session: Session, *, message: Message, to: dict[str, Address]) -> dict[str, Outcome]:
        if not to:
            return {}
        from temperward.delivery.web_push import send  # noqa: PLC0415  (25 MB until the first push)

        key = signing_key(session)
        session.rollback()  # nothing stays open while we wait for the push services
        with ThreadPoolExecutor(AT_ONCE) as pool:
            sent = {
                name: pool.submit(send, message, to=one, signing_key=key, subject=self.subject)
                for name, one in to.items()
            }
            return {name: one.result() for name, one in sent.items()}


def _is_over(claim: Claim, *, stage: Stage, now_ms: int) -> bool:
    """Tell whether another try would come too late to be of use."""
    return now_ms - claim.first_try_ms >= stage.useful_s * 1000


def _state(*, unreached: bool, reached: bool, over: bool) -> str:
    if unreached and not over:
        return "waiting"
    return "sent" if reached else "unheard"


def message_of(claim: Claim, *, clocks: Clocks, stage: Stage, now_ms: int) -> Message:
    """Return the message of one stage; due and sent let the phone say how late it is."""
    tag = tag_of(claim.clock_id)
    payload: dict[str, Any] = {
        "v": 1,
        "tag": tag,
        "clock_id": claim.clock_id,
        "kind": stage.kind,
        "stage": stage.stage,
        "piece_id": claim.log_id,
        "piece_tag": clocks.piece_tag,
        "due_ms": stage.due_ms,
        "sent_ms": now_ms,
        "text": stage.text,
    }
    return Message(tag=tag, payload=payload, useful_s=stage.useful_s)
