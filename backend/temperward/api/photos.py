"""Photos by hash, in parts."""

from __future__ import annotations

from typing import Any

from flask import Response, g, jsonify, request
from flask.views import MethodView

from temperward.api.access import needs
from temperward.api.bodies import Blueprint
from temperward.api.schemas import PartHeaders, PhotoProgress, PhotoQuery
from temperward.services import photos

blp = Blueprint(
    "photos", __name__, url_prefix="/api", description="Photos by their SHA-256, inside this shop"
)


@blp.route("/photos/<sha256>")
class Photo(MethodView):
    """One photo."""

    @needs()
    @blp.response(200)
    def head(self, sha256: str) -> Response:
        """Say how much of a photo is here (Upload-Offset, Upload-Complete)."""
        place = {"store": g.store, "shop_id": g.device.shop_id, "sha256": sha256}
        return _progress(photos.photo_progress(g.session, **place), created=False)

    @needs("owner", "smith")
    @blp.arguments(PartHeaders, location="headers")
    @blp.response(200, PhotoProgress)
    @blp.alt_response(201, schema=PhotoProgress)
    def put(self, headers: dict[str, Any], sha256: str) -> Response:
        """Bring the next part; with the last one the whole is checked."""
        part = request.get_data(cache=False)
        place = {"store": g.store, "shop_id": g.device.shop_id, "sha256": sha256}
        where = {"offset": headers["upload_offset"], "total": headers["upload_length"]}
        return _progress(
            photos.take_part(g.session, **place, **where, part=part, now_ms=g.now_ms), created=True
        )

    @needs()
    @blp.arguments(PhotoQuery, location="query")
    @blp.response(200, content_type="image/jpeg")
    def get(self, query: dict[str, Any], sha256: str) -> Response:
        """Fetch a photo or its small copy."""
        place = {"store": g.store, "shop_id": g.device.shop_id, "sha256": sha256}
        return _picture(photos.photo_bytes(g.session, **place, small=query["small"]))


def _progress(progress: photos.Progress, *, created: bool) -> Response:
    payload = {"sha256": progress.sha256, "offset": progress.offset, "complete": progress.complete}
    answer = jsonify(payload)
    answer.status_code = 201 if created and progress.complete else 200
    answer.headers["Upload-Offset"] = str(progress.offset)
    answer.headers["Upload-Complete"] = "?1" if progress.complete else "?0"
    return answer


def _picture(found: photos.PhotoBytes) -> Response:
    answer = Response(found.content, mimetype=found.media_type)
    answer.set_etag(found.tag)
    # Asked for again each time: an erased photo must not live on in a browser's own store.
    answer.headers["Cache-Control"] = "private, no-cache"
    answer.make_conditional(request)
    return answer
