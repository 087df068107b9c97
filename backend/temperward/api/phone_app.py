"""The built phone app, as files: packed ones where the browser takes them, hashed ones for good."""

from __future__ import annotations

import mimetypes
from pathlib import Path

from flask import Blueprint, Response, current_app, request
from werkzeug.security import safe_join

from temperward.errors import NotHere
from temperward.services.old_assets import find_asset

blp = Blueprint("phone_app", __name__)
PACKED = (("br", ".br"), ("gzip", ".gz"))
FOREVER = "public, max-age=31536000, immutable"
NOT_BUILT = "The phone app is not built yet. Run: python3 deploy/start.py\n"
MEDIA_TYPES = {
    ".js": "text/javascript",
    ".mjs": "text/javascript",
    ".wasm": "application/wasm",
    ".webmanifest": "application/manifest+json",
    ".json": "application/json",
    ".woff2": "font/woff2",
}


@blp.get("/")
def start() -> Response:
    """Send the one page; where one is inside it is in the address's hash."""
    if not (_folder() / "index.html").is_file():
        return Response(NOT_BUILT, status=503, mimetype="text/plain")
    return _send("index.html")


@blp.get("/<path:path>")
def part(path: str) -> Response:
    """Send one file of the app."""
    return _send(path)


def _folder() -> Path:
    return Path(current_app.config["APP_DIR"])


def _send(path: str) -> Response:
    joined = safe_join(str(_folder()), path)
    if joined is None or path.endswith((".br", ".gz")):
        raise NotHere
    if not Path(joined).is_file():
        joined = _of_before(path)
    file, encoding = _packed(joined)
    found = file.stat()
    answer = Response(file.read_bytes(), mimetype=_media_type(path))
    answer.set_etag(f"{found.st_mtime_ns:x}-{found.st_size:x}")
    if encoding:
        answer.headers["Content-Encoding"] = encoding
    answer.vary.add("Accept-Encoding")
    answer.headers["Cache-Control"] = FOREVER if path.startswith("assets/") else "no-cache"
    answer.make_conditional(request)
    return answer


def _of_before(path: str) -> str:
    """Return where a file of the release before this one lies."""
    found = find_asset(path, kept=Path(current_app.config["KEPT_DIR"]))
    if found is None:
        raise NotHere
    return str(found)


def _media_type(path: str) -> str:
    """Return the media type by the name's ending; this machine's own list may lack the newer ones."""
    return MEDIA_TYPES.get(Path(path).suffix) or mimetypes.guess_type(path)[0] or "application/octet-stream"


def _packed(file: str) -> tuple[Path, str]:
    for encoding, ending in PACKED:
        if request.accept_encodings[encoding] and Path(file + ending).is_file():
            return Path(file + ending), encoding
    return Path(file), ""
