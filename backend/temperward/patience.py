"""How long the server listens to somebody who has fallen silent.

A phone that walks out of the network in the middle of a call says not even goodbye. Without a limit each one
would keep a thread waiting for ever, until none is left.
"""

from __future__ import annotations

import socket
import ssl
import struct
from collections.abc import Callable
from typing import Any

SILENCE_S = 30  # design: a phone gives up its own call sooner, and asks again


def limit_silence(listener: socket.socket, *, silence_s: int = SILENCE_S) -> None:
    """Let no connection taken here wait longer while nothing comes in or goes out.

    Linux hands these limits of a listening socket on to each connection it takes (socket(7)).
    """
    limit = struct.pack("@ll", silence_s, 0)  # struct timeval
    for which in (socket.SO_RCVTIMEO, socket.SO_SNDTIMEO):
        listener.setsockopt(socket.SOL_SOCKET, which, limit)


def limit_tls_silence(context: ssl.SSLContext, *, silence_s: int = SILENCE_S) -> ssl.SSLContext:
    """Do the same under TLS, where Python asks the system again each time that its limit has passed."""

    class Impatient(ssl.SSLSocket):
        """Waits for so long and no longer, whoever asks it to wait."""

        def setblocking(self, flag: bool) -> None:  # noqa: FBT001  (as the socket has it)
            self.settimeout(silence_s if flag else 0)

        def do_handshake(self, block: bool = False) -> None:  # noqa: FBT001, FBT002  (as the socket has it)
            self.settimeout(silence_s)
            super().do_handshake(block)

    context.sslsocket_class = Impatient
    return context


def patient_hooks(*, silence_s: int = SILENCE_S) -> dict[str, Callable[..., Any]]:
    """Return the two places where gunicorn lets us say so."""

    def when_ready(arbiter: Any) -> None:
        for one in arbiter.LISTENERS:
            limit_silence(one.sock, silence_s=silence_s)

    def ssl_context(_config: Any, make: Callable[[], ssl.SSLContext]) -> ssl.SSLContext:
        return limit_tls_silence(make(), silence_s=silence_s)

    return {"when_ready": when_ready, "ssl_context": ssl_context}
