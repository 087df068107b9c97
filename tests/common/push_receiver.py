"""A push service on loopback, written from the standards: it checks the signature and opens the message.

RFC 8291 (message encryption), RFC 8188 (aes128gcm), RFC 8292 (signature), RFC 8030 (headers).
"""

from __future__ import annotations

import base64
import json
import threading
from dataclasses import dataclass
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any, Self

from cryptography.hazmat.primitives import hashes, hmac, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.asymmetric.utils import encode_dss_signature
from cryptography.hazmat.primitives.ciphers.aead import AESGCM


def unbase64url(text: str) -> bytes:
    """Return the bytes behind base64url."""
    return base64.urlsafe_b64decode(text + "=" * (-len(text) % 4))


def _hmac(key: bytes, content: bytes) -> bytes:
    made = hmac.HMAC(key, hashes.SHA256())
    made.update(content)
    return made.finalize()


def open_message(body: bytes, *, private: ec.EllipticCurvePrivateKey, auth: bytes) -> bytes:
    """Open one aes128gcm message of a single record (RFC 8291, section 3.4; RFC 8188, section 2)."""
    salt, key_length = body[:16], body[20]
    sender_point, sealed = body[21 : 21 + key_length], body[21 + key_length :]
    sender = ec.EllipticCurvePublicKey.from_encoded_point(ec.SECP256R1(), sender_point)
    own_point = private.public_key().public_bytes(
        serialization.Encoding.X962, serialization.PublicFormat.UncompressedPoint
    )
    secret = private.exchange(ec.ECDH(), sender)
    info = b"WebPush: info\x00" + own_point + sender_point + b"\x01"
    keying = _hmac(_hmac(auth, secret), info)
    drawn = _hmac(salt, keying)
    key = _hmac(drawn, b"Content-Encoding: aes128gcm\x00\x01")[:16]
    nonce = _hmac(drawn, b"Content-Encoding: nonce\x00\x01")[:12]
    opened = AESGCM(key).decrypt(nonce, sealed, None)
    assert opened.rstrip(b"\x00")[-1:] == b"\x02"  # the mark of the last record
    return opened.rstrip(b"\x00")[:-1]


def check_signature(header: str) -> tuple[dict[str, Any], str]:
    """Check a VAPID header and return its claims and the public key (RFC 8292, sections 2 and 3)."""
    scheme, _, rest = header.partition(" ")
    assert scheme == "vapid"
    parts = dict(one.strip().split("=", 1) for one in rest.split(","))
    head, claims, signature = parts["t"].split(".")
    assert json.loads(unbase64url(head)) == {"typ": "JWT", "alg": "ES256"}
    raw = unbase64url(signature)
    pair = encode_dss_signature(int.from_bytes(raw[:32], "big"), int.from_bytes(raw[32:], "big"))
    key = ec.EllipticCurvePublicKey.from_encoded_point(ec.SECP256R1(), unbase64url(parts["k"]))
    key.verify(pair, f"{head}.{claims}".encode(), ec.ECDSA(hashes.SHA256()))
    return json.loads(unbase64url(claims)), parts["k"]


@dataclass(frozen=True)
class Received:
    """One message as it came in."""

    path: str
    headers: dict[str, str]
    body: bytes


class PushReceiver:
    """The service; `answers` sets a status by path, everything else is taken with 201.

    A path in `silent` takes a message and says nothing until `speak` is set, as a service that is ill does;
    one in `lost` takes it and hangs up.
    """

    def __init__(self) -> None:
        self.received: list[Received] = []
        self.answers: dict[str, int] = {}
        self.silent: set[str] = set()
        self.lost: set[str] = set()
        self.speak = threading.Event()
        self.came = threading.Condition()
        receiver = self

        class Handler(BaseHTTPRequestHandler):
            def do_POST(self) -> None:
                body = self.rfile.read(int(self.headers["Content-Length"]))
                headers = {name.lower(): value for name, value in self.headers.items()}
                with receiver.came:
                    receiver.received.append(Received(path=self.path, headers=headers, body=body))
                    receiver.came.notify_all()
                if self.path in receiver.silent:
                    receiver.speak.wait()
                if self.path in receiver.silent | receiver.lost:
                    return
                self.send_response(receiver.answers.get(self.path, 201))
                self.send_header("Content-Length", "0")
                self.end_headers()

            def log_message(self, *_parts: Any) -> None:
                """Keep the test's output clean."""

        self.server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
        self.server.daemon_threads = True
        self.port = self.server.server_address[1]
        self.thread = threading.Thread(target=self.server.serve_forever, kwargs={"poll_interval": 0.02})

    def wait_for(self, path: str, *, times: int = 1, limit_s: float = 30) -> bool:
        """Wait until messages have come to a path; tell whether they have."""
        with self.came:
            return self.came.wait_for(
                lambda: sum(one.path == path for one in self.received) >= times, timeout=limit_s
            )

    def __enter__(self) -> Self:
        self.thread.start()
        return self

    def __exit__(self, *_error: object) -> None:
        self.speak.set()
        self.server.shutdown()
        self.thread.join()
        self.server.server_close()
