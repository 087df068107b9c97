"""Reminders whose messages are under way: at once so many in all, of one shop so many, of second tries half.

A push service that does not answer holds its message for seconds. None of that may hold up another shop.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from concurrent.futures import FIRST_COMPLETED, Future, ThreadPoolExecutor, wait
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from temperward.delivery.message import SEND_LIMIT_S, Address, Message, Sending
from temperward.services.reminders import Claim

if TYPE_CHECKING:
    from temperward.delivery.web_push import Outcome

AT_ONCE = 32  # design: threads that wait cost little; so many silent services do not fill them
OF_ONE_SHOP = 8  # design: a shop of one to four people, two addresses each
SECOND_TRIES = AT_ONCE // 2
LOOK_S = 1.0  # while messages are under way: how soon we look for others that have become due
END_EARLY_MS = 5_000  # before another sender may hold a claim, everything about it is written down
BEGIN_EARLY_MS = END_EARLY_MS + SEND_LIMIT_S * 1000


@dataclass(frozen=True, slots=True, kw_only=True)
class Telling:
    """One claimed reminder and its messages, by the id of their address."""

    claim: Claim
    is_last: bool  # another try would come too late to be of use
    sends: dict[str, Future[Outcome]]

    def under_way(self) -> list[Future[Outcome]]:
        """Return the messages of which nothing was heard yet."""
        return [one for one in self.sends.values() if not one.done()]

    def outcomes(self) -> dict[str, Outcome]:
        """Return what became of each message; one that is given up counts as failed."""
        ended = {name: one for name, one in self.sends.items() if one.done() and not one.cancelled()}
        return {name: ended[name].result() if name in ended else "failed" for name in self.sends}


@dataclass(slots=True, kw_only=True)
class Tellings:
    """All that one sender has under way."""

    clock: Callable[[], int]
    pool: ThreadPoolExecutor = field(default_factory=lambda: ThreadPoolExecutor(AT_ONCE))
    open: list[Telling] = field(default_factory=list)

    def begin(
        self, claim: Claim, *, message: Message, to: dict[str, Address], by: Sending, is_last: bool
    ) -> None:
        """Let the messages of a claim go, all at once."""
        sends = {
            name: self.pool.submit(self._send, claim, message=message, to=one, by=by)
            for name, one in to.items()
        }
        self.open.append(Telling(claim=claim, is_last=is_last, sends=sends))

    def _send(self, claim: Claim, *, message: Message, to: Address, by: Sending) -> Outcome:
        from temperward.delivery.web_push import send  # noqa: PLC0415  (25 MB until the first push)

        # Whoever waited too long for its turn must not begin: another sender may soon hold the claim.
        return "failed" if self.is_too_late(claim) else send(message, to=to, by=by)

    def is_too_late(self, claim: Claim) -> bool:
        """Tell a claim that could run out before a message that begins now has ended."""
        return self.clock() >= claim.until_ms - BEGIN_EARLY_MS

    def ended(self) -> list[Telling]:
        """Take out what has ended, and what must end because another may soon hold its claim."""
        over_ms = self.clock() + END_EARLY_MS
        ended = [one for one in self.open if not one.under_way() or one.claim.until_ms <= over_ms]
        self.open = [one for one in self.open if one not in ended]
        for one in ended:
            for send in one.under_way():
                send.cancel()
        return ended

    def full_shops(self) -> frozenset[str]:
        """Return the shops that have as much under way as one may."""
        busy = Counter(one.claim.shop_id for one in self.open for _ in one.under_way())
        return frozenset(shop_id for shop_id, number in busy.items() if number >= OF_ONE_SHOP)

    def has_room(self) -> bool:
        """Tell whether more may begin."""
        return sum(len(one.under_way()) for one in self.open) < AT_ONCE

    def has_room_for_second_tries(self) -> bool:
        """Tell whether more that failed before may begin: they must not stand before what is new."""
        return sum(len(one.under_way()) for one in self.open if one.claim.again) < SECOND_TRIES

    def rest(self) -> None:
        """Wait until something has ended, or until it is time to look for what has become due."""
        wait([send for one in self.open for send in one.under_way()], LOOK_S, FIRST_COMPLETED)

    def close(self) -> None:
        """Let go of the threads without waiting for them."""
        self.pool.shutdown(wait=False, cancel_futures=True)
