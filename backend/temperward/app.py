"""The one factory that wires everything: `temperward.app:create_app`."""

from __future__ import annotations

from flask import Flask, g
from flask_smorest import Api
from werkzeug.middleware.proxy_fix import ProxyFix

from temperward.api import (
    access,
    access_log,
    asking,
    bodies,
    docs,
    headers,
    health,
    joining,
    phone_app,
    photos,
    problems,
    push,
    sync,
)
from temperward.services.health import version
from temperward.services.photos import PhotoStore, open_store
from temperward.settings import Settings, read_settings
from temperward.storage import session

DESCRIBED = (asking, joining, photos, push, sync)
PLAIN = (docs, health, phone_app)


def create_app(settings: Settings | None = None) -> Flask:
    """Make the server from its settings; without any, from the environment."""
    settings = settings or read_settings()
    app = Flask("temperward", static_folder=None)
    _configure(app, settings)
    session.init_app(app, url=settings.sqlalchemy_url)
    for part in (access_log, bodies, problems, access, headers):
        part.init_app(app)
    _open_photo_store(app, settings)
    api = Api(app)
    app.config["OPENAPI"] = api
    for described in DESCRIBED:
        api.register_blueprint(described.blp)
    problems.init_app(app)  # after Api, which brings handlers of its own
    for plain in PLAIN:
        app.register_blueprint(plain.blp)
    if settings.proxies:
        hops = settings.proxies
        app.wsgi_app = ProxyFix(app.wsgi_app, x_for=hops, x_proto=hops, x_host=hops)  # type: ignore[method-assign]
    return app


def _configure(app: Flask, settings: Settings) -> None:
    app.config.update(
        API_TITLE="Temperward",
        API_VERSION=version(),
        OPENAPI_VERSION="3.1.0",
        OPENAPI_URL_PREFIX="/api",
        OPENAPI_JSON_PATH="openapi.json",
        API_SPEC_OPTIONS={
            "info": {"description": "Entries both ways, photos, reminders and the engine's questions."}
        },
        APP_DIR=str(settings.app_dir),
        KEPT_DIR=str(settings.kept_dir),
        HSTS_S=settings.hsts_s,
        METRICS_TOKEN=settings.metrics_token,
        SETTINGS=settings,
    )


def _open_photo_store(app: Flask, settings: Settings) -> None:
    store: PhotoStore = open_store(
        settings.photo_store, folder=settings.data_dir / "photos", endpoint_url=settings.s3_endpoint_url
    )
    app.config["PHOTO_STORE"] = store

    @app.before_request
    def _give_store() -> None:
        g.store = store
