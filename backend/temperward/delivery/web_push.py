"""Sending one web push message: sealed (RFC 8291), signed (RFC 8292), and useful only for so long."""

from __future__ import annotations

import json
import time
from typing import Literal

import requests
from pywebpush import WebPushException, webpush

from temperward.delivery.message import SEND_LIMIT_S, Address, Message, Sending, is_allowed
from temperward.delivery.outward import OutwardSession

CLAIM_LIFE_S = 6 * 3600  # services refuse a day or more (RFC 8292, section 2); clocks differ, so well below
GONE = (404, 410)

Outcome = Literal["taken", "gone", "failed"]


def send(message: Message, *, to: Address, by: Sending) -> Outcome:
    """Send one message to one browser and say what its push service made of it."""
    anywhere = is_allowed(to.endpoint, allowed=by.allowed)
    try:
        with OutwardSession(anywhere=anywhere, limit_s=SEND_LIMIT_S) as session:
            webpush(
                subscription_info={"endpoint": to.endpoint, "keys": {"p256dh": to.p256dh, "auth": to.auth}},
                data=json.dumps(message.payload, separators=(",", ":")),
                vapid_private_key=by.signing_key,
                # Made anew each time: the library writes the audience into it.
                vapid_claims={"sub": by.subject, "exp": int(time.time()) + CLAIM_LIFE_S},
                ttl=max(1, message.useful_s),
                timeout=SEND_LIMIT_S,
                headers={"Urgency": "high", "Topic": message.tag},
                requests_session=session,
            )
    except WebPushException as error:
        return "gone" if error.response is not None and error.response.status_code in GONE else "failed"
    except requests.RequestException:
        return "failed"
    return "taken"
