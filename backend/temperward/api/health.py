"""Is it up, and how much does it hold: for whoever runs the server."""

from __future__ import annotations

import hmac

from flask import Blueprint, Response, current_app, g, request

from temperward.errors import NotHere
from temperward.services import health

blp = Blueprint("health", __name__)
LOOPBACK = ("127.0.0.1", "::1")


@blp.get("/healthz")
def healthz() -> dict[str, object]:
    """Answer once the database answers."""
    return {"ok": health.is_up(g.session), "version": health.version()}


@blp.get("/metrics")
def metrics() -> Response:
    """Give totals over all shops, as monitoring reads them, to this host or to whoever holds the token."""
    if not (_from_here() or _holds_token()):
        raise NotHere
    return Response(health.metrics_text(g.session, now_ms=g.now_ms), mimetype="text/plain")


def _from_here() -> bool:
    return request.remote_addr in LOOPBACK and "X-Forwarded-For" not in request.headers


def _holds_token() -> bool:
    token = current_app.config["METRICS_TOKEN"]
    given = request.headers.get("Authorization", "")
    return bool(token) and hmac.compare_digest(given.encode(), f"Bearer {token}".encode())
