"""A bucket on loopback: the four calls of the S3 interface that photos need, kept in memory.

Written from the service's own rules: each call must be signed (AWS Signature Version 4) with the right
secret, what was signed must be what came, and a listing comes in pages.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import hmac
import threading
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any, Self
from urllib.parse import parse_qs, parse_qsl, quote, unquote, urlsplit
from xml.sax.saxutils import escape

KEY_ID, SECRET, REGION = "forge-key", "forge-secret", "eu-west-1"
PAGE = 2  # of a thousand at the real one
SCHEME = "AWS4-HMAC-SHA256"
REFUSED = b"<Error><Code>SignatureDoesNotMatch</Code></Error>"


def _hmac(key: bytes, text: str) -> bytes:
    return hmac.new(key, text.encode(), hashlib.sha256).digest()


def signature_of(handler: BaseHTTPRequestHandler, *, signed: list[str], secret: str, scope: str) -> str:
    """Return what the signature of a call must be: canonical request, text to sign, key of the day."""
    parts = urlsplit(handler.path)
    pairs = parse_qsl(parts.query, keep_blank_values=True)
    query = "&".join(
        sorted(f"{quote(name, safe='-_.~')}={quote(value, safe='-_.~')}" for name, value in pairs)
    )
    headers = "".join(f"{name}:{' '.join(str(handler.headers[name]).split())}\n" for name in signed)
    path = quote(unquote(parts.path), safe="/-_.~")
    payload = handler.headers["x-amz-content-sha256"]
    whole = "\n".join([handler.command, path, query, headers, ";".join(signed), payload])
    digest = hashlib.sha256(whole.encode()).hexdigest()
    text = "\n".join([SCHEME, handler.headers["x-amz-date"], scope, digest])
    key = f"AWS4{secret}".encode()
    for part in scope.split("/"):
        key = _hmac(key, part)
    return _hmac(key, text).hex()


def is_signed(handler: BaseHTTPRequestHandler, body: bytes) -> bool:
    """Tell a call that who holds the secret made, with the content that they meant."""
    scheme, _, rest = handler.headers.get("Authorization", "").partition(" ")
    given = dict(one.strip().split("=", 1) for one in rest.split(",") if "=" in one)
    key_id, _, scope = given.get("Credential", "").partition("/")
    day = handler.headers.get("x-amz-date", "")[:8]
    if (scheme, key_id, scope) != (SCHEME, KEY_ID, f"{day}/{REGION}/s3/aws4_request"):
        return False
    signed = given["SignedHeaders"].split(";")
    if not {"host", "x-amz-content-sha256", "x-amz-date"} <= set(signed):
        return False
    digest = handler.headers["x-amz-content-sha256"]
    if len(digest) == 64 and digest != hashlib.sha256(body).hexdigest():
        return False
    right = signature_of(handler, signed=signed, secret=SECRET, scope=scope)
    return hmac.compare_digest(right, given["Signature"])


def _unpacked(raw: bytes) -> bytes:
    """Return a body that came in chunks."""
    content, at = b"", 0
    while True:
        end = raw.index(b"\r\n", at)
        length = int(raw[at:end].split(b";")[0], 16)
        if length == 0:
            return content
        content += raw[end + 2 : end + 2 + length]
        at = end + 2 + length + 2


class S3Service:
    """The service; `objects` is what it holds, by bucket and key; `refused` counts what it disbelieved."""

    def __init__(self) -> None:
        self.objects: dict[str, bytes] = {}
        self.written: dict[str, dt.datetime] = {}
        self.refused = 0
        self.pages = 0
        self.server = ThreadingHTTPServer(("127.0.0.1", 0), _handler(self))
        self.server.daemon_threads = True
        self.url = f"http://127.0.0.1:{self.server.server_address[1]}"
        self.thread = threading.Thread(target=self.server.serve_forever, kwargs={"poll_interval": 0.02})

    def listing(self, bucket: str, *, prefix: str, after: str) -> bytes:
        """Return one page of a listing; the token of the next is its last key."""
        start = bucket.rstrip("/") + "/"
        keys = sorted(key.removeprefix(start) for key in list(self.objects) if key.startswith(start + prefix))
        left = [key for key in keys if key > after]
        page = left[:PAGE]
        more = len(left) > PAGE
        self.pages += 1
        rows = "".join(
            f"<Contents><Key>{escape(key)}</Key><Size>{len(self.objects[start + key])}</Size>"
            f"<LastModified>{self.written[start + key].isoformat()}</LastModified></Contents>"
            for key in page
        )
        token = f"<NextContinuationToken>{escape(page[-1])}</NextContinuationToken>" if more else ""
        head = f"<KeyCount>{len(page)}</KeyCount><IsTruncated>{str(more).lower()}</IsTruncated>{token}"
        return f"<ListBucketResult>{head}{rows}</ListBucketResult>".encode()

    def __enter__(self) -> Self:
        self.thread.start()
        return self

    def __exit__(self, *_error: object) -> None:
        self.server.shutdown()
        self.thread.join()
        self.server.server_close()


def _handler(service: S3Service) -> type[BaseHTTPRequestHandler]:  # noqa: C901  (one class, four calls)
    class Handler(BaseHTTPRequestHandler):
        protocol_version = "HTTP/1.1"

        def _key(self) -> str:
            return unquote(urlsplit(self.path).path).lstrip("/")

        def _answer(self, status: int, body: bytes = b"") -> None:
            self.send_response(status)
            self.send_header("Content-Length", str(len(body)))
            self.end_headers()
            self.wfile.write(body)

        def _believed(self) -> bytes | None:
            """Read the call; answer one that is not signed rightly."""
            raw = self.rfile.read(int(self.headers.get("Content-Length", 0)))
            if not is_signed(self, raw):
                service.refused += 1
                self._answer(403, REFUSED)
                return None
            return _unpacked(raw) if "aws-chunked" in self.headers.get("Content-Encoding", "") else raw

        def do_PUT(self) -> None:
            body = self._believed()
            if body is not None:
                service.objects[self._key()] = body
                service.written[self._key()] = dt.datetime.now(dt.UTC)
                self._answer(200)

        def do_DELETE(self) -> None:
            if self._believed() is not None:
                service.objects.pop(self._key(), None)
                self._answer(204)

        def do_GET(self) -> None:
            if self._believed() is None:
                return
            query = parse_qs(urlsplit(self.path).query)
            if "list-type" in query:
                wish = {name: query.get(name, [""])[0] for name in ("prefix", "continuation-token")}
                after = wish["continuation-token"]
                self._answer(200, service.listing(self._key(), prefix=wish["prefix"], after=after))
            elif self._key() in service.objects:
                self._answer(200, service.objects[self._key()])
            else:
                self._answer(404, b"<Error><Code>NoSuchKey</Code></Error>")

        def log_message(self, *_parts: Any) -> None:
            """Keep the test's output clean."""

    return Handler
