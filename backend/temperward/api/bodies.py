"""Reading what comes in: inflated under a limit, and JSON without what JSON has no word for."""

from __future__ import annotations

import io
import zlib
from typing import IO, Any

from flask import Flask, Request
from flask.json.provider import DefaultJSONProvider
from flask_smorest import Blueprint as SmorestBlueprint
from webargs.flaskparser import FlaskParser
from werkzeug.utils import cached_property

from temperward.errors import BadJson, TooBig, UnknownEncoding

BODY_LIMIT_BYTES = 8 * 1024 * 1024
GZIP_WINDOW = 16 + zlib.MAX_WBITS


def init_app(app: Flask) -> None:
    """Read requests our way."""
    app.request_class = GuardedRequest
    app.json = StrictJson(app)
    app.config["MAX_CONTENT_LENGTH"] = BODY_LIMIT_BYTES


def inflate(packed: bytes) -> bytes:
    """Unpack gzip and stop at the limit, so that a small body cannot become a huge one."""
    unpacker = zlib.decompressobj(GZIP_WINDOW)
    try:
        content = unpacker.decompress(packed, BODY_LIMIT_BYTES + 1)
    except zlib.error as error:
        raise BadJson("bad_gzip") from error
    if len(content) > BODY_LIMIT_BYTES:
        raise TooBig("body_too_big", high=BODY_LIMIT_BYTES, unit="bytes")
    if not unpacker.eof or unpacker.unused_data:
        raise BadJson("bad_gzip")
    return content


class GuardedRequest(Request):
    """A request whose body may be packed; Flask itself neither unpacks nor counts."""

    @cached_property
    def stream(self) -> IO[bytes]:
        """Return the body, unpacked."""
        encoding = self.headers.get("Content-Encoding", "identity").strip().lower()
        if encoding not in ("gzip", "identity"):
            raise UnknownEncoding(encoding=encoding)
        raw: IO[bytes] = super().stream
        return io.BytesIO(inflate(raw.read())) if encoding == "gzip" else raw


class StrictJson(DefaultJSONProvider):
    """JSON as the standard has it (RFC 8259): NaN is refused, and so is nesting without end."""

    sort_keys = False

    def loads(self, s: str | bytes, **kwargs: Any) -> Any:
        """Read a body."""
        try:
            return super().loads(s, parse_constant=_refuse_constant, **kwargs)
        except (ValueError, RecursionError) as error:
            raise BadJson from error


def _refuse_constant(name: str) -> None:
    raise ValueError(name)


class StrictParser(FlaskParser):
    """Reads arguments through the strict JSON reader."""

    def _raw_load_json(self, req: Request) -> Any:
        if not req.is_json:
            raise UnknownEncoding("needs_json", found=req.mimetype)
        return req.get_json(cache=True)


class Blueprint(SmorestBlueprint):  # type: ignore[misc]
    """A blueprint that reads its arguments strictly."""

    ARGUMENTS_PARSER = StrictParser()
