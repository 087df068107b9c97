"""Random ids, codes and tokens, and the digests under which secrets are kept."""

from __future__ import annotations

import hashlib
import secrets
import uuid

# No 0 O, 1 I L, 2 Z, 5 S, 8 B, U V: what a welder's glove or a bad printer turns into one another.
CODE_LETTERS = "ACDEFGHJKMNPQRTWXY34679"
CODE_LENGTH = 8
TOKEN_BYTES = 32


def new_id() -> str:
    """Return a random id."""
    return str(uuid.uuid4())


def new_code() -> str:
    """Return a code to be typed: 23 letters to the 8th, 78 thousand million possibilities."""
    return "".join(secrets.choice(CODE_LETTERS) for _ in range(CODE_LENGTH))


def new_token() -> str:
    """Return a device token of 256 random bits."""
    return secrets.token_urlsafe(TOKEN_BYTES)


def digest(secret: str) -> str:
    """Return the digest of a secret that is random enough to need no salt."""
    return hashlib.sha256(secret.encode("utf-8", "surrogatepass")).hexdigest()


def typed_code(text: str) -> str:
    """Return a code as it was made, from however it was typed.

    >>> typed_code(" acd3-efgh ")
    'ACD3EFGH'
    """
    return "".join(letter for letter in text.upper() if letter.isalnum())


def spaced_code(code: str) -> str:
    """Return a code as it is shown.

    >>> spaced_code("ACD3EFGH")
    'ACD3-EFGH'
    """
    return code[:4] + "-" + code[4:]
