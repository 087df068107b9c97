"""What a push message is made of; sending it is another module's, which loads much more."""

from __future__ import annotations

import base64
import hashlib
from dataclasses import dataclass
from typing import Any

TAG_LENGTH = 32  # longest topic (RFC 8030, section 5.4)


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
