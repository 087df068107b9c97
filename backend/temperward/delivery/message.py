"""What a push message is made of; sending it is another module's, which loads much more."""

from __future__ import annotations

import base64
import hashlib
from dataclasses import dataclass
from typing import Any

TAG_LENGTH = 32  # longest topic (RFC 8030, section 5.4)
SEND_LIMIT_S = 10  # design: for one message in all; a push service that is well answers in less than one


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


@dataclass(frozen=True, slots=True, kw_only=True)
class Sending:
    """In whose name messages go out, and which addresses may be called though they are not public."""

    subject: str
    signing_key: str
    allowed: str = ""


def is_allowed(endpoint: str, *, allowed: str) -> bool:
    """Tell an address that begins as one the server's owner allowed, in a list with commas.

    >>> is_allowed("http://127.0.0.1:9/push", allowed="https://push.forge.example/, http://127.0.0.1:")
    True
    >>> is_allowed("http://127.0.0.1:9/push", allowed="")
    False
    """
    beginnings = [one.strip() for one in allowed.split(",")]
    return any(one and endpoint.startswith(one) for one in beginnings)


def tag_of(clock_id: str) -> str:
    """Return the tag under which push and local alarm of one clock are one banner.

    >>> tag_of("brittle:1")
    '839IIvgwK3nSjK7KnRqBmed5wgkJVyjX'
    """
    digest = hashlib.sha256(clock_id.encode()).digest()
    return base64.urlsafe_b64encode(digest).decode()[:TAG_LENGTH]
