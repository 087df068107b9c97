"""The way out to a push service: to addresses of the open internet only, and for so long in all.

A subscription names any host its phone likes, and a host any address its owner likes: what a name means is
looked up here, looked at, and that very address is called, so that it cannot mean another a moment later.
Where the machine's own settings name a proxy, the proxy makes the call and decides.
"""

from __future__ import annotations

import contextlib
import ipaddress
import socket
import threading
import time
from typing import Any, Self

import requests
from requests.adapters import HTTPAdapter
from urllib3.connection import HTTPConnection, HTTPSConnection
from urllib3.connectionpool import HTTPConnectionPool, HTTPSConnectionPool
from urllib3.exceptions import NameResolutionError, NewConnectionError

SHORTEST_S = 0.1  # zero would mean: do not wait at all
TRANSLATED = ipaddress.ip_network("64:ff9b::/96")  # holds an address of version 4 (RFC 6052, section 2.1)


def is_public(address: str) -> bool:
    """Tell an address of the open internet from one inside or beside this machine."""
    found = ipaddress.ip_address(address.partition("%")[0])
    if isinstance(found, ipaddress.IPv6Address):
        inner = found.ipv4_mapped or found.sixtofour
        if found in TRANSLATED:
            inner = ipaddress.IPv4Address(int(found) & 0xFFFF_FFFF)
        found = inner or found
    return found.is_global and not found.is_multicast


class Line:
    """The connections of one call: hung up together when its time is over."""

    def __init__(self, *, anywhere: bool, limit_s: float) -> None:
        """Begin to count."""
        self.anywhere = anywhere
        self.end_s = time.monotonic() + limit_s
        self._held: list[socket.socket] = []
        self._timer = threading.Timer(limit_s, self._hang_up)
        self._timer.daemon = True
        self._timer.start()

    def open(self, connection: HTTPConnection, *, host: str, port: int) -> socket.socket:
        """Connect to the first address of a host that may be called and answers."""
        try:
            found = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)
        except (socket.gaierror, UnicodeError) as error:
            raise NameResolutionError(host, connection, socket.gaierror(str(error))) from error
        for family, kind, protocol, _name, address in found:
            if self.anywhere or is_public(str(address[0])):
                with contextlib.suppress(OSError):
                    return self._connect(socket.socket(family, kind, protocol), address)
        raise NewConnectionError(connection, "no address that may be called answers")

    def _connect(self, line: socket.socket, address: Any) -> socket.socket:
        try:
            line.settimeout(max(SHORTEST_S, self.end_s - time.monotonic()))
            line.connect(address)
            self._held.append(line.dup())  # the connection wraps its own: this one can still be hung up
            if time.monotonic() >= self.end_s:
                raise TimeoutError
        except OSError:
            line.close()
            raise
        return line

    def _hang_up(self) -> None:
        for one in self._held:
            with contextlib.suppress(OSError):  # the other side was quicker
                one.shutdown(socket.SHUT_RDWR)

    def close(self) -> None:
        """Stop counting."""
        self._timer.cancel()
        for one in self._held:
            one.close()


class OutwardSession(requests.Session):
    """A session for one call; `anywhere` is for addresses that the server's owner allowed by name."""

    def __init__(self, *, anywhere: bool, limit_s: float) -> None:
        """Take the line that every connection goes over."""
        super().__init__()
        self.line = Line(anywhere=anywhere, limit_s=limit_s)
        self.max_redirects = 0  # a push service does not send us elsewhere
        for scheme in ("https://", "http://"):
            self.mount(scheme, _Adapter(self.line))

    def post(self, url: str | bytes, data: Any = None, json: Any = None, **kwargs: Any) -> requests.Response:
        """Call, and read no more than the status: what else is said, and how much, is not ours to keep."""
        answer = super().post(url, data=data, json=json, stream=True, **kwargs)
        answer._content = b""  # noqa: SLF001  (there is no public way to say that it was read)
        return answer

    def __exit__(self, *args: object) -> None:
        """Hang up."""
        self.line.close()
        super().__exit__(*args)

    def __enter__(self) -> Self:
        """Return the session."""
        return self


class _Adapter(HTTPAdapter):
    """Makes every connection over one line."""

    def __init__(self, line: Line) -> None:
        self.line = line
        super().__init__()

    def init_poolmanager(self, *args: Any, **kwargs: Any) -> None:
        super().init_poolmanager(*args, **kwargs)
        self.poolmanager.pool_classes_by_scheme = _pools(self.line)


def _pools(line: Line) -> dict[str, type[HTTPConnectionPool]]:
    class Plain(HTTPConnection):
        def _new_conn(self) -> socket.socket:
            return line.open(self, host=self._dns_host, port=self.port)

    class Secure(HTTPSConnection):
        def _new_conn(self) -> socket.socket:
            return line.open(self, host=self._dns_host, port=self.port or 443)

    class PlainPool(HTTPConnectionPool):
        ConnectionCls = Plain

    class SecurePool(HTTPSConnectionPool):
        ConnectionCls = Secure

    return {"http": PlainPool, "https": SecurePool}
