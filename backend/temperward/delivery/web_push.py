"""Sending one web push message: sealed (RFC 8291), signed (RFC 8292), and useful only for so long."""

from __future__ import annotations

import base64
import hashlib
import json
import time
from dataclasses import dataclass
from typing import Any, Literal

import requests
from pywebpush import WebPushException, webpush

SEND_TIMEOUT_S = 10
CLAIM_LIFE_S = 6 * 3600  # services refuse a day or more (RFC 8292, section 2); clocks differ, so well below
TAG_LENGTH = 32  # longest topic (RFC 8030, section 5.4)
GONE = (404, 410)

Outcome = Literal["taken", "gone", "failed"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Address:
    """Where one browser takes messages, and its keys."""

    endpoint: str
    p256dh: str
    auth: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Message:
    """What is sent: keys and facts, never a sentence; the phone words it."""

    tag: str
    payload: dict[str, Any]
    useful_s: int


def tag_of(clock_id: str) -> str:
    """Return the tag under which push and local alarm of one clock are one banner.

    >>> tag_of("brittle:1")
    'lKoC5Jgn6vO2tTWuMK2bfqk0fB4WYuTz'
    """
    digest = hashlib.sha256(clock_id.encode()).digest()
    return base64.urlsafe_b64encode(digest).decode()[:TAG_LENGTH]


def send(message: Message, *, to: Address, signing_key: str, subject: str) -> Outcome:
    """Send one message to one browser and say what its push service made of it."""
    try:
        with requests.Session() as session:
            session.max_redirects = 0  # a push service does not send us elsewhere
            webpush(
                subscription_info={"endpoint": to.endpoint, "keys": {"p256dh": to.p256dh, "auth": to.auth}},
                data=json.dumps(message.payload, separators=(",", ":")),
                vapid_private_key=signing_key,
                # Made anew each time: the library writes the audience into it.
                vapid_claims={"sub": subject, "exp": int(time.time()) + CLAIM_LIFE_S},
                ttl=max(1, message.useful_s),
                timeout=SEND_TIMEOUT_S,
                headers={"Urgency": "high", "Topic": message.tag},
                requests_session=session,
            )
    except WebPushException as error:
        return "gone" if error.response is not None and error.response.status_code in GONE else "failed"
    except requests.RequestException:
        return "failed"
    return "taken"
