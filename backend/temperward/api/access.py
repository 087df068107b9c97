"""Who is calling: the device token in its cookie, its role, and the same-origin rule for all that changes."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import ParamSpec, TypeVar
from urllib.parse import urlsplit

from flask import Flask, Response, g, request

from temperward.errors import CrossSite, NotSignedIn
from temperward.instants import now_ms
from temperward.services import devices, joining, server_facts

COOKIE = "temperward_device"
COOKIE_LIFE_S = 400 * 24 * 3600  # the longest that browsers keep one (RFC 6265bis, section 5.5)
SAFE_METHODS = ("GET", "HEAD", "OPTIONS")

P = ParamSpec("P")
R = TypeVar("R")


def init_app(app: Flask) -> None:
    """Open one session a request, and refuse what another site's page sends."""
    app.before_request(_begin)
    app.before_request(_refuse_cross_site)
    app.after_request(_name_epoch)


def _begin() -> None:
    g.now_ms = now_ms()
    g.session = devices.open_session()


def _refuse_cross_site() -> None:
    if request.method in SAFE_METHODS:
        return
    site = request.headers.get("Sec-Fetch-Site", "same-origin")
    origin = request.headers.get("Origin")
    if site not in ("same-origin", "none") or (origin is not None and _host_of(origin) != request.host):
        raise CrossSite


def _host_of(origin: str) -> str | None:
    try:
        return urlsplit(origin).netloc
    except ValueError:  # brackets that do not close
        return None


def _name_epoch(answer: Response) -> Response:
    """Let the phone tell our answer, whatever it says, from a captive portal's."""
    if request.path.startswith("/api/"):
        answer.headers["Temperward-Epoch"] = server_facts.epoch(g.session)
        answer.headers.setdefault("Cache-Control", "no-store")
    return answer


def needs(*roles: str) -> Callable[[Callable[P, R]], Callable[P, R]]:
    """Let only signed-in devices through, of these roles if any are named; the device is g.device."""

    def wrap(view: Callable[P, R]) -> Callable[P, R]:
        @wraps(view)
        def guarded(*args: P.args, **kwargs: P.kwargs) -> R:
            g.device = _device()
            if roles:
                joining.require_role(g.device, *roles)
            return view(*args, **kwargs)

        return guarded

    return wrap


def _device() -> devices.Device:
    token = request.cookies.get(COOKIE)
    if not token:
        raise NotSignedIn
    device = devices.device_of_token(g.session, token=token)
    devices.note_visit(g.session, device=device, now_ms=g.now_ms)
    return device


def set_token(answer: Response, *, token: str) -> Response:
    """Hand the device its token, out of reach of any script."""
    answer.set_cookie(
        COOKIE,
        token,
        max_age=COOKIE_LIFE_S,
        httponly=True,
        samesite="Strict",
        secure=request.is_secure,
        path="/api",
    )
    return answer
