"""Where devices take push messages."""

from __future__ import annotations

from typing import Any

from flask import current_app, g

from temperward.api.access import needs
from temperward.api.bodies import Blueprint
from temperward.api.schemas import PushAnswer, PushForget, PushKeyAnswer, PushRequest
from temperward.services import push_test, subscriptions

blp = Blueprint("push", __name__, url_prefix="/api", description="Web push")


@blp.get("/push-key")
@needs()
@blp.response(200, PushKeyAnswer)
def push_key() -> dict[str, str | None]:
    """Give the key a phone subscribes with, or say why there is none."""
    return subscriptions.push_key(g.session, subject=current_app.config["SETTINGS"].push_subject)


@blp.post("/push-subscriptions")
@needs()
@blp.arguments(PushRequest)
@blp.response(201, PushAnswer)
def subscribe(wish: dict[str, Any]) -> dict[str, str]:
    """Keep where this device takes push messages."""
    allowed = current_app.config["SETTINGS"].push_allow
    return {
        "endpoint_id": subscriptions.subscribe(
            wish, session=g.session, device=g.device, allowed=allowed, now_ms=g.now_ms
        )
    }


@blp.delete("/push-subscriptions")
@needs()
@blp.arguments(PushForget)
@blp.response(204)
def unsubscribe(wish: dict[str, Any]) -> None:
    """Forget where this device takes push messages."""
    subscriptions.unsubscribe(g.session, device=g.device, endpoint=wish["endpoint"])


@blp.post("/push-test")
@needs()
@blp.response(204)
def test_push() -> None:
    """Send a test message to this device now."""
    settings = current_app.config["SETTINGS"]
    push_test.send_test(
        g.session,
        device=g.device,
        subject=settings.push_subject,
        allowed=settings.push_allow,
        now_ms=g.now_ms,
    )
