"""A bucket on loopback: the four calls of the S3 interface that photos need, kept in memory."""

from __future__ import annotations

import threading
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any, Self
from urllib.parse import parse_qs, unquote, urlsplit
from xml.sax.saxutils import escape


def _body(handler: BaseHTTPRequestHandler) -> bytes:
    """Read a body, also one that comes in signed chunks."""
    raw = handler.rfile.read(int(handler.headers["Content-Length"]))
    if "aws-chunked" not in handler.headers.get("Content-Encoding", ""):
        return raw
    content, at = b"", 0
    while True:
        end = raw.index(b"\r\n", at)
        length = int(raw[at:end].split(b";")[0], 16)
        if length == 0:
            return content
        content += raw[end + 2 : end + 2 + length]
        at = end + 2 + length + 2


class S3Service:
    """The service; `objects` is what it holds, by bucket and key."""

    def __init__(self) -> None:
        self.objects: dict[str, bytes] = {}
        self.server = ThreadingHTTPServer(("127.0.0.1", 0), _handler(self))
        self.server.daemon_threads = True
        self.url = f"http://127.0.0.1:{self.server.server_address[1]}"
        self.thread = threading.Thread(target=self.server.serve_forever, kwargs={"poll_interval": 0.02})

    def listing(self, bucket: str, prefix: str) -> bytes:
        """Return the answer to a listing."""
        start = bucket.rstrip("/") + "/"
        found = sorted(key.removeprefix(start) for key in self.objects if key.startswith(start + prefix))
        rows = "".join(
            f"<Contents><Key>{escape(key)}</Key><Size>{len(self.objects[start + key])}</Size></Contents>"
            for key in found
        )
        head = f"<KeyCount>{len(found)}</KeyCount><IsTruncated>false</IsTruncated>"
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

        def do_PUT(self) -> None:
            service.objects[self._key()] = _body(self)
            self._answer(200)

        def do_DELETE(self) -> None:
            service.objects.pop(self._key(), None)
            self._answer(204)

        def do_GET(self) -> None:
            query = parse_qs(urlsplit(self.path).query)
            if "list-type" in query:
                self._answer(200, service.listing(self._key(), query.get("prefix", [""])[0]))
            elif self._key() in service.objects:
                self._answer(200, service.objects[self._key()])
            else:
                self._answer(404, b"<Error><Code>NoSuchKey</Code></Error>")

        def log_message(self, *_parts: Any) -> None:
            """Keep the test's output clean."""

    return Handler
