"""A phone for the benches: one kept connection, packed pushes, photos in parts, and links that break."""

from __future__ import annotations

import gzip
import hashlib
import http.client
import io
import json
import random
from dataclasses import dataclass, field
from typing import Any

from PIL import Image

PART = 256 * 1024
HEAD_BYTES = 400  # about what the lines above a body take on the wire, each way


class LinkCut(OSError):
    """The link broke while something was on its way."""


@dataclass
class BenchPhone:
    """One device on one connection, counting what it sends and gets."""

    port: int
    cookie: str = ""
    sent: int = 0
    got: int = 0
    connection: http.client.HTTPConnection | None = field(default=None, repr=False)

    def call(self, method: str, path: str, body: bytes = b"", **headers: str) -> http.client.HTTPResponse:
        """Make one call and return its answer, read to the end."""
        if self.connection is None:
            self.connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=120)
        named = {name.replace("_", "-"): value for name, value in headers.items()}
        self.connection.request(method, path, body, {"Cookie": self.cookie, **named})
        answer = self.connection.getresponse()
        answer.content = answer.read()  # type: ignore[attr-defined]
        self.sent += len(body) + HEAD_BYTES
        self.got += len(answer.content) + HEAD_BYTES  # type: ignore[attr-defined]
        return answer

    def json(self, method: str, path: str, wish: Any) -> Any:
        """Make one call with plain JSON."""
        answer = self.call(method, path, json.dumps(wish).encode(), Content_Type="application/json")
        assert answer.status < 300, (answer.status, answer.content)  # type: ignore[attr-defined]
        if cookie := answer.headers["Set-Cookie"]:
            self.cookie = cookie.split(";")[0]
        return json.loads(answer.content)  # type: ignore[attr-defined]

    def sync(self, packed: bytes) -> dict[str, Any]:
        """Push a packed body and return the answer."""
        kinds = {"Content_Type": "application/json", "Content_Encoding": "gzip", "Accept_Encoding": "gzip"}
        answer = self.call("POST", "/api/sync", packed, **kinds)
        content: bytes = answer.content  # type: ignore[attr-defined]
        assert answer.status == 200, (answer.status, content)
        answered: dict[str, Any] = json.loads(
            gzip.decompress(content) if content[:2] == b"\x1f\x8b" else content
        )
        return answered

    def part(self, sha256: str, content: bytes, *, offset: int) -> http.client.HTTPResponse:
        """Send one part of a photo."""
        where = {"Upload_Offset": str(offset), "Upload_Length": str(len(content))}
        piece = content[offset : offset + PART]
        return self.call(
            "PUT", f"/api/photos/{sha256}", piece, Content_Type="application/octet-stream", **where
        )

    def put_photo(self, content: bytes) -> None:
        """Send a photo, part after part."""
        name = hashlib.sha256(content).hexdigest()
        for offset in range(0, len(content), PART):
            answer = self.part(name, content, offset=offset)
            assert answer.status < 300, answer.content  # type: ignore[attr-defined]

    def hang_up(self) -> None:
        """Drop the connection."""
        if self.connection is not None:
            self.connection.close()
        self.connection = None


class ShakyPhone(BenchPhone):
    """A phone whose link breaks after every 0.1 to 2 MB, in the middle of whatever is on its way."""

    chance = random.Random(7)  # noqa: S311  (not a secret)
    left = 0

    def photo_over_cuts(self, content: bytes) -> None:
        """Send a photo; after each cut ask how much has come, and go on from there."""
        name = hashlib.sha256(content).hexdigest()
        offset = 0
        while offset < len(content):
            try:
                offset = self._part_or_cut(name, content, offset=offset)
            except LinkCut:
                self.hang_up()
                answer = self.call("HEAD", f"/api/photos/{name}")
                offset = int(answer.headers["Upload-Offset"]) if answer.status == 200 else 0

    def _part_or_cut(self, name: str, content: bytes, *, offset: int) -> int:
        """Send a part, or what the link lets through; return where to go on, as the server says."""
        if self.left <= 0:
            self.left = self.chance.randint(100_000, 2_000_000)
        size = min(PART, len(content) - offset)
        if size <= self.left:
            self.left -= size
            answer = self.part(name, content, offset=offset)
            reached = int(answer.headers["Upload-Offset"])
            # 409 names another place to go on from; the same one would be asked for without end.
            assert answer.status in (200, 201, 409), answer.content  # type: ignore[attr-defined]
            assert reached != offset, answer.content  # type: ignore[attr-defined]
            return reached
        self._send_some(name, content, offset=offset, size=size, some=self.left)
        self.sent += self.left + HEAD_BYTES
        self.left = 0
        raise LinkCut

    def _send_some(self, name: str, content: bytes, *, offset: int, size: int, some: int) -> None:
        self.hang_up()
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=120)
        connection.putrequest("PUT", f"/api/photos/{name}")
        lines = {"Upload-Offset": offset, "Upload-Length": len(content), "Content-Length": size}
        for header, value in lines.items():
            connection.putheader(header, str(value))
        connection.putheader("Cookie", self.cookie)
        connection.endheaders()
        connection.send(content[offset : offset + some])
        connection.close()


def packed(entries: list[dict[str, Any]], *, since: int, want: int = 500) -> bytes:
    """Return a push as phones pack it."""
    wish = {"entries": entries, "since": since, "want": want}
    return gzip.compress(json.dumps(wish, separators=(",", ":")).encode(), 6)


def photos(*, count: int, about_bytes: int, width: int = 1600, height: int = 1200) -> list[bytes]:
    """Return different pictures of about the given length, as a phone sends them."""
    grain = 1 if about_bytes > 1_000_000 else 8  # the finer, the less it packs
    noise = Image.effect_noise((width // grain, height // grain), 90 if grain == 1 else 40)
    base = noise.resize((width, height), Image.Resampling.BICUBIC)
    quality = _quality_for(base.convert("RGB"), about_bytes)
    made = []
    for number in range(count):
        one = base.convert("RGB")
        left, top = number % 20 * 70, number // 20 * 50
        one.paste((number % 256, 50, 90), (left, top, left + 64, top + 48))
        made.append(_jpeg(one, quality))
    return made


def _jpeg(image: Image.Image, quality: int) -> bytes:
    out = io.BytesIO()
    image.save(out, "JPEG", quality=quality)
    return out.getvalue()


def _quality_for(image: Image.Image, about_bytes: int) -> int:
    return min(range(40, 99, 2), key=lambda quality: abs(len(_jpeg(image, quality)) - about_bytes))
