"""Phones as the server meets them: over HTTP, with the cookie they were given."""

from __future__ import annotations

import base64
import gzip
import hashlib
import json
import secrets
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from cryptography.hazmat.primitives import serialization
from cryptography.hazmat.primitives.asymmetric import ec
from flask import Flask
from flask.testing import FlaskClient

from temperward.services import joining
from temperward.storage.session import db

if TYPE_CHECKING:
    from werkzeug.test import TestResponse

    from common.push_receiver import PushReceiver

PART = 256 * 1024


@dataclass
class Phone:
    """One joined device."""

    client: FlaskClient
    device_id: str

    def sync(self, *entries: Any, since: int = 0, **more: Any) -> dict[str, Any]:
        """Push and pull, and return the answer."""
        answer = self.client.post("/api/sync", json={"entries": list(entries), "since": since, **more})
        assert answer.status_code == 200, answer.text
        return json.loads(answer.data)

    def sync_packed(self, body: bytes) -> TestResponse:
        """Push a packed body as it is."""
        headers = {"Content-Encoding": "gzip"}
        return self.client.post("/api/sync", data=body, headers=headers, content_type="application/json")

    def pull_all(self, *, want: int = 500) -> list[dict[str, Any]]:
        """Return every row there is, page by page."""
        rows: list[dict[str, Any]] = []
        since, more = 0, True
        while more:
            answer = self.sync(since=since, want=want)
            rows += answer["rows"]
            since, more = answer["next_since"], answer["more"]
        return rows

    def put_photo(self, content: bytes, *, sha256: str | None = None) -> TestResponse:
        """Bring a photo in parts and return the last answer."""
        name = sha256 or hashlib.sha256(content).hexdigest()
        for offset in range(0, len(content), PART):
            answer = self.put_part(name, content[offset : offset + PART], offset=offset, total=len(content))
            if answer.status_code >= 300:
                break
        return answer

    def put_part(self, sha256: str, part: bytes, *, offset: int, total: int) -> TestResponse:
        """Bring one part of a photo."""
        headers = {"Upload-Offset": str(offset), "Upload-Length": str(total)}
        return self.client.put(f"/api/photos/{sha256}", data=part, headers=headers)


@dataclass
class Shop:
    """A shop with one phone of each role."""

    shop_id: str
    owner: Phone
    smith: Phone
    viewer: Phone


def join(app: Flask, code: str) -> Phone:
    """Join by a code with a new phone."""
    client = app.test_client()
    answer = client.post("/api/join", json={"code": code, "device_name": "a phone"})
    assert answer.status_code == 201, answer.text
    return Phone(client=client, device_id=answer.json["device_id"])


def join_as(app: Flask, owner: Phone, role: str) -> Phone:
    """Join with a new phone that the owner lets in."""
    return join(app, owner.client.post("/api/join-codes", json={"role": role}).json["code"])


def open_shop(app: Flask, *, name: str) -> Shop:
    """Claim a new shop, and let one phone of each role in."""
    with app.app_context():
        code = joining.make_claim_code(db.session())
    client = app.test_client()
    wish = {"code": code, "shop_name": name, "zone": "Europe/Dublin", "device_name": "the owner's"}
    answer = client.post("/api/claim", json=wish)
    assert answer.status_code == 201, answer.text
    owner = Phone(client=client, device_id=answer.json["device_id"])
    with app.app_context():
        found = db.session().execute(
            db.text("SELECT shop_id FROM devices WHERE device_id = :one"), {"one": owner.device_id}
        )
        shop_id = found.scalar_one()
    return Shop(
        shop_id=shop_id, owner=owner, smith=join_as(app, owner, "smith"), viewer=join_as(app, owner, "viewer")
    )


def packed(value: Any) -> bytes:
    """Return JSON, packed."""
    return gzip.compress(json.dumps(value).encode())


def base64url(content: bytes) -> str:
    """Return bytes as push messages carry them."""
    return base64.urlsafe_b64encode(content).rstrip(b"=").decode()


class PushBrowser:
    """A browser that subscribes, and can open what it is sent."""

    def __init__(self, receiver: PushReceiver, *, path: str = "/push/one") -> None:
        self.receiver = receiver
        self.private = ec.generate_private_key(ec.SECP256R1())
        self.auth = secrets.token_bytes(16)
        self.endpoint = f"http://127.0.0.1:{receiver.port}{path}"

    def subscription(self) -> dict[str, Any]:
        """Return what a browser gives its page."""
        point = self.private.public_key().public_bytes(
            serialization.Encoding.X962, serialization.PublicFormat.UncompressedPoint
        )
        keys = {"p256dh": base64url(point), "auth": base64url(self.auth)}
        return {"endpoint": self.endpoint, "expirationTime": None, "keys": keys}

    def subscribe(self, phone: Phone) -> None:
        """Tell the server where to push."""
        answer = phone.client.post("/api/push-subscriptions", json=self.subscription())
        assert answer.status_code == 201, answer.text
