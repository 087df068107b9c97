"""The page over plain http that hands out the certificate and says how a phone comes to trust it.

Anybody on the network can read it: no joining code stands on it, only the way to where one is typed.
"""

from __future__ import annotations

import datetime as dt
import logging
import threading

import segno
from cryptography.hazmat.primitives.serialization import Encoding
from flask import Flask, Response, render_template, request, send_from_directory

from temperward import logs
from temperward.api import headers
from temperward.lan.addresses import LOOPBACK, Reach, present_reach
from temperward.lan.authority import common_name, covered, fingerprint
from temperward.lan.keeping import LanFolder
from temperward.settings import read_settings

LOOK_EVERY_S = 30.0
CERTIFICATE_TYPE = "application/x-x509-ca-cert"
THIS_MACHINE = frozenset({LOOPBACK, "localhost"})
log = logging.getLogger("temperward.lan")


def create_page(lan: LanFolder, *, https_port: int, page_port: int) -> Flask:
    """Make the page over the files of a data folder."""
    app = Flask("temperward.lan", static_folder=None)
    headers.init_app(app)

    @app.get("/")
    def start() -> str:
        host, authority = _host(lan), lan.authority_certificate()
        link = f"https://{host}:{https_port}/"
        page = f"http://{host}:{page_port}/"
        return render_template(
            "lan.html",
            link=link,
            picture=_picture(link),
            page=page,
            page_picture=_picture(page),
            name=common_name(authority),
            mark=fingerprint(authority),
        )

    @app.get("/temperward.crt")
    def certificate() -> Response:
        content = lan.authority_certificate().public_bytes(Encoding.DER)
        answer = Response(content, mimetype=CERTIFICATE_TYPE)
        answer.headers["Cache-Control"] = "no-cache"
        return answer

    @app.get("/lan.css")
    def looks() -> Response:
        return send_from_directory(f"{app.root_path}/templates", "lan.css")

    @app.get("/healthz")
    def healthz() -> dict[str, bool]:
        return {"ok": lan.server_file.exists()}

    return app


def _picture(link: str) -> str:
    return segno.make(link, micro=False).svg_inline(scale=6, border=4, light="#fff", title=link)


def _host(lan: LanFolder) -> str:
    """Return the name the reader came by if it leads a phone here too, else the best address.

    The shop's own computer comes by a name that means, on a phone, the phone itself.
    """
    came_by = request.host.rpartition(":")[0] or request.host
    if came_by in THIS_MACHINE or came_by not in covered(lan.server()):
        return present_reach().best
    return came_by


def look_once(lan: LanFolder, *, reach: Reach) -> None:
    """Renew the server's certificate when the machine's addresses or its age ask for it."""
    if lan.keep_current(reach=reach, now=dt.datetime.now(dt.UTC)):
        log.warning("server certificate renewed", extra={"facts": {"names": sorted(reach.all)}})


def _keep_looking(lan: LanFolder) -> None:
    pause = threading.Event()
    while not pause.wait(LOOK_EVERY_S):
        try:
            look_once(lan, reach=present_reach())
        except OSError:
            log.exception("looking at the network failed; the next look comes soon")


def serve_page(*, https_port: int, page_port: int) -> Flask:
    """Make the page for the running server and look after the certificate beside it."""
    logs.set_up()
    lan = LanFolder(read_settings().data_dir)
    threading.Thread(target=_keep_looking, args=[lan], name="certificate", daemon=True).start()
    return create_page(lan, https_port=https_port, page_port=page_port)
