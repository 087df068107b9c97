"""Push and pull in one call."""

from __future__ import annotations

from typing import Any

from flask import Response, g

from temperward.api.access import needs
from temperward.api.bodies import Blueprint
from temperward.api.schemas import EraseAnswer, EraseRequest, SyncAnswer, SyncRequest
from temperward.services.erase import erase
from temperward.services.exchange import exchange

blp = Blueprint("sync", __name__, url_prefix="/api", description="Entries, both ways")


@blp.post("/sync")
@needs()
@blp.arguments(SyncRequest)
@blp.response(200, SyncAnswer)
def sync(wish: dict[str, Any]) -> Response:
    """Offer entries, name what became of each, and give the next rows."""
    return Response(
        exchange(wish, session=g.session, device=g.device, now_ms=g.now_ms), mimetype="application/json"
    )


@blp.post("/erase")
@needs("owner")
@blp.arguments(EraseRequest)
@blp.response(200, EraseAnswer)
def erase_words(wish: dict[str, Any]) -> dict[str, int]:
    """Erase a photo, an entry's words or a whole log's; id, time and who stay."""
    return {
        "entries": erase(wish, session=g.session, store=g.store, shop_id=g.device.shop_id, now_ms=g.now_ms)
    }
