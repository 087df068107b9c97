"""Getting in, and who is in."""

from __future__ import annotations

from typing import Any

from flask import Response, g, jsonify, request

from temperward.api.access import COOKIE, needs, set_token
from temperward.api.bodies import Blueprint
from temperward.api.schemas import (
    ClaimRequest,
    DeviceAnswer,
    JoinCodeAnswer,
    JoinCodeRequest,
    JoinRequest,
    MeAnswer,
)
from temperward.services import devices, joining, server_facts

blp = Blueprint("joining", __name__, url_prefix="/api", description="Devices and how they get in")


@blp.post("/claim")
@blp.arguments(ClaimRequest)
@blp.response(201, MeAnswer)
def claim(wish: dict[str, Any]) -> Response:
    """Make a shop on a new server with the code from its console; this device becomes its owner."""
    address = request.remote_addr or ""
    return _let_in(joining.claim_shop(wish, session=g.session, address=address, now_ms=g.now_ms))


@blp.post("/join")
@blp.arguments(JoinRequest)
@blp.response(201, MeAnswer)
def join(wish: dict[str, Any]) -> Response:
    """Join a shop with a code that is good once, for ten minutes."""
    address = request.remote_addr or ""
    return _let_in(joining.join_shop(wish, session=g.session, address=address, now_ms=g.now_ms))


@blp.get("/me")
@needs()
@blp.response(200, MeAnswer)
def me() -> dict[str, Any]:
    """Say who this device is."""
    return _who(g.device, devices.shop_of(g.session, device=g.device))


@blp.post("/leave")
@needs()
@blp.response(204)
def leave() -> Response:
    """Take this device's own token back."""
    devices.revoke(g.session, shop_id=g.device.shop_id, device_id=g.device.device_id, now_ms=g.now_ms)
    answer = Response(status=204)
    answer.delete_cookie(COOKIE, path="/api")
    return answer


@blp.post("/join-codes")
@needs("owner")
@blp.arguments(JoinCodeRequest)
@blp.response(201, JoinCodeAnswer)
def make_join_code(wish: dict[str, Any]) -> joining.JoinCodeMade:
    """Make a code for one more device."""
    return joining.make_join_code(g.session, shop_id=g.device.shop_id, role=wish["role"], now_ms=g.now_ms)


@blp.get("/devices")
@needs("owner")
@blp.response(200, DeviceAnswer(many=True))
def list_devices() -> list[devices.Device]:
    """List the devices of this shop."""
    return devices.devices_of_shop(g.session, shop_id=g.device.shop_id)


@blp.delete("/devices/<device_id>")
@needs("owner")
@blp.response(204)
def revoke_device(device_id: str) -> None:
    """Take a device's token back."""
    devices.revoke(g.session, shop_id=g.device.shop_id, device_id=device_id, now_ms=g.now_ms)


def _let_in(joined: joining.Joined) -> Response:
    answer = jsonify(_who(joined.device, joined.shop))
    answer.status_code = 201
    return set_token(answer, token=joined.token)


def _who(device: Any, shop: Any) -> dict[str, Any]:
    return {
        "device_id": device.device_id,
        "device_name": device.name,
        "role": device.role,
        "shop_id": shop.shop_id,
        "shop_name": shop.name,
        "zone": shop.zone,
        "epoch": server_facts.epoch(g.session),
        "now_ms": g.now_ms,
    }
