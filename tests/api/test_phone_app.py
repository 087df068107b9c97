"""The phone app as files: fresh where it must be, kept for good where it may, packed where it helps."""

from __future__ import annotations

import dataclasses
from pathlib import Path

import pytest
from flask import Flask
from flask.testing import FlaskClient

from temperward.services.old_assets import keep_assets
from temperward.settings import Settings

FILES = {
    "index.html": b"<!doctype html><title>Temperward</title>",
    "sw.js": b"self.x = 1",
    "manifest.webmanifest": b"{}",
    "assets/main-abc123.js": b"main()" * 50,
    "assets/main-abc123.js.br": b"packed with br",
    "assets/main-abc123.js.gz": b"packed with gz",
    "assets/engine-abc123.wasm": b"\x00asm",
    "assets/words-abc123.json": b'{"a": 1}' * 500,
    "assets/words-abc123.json.br": b"packed with br" * 200,
}


@pytest.fixture
def settings(settings: Settings, tmp_path: Path) -> Settings:
    """With a built phone app."""
    for name, content in FILES.items():
        path = tmp_path / "dist" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)
    (tmp_path / "secret").write_text("not yours")
    return dataclasses.replace(settings, app_dist=str(tmp_path / "dist"))


@pytest.fixture
def client(app: Flask) -> FlaskClient:
    return app.test_client()


@pytest.mark.parametrize("path", ["/", "/index.html", "/sw.js", "/manifest.webmanifest"])
def test_what_names_the_version_is_asked_for_each_time(client: FlaskClient, path: str) -> None:
    answer = client.get(path)
    assert answer.status_code == 200
    assert answer.headers["Cache-Control"] == "no-cache"
    assert client.get(path, headers={"If-None-Match": answer.headers["ETag"]}).status_code == 304


def test_what_carries_its_hash_is_kept_for_good(client: FlaskClient) -> None:
    assert (
        client.get("/assets/main-abc123.js").headers["Cache-Control"] == "public, max-age=31536000, immutable"
    )


@pytest.mark.parametrize(
    ("accepts", "body", "encoding"),
    [
        ("gzip, deflate, br", b"packed with br", "br"),
        ("gzip", b"packed with gz", "gzip"),
        ("br;q=0, gzip", b"packed with gz", "gzip"),
        ("identity", b"main()" * 50, None),
    ],
)
def test_the_packed_copy_goes_to_who_can_open_it(
    client: FlaskClient, accepts: str, body: bytes, encoding: str | None
) -> None:
    answer = client.get("/assets/main-abc123.js", headers={"Accept-Encoding": accepts})
    assert answer.data == body
    assert answer.headers.get("Content-Encoding") == encoding
    assert answer.headers["Content-Type"].startswith("text/javascript")
    assert "Accept-Encoding" in answer.headers["Vary"]


def test_a_packed_json_file_is_not_packed_again(client: FlaskClient) -> None:
    answer = client.get("/assets/words-abc123.json", headers={"Accept-Encoding": "gzip, deflate, br"})
    assert answer.data == FILES["assets/words-abc123.json.br"]
    assert answer.headers["Content-Encoding"] == "br"


def test_the_engine_is_sent_as_what_browsers_compile(client: FlaskClient) -> None:
    assert client.get("/assets/engine-abc123.wasm").headers["Content-Type"] == "application/wasm"


def test_files_of_the_last_release_stay_for_pages_that_are_open_and_no_longer(
    client: FlaskClient, settings: Settings
) -> None:
    app_dir, kept = settings.app_dir, settings.kept_dir
    first = "/assets/main-abc123.js"
    for release in (1, 2, 2, 3):  # the second starts twice
        for old in (app_dir / "assets").iterdir():
            old.unlink()
        (app_dir / "assets" / f"main-{release}.js").write_text(f"main({release})")
        if release == 1:
            (app_dir / "assets" / "main-abc123.js").write_text("main(0)")
        (app_dir / "index.html").write_text(f"<title>{release}</title>")
        keep_assets(app_dir=app_dir, kept=kept)
        found = client.get(first)
        assert found.status_code == (200 if release < 3 else 404), release
        assert client.get(f"/assets/main-{release}.js").data == f"main({release})".encode()
    before = client.get("/assets/main-2.js")
    assert (before.data, before.headers["Cache-Control"].split(", ")[-1]) == (b"main(2)", "immutable")
    assert client.get("/").data == b"<title>3</title>"
    for path in ("/assets/..%2f..%2fsecret", "/assets/.hidden", "/main-2.js"):
        assert client.get(path).status_code == 404, path


@pytest.mark.parametrize(
    "path",
    [
        "/../secret",
        "/..%2fsecret",
        "/assets/../../secret",
        "/%2e%2e/secret",
        "/assets/main-abc123.js.br",
        "/blades",
        "/assets",
    ],
)
def test_nothing_else_is_sent_and_no_path_becomes_the_app(client: FlaskClient, path: str) -> None:
    answer = client.get(path)
    assert answer.status_code == 404
    assert answer.json["message"] == "not_here"


def test_an_api_path_that_does_not_exist_is_not_the_app(client: FlaskClient) -> None:
    assert client.get("/api/nothing").json["message"] == "not_here"


def test_every_answer_says_where_its_parts_may_come_from(client: FlaskClient) -> None:
    for path in ("/", "/assets/main-abc123.js", "/api/me", "/nothing", "/healthz"):
        headers = client.get(path).headers
        policy = headers["Content-Security-Policy"]
        assert "default-src 'none'" in policy
        assert "script-src 'self' 'wasm-unsafe-eval';" in policy
        assert "unsafe-inline" not in policy
        assert "'unsafe-eval'" not in policy
        assert "http" not in policy  # no other origin at all
        assert headers["X-Content-Type-Options"] == "nosniff"
        assert headers["Referrer-Policy"] == "no-referrer"
        assert headers["Cross-Origin-Opener-Policy"] == "same-origin"
        assert "geolocation=()" in headers["Permissions-Policy"]


def test_a_server_without_the_app_says_how_to_build_it(app: Flask, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(app.config, "APP_DIR", "/nowhere")
    answer = app.test_client().get("/")
    assert answer.status_code == 503
    assert "deploy/start.py" in answer.text
