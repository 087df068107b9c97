"""One sync call: what is offered is judged and stored, then the next rows go back."""

from __future__ import annotations

from typing import Any

from sqlalchemy.orm import Session

from temperward.errors import NotSignedIn, UpgradeNeeded
from temperward.services import server_facts
from temperward.services.sync import answer_text, pull, push
from temperward.storage.models import Device

# A phone names the protocol that it speaks; those of the first releases speak 1 and say nothing. OLDEST is
# raised by the first release that cannot understand such a phone, which then pauses, keeps all, and asks for
# the new version.
FIRST_PROTOCOL = 1
OLDEST_PROTOCOL = 1


def exchange(wish: dict[str, Any], *, session: Session, device: Device, now_ms: int) -> str:
    """Return the answer's JSON text; a cursor of another epoch counts from the beginning.

    A phone that holds another shop's log than its token is of gives and gets nothing: to that shop it is not
    signed in.
    """
    shop_id = device.shop_id
    if wish["protocol"] < OLDEST_PROTOCOL:
        raise UpgradeNeeded(value=wish["protocol"], low=OLDEST_PROTOCOL)
    if wish.get("shop_id") not in (None, "", shop_id):
        raise NotSignedIn
    pushed = push(session, device=device, offered=wish["entries"], now_ms=now_ms)
    epoch = server_facts.epoch(session)
    since = wish["since"] if wish["epoch"] in (None, epoch) else 0
    page = pull(session, shop_id=shop_id, since=since, want=wish["want"], pushed=pushed)
    return answer_text(epoch=epoch, now_ms=now_ms, results=pushed.results, page=page)
