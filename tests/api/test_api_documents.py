"""What the server says of itself: the OpenAPI document, the plain page, health and totals."""

from __future__ import annotations

import dataclasses
import json
import re

import pytest
from common.logs import entry
from common.phones import Shop
from flask import Flask

from temperward import errors
from temperward.api.problems import STATUS
from temperward.app import create_app
from temperward.settings import Settings


def subclasses(root: type) -> set[type]:
    return {root} | {below for one in root.__subclasses__() for below in subclasses(one)}


def test_every_error_a_call_can_raise_has_a_status() -> None:
    not_over_http = {errors.TemperwardError, errors.BadSettings, errors.BadBackup, errors.PhotoRefused}
    assert subclasses(errors.TemperwardError) - not_over_http == set(STATUS)


def test_the_error_tree_in_the_docstring_is_the_real_one() -> None:
    drawn = set(re.findall(r"[|`]- (\w+)", errors.__doc__ or ""))
    assert drawn | {"TemperwardError"} == {one.__name__ for one in subclasses(errors.TemperwardError)}


def test_the_document_describes_every_call(app: Flask) -> None:
    document = app.test_client().get("/api/openapi.json").json
    assert document["openapi"] == "3.1.0"
    described = {
        (method.upper(), path)
        for path, item in document["paths"].items()
        for method in item
        if method != "parameters"
    }
    real = {
        (method, rule.rule.replace("<", "{").replace(">", "}"))
        for rule in app.url_map.iter_rules()
        for method in (rule.methods or set()) - {"OPTIONS"}
        if rule.rule.startswith("/api/") and rule.rule not in ("/api/docs", "/api/openapi.json")
    }
    implied = {("HEAD", path) for method, path in described if method == "GET"}
    assert real - implied == described - implied


def test_the_document_says_what_an_entry_is(app: Flask) -> None:
    document = app.test_client().get("/api/openapi.json").json
    item = document["components"]["schemas"]["SyncRequest"]["properties"]["entries"]["items"]
    assert "lamport" in item["required"]
    assert "group_id" not in item["required"]
    bodies = {one["title"]: one for one in item["properties"]["body"]["anyOf"]}
    assert bodies["override"]["required"] == ["gate", "items", "reason", "initials"]


def test_the_plain_page_shows_every_call_without_any_script(app: Flask) -> None:
    page = app.test_client().get("/api/docs").text
    document = app.test_client().get("/api/openapi.json").json
    assert "<script" not in page
    assert "style=" not in page
    for path in document["paths"]:
        assert path in page.replace("&lt;", "<")


def test_the_server_says_when_it_is_up(app: Flask) -> None:
    answer = app.test_client().get("/healthz")
    assert answer.json["ok"] is True
    assert re.fullmatch(r"\d+\.\d+\.\d+", answer.json["version"])


def test_totals_name_nobody_and_are_for_this_host_or_who_holds_the_token(
    settings: Settings, shop: Shop
) -> None:
    shop.smith.sync(entry(), entry())
    with_token = dataclasses.replace(settings, metrics_token="t0ken")  # noqa: S106
    client = create_app(with_token).test_client()
    page = client.get("/metrics").text
    assert "temperward_entries 2" in page
    assert shop.shop_id not in page
    away = {"REMOTE_ADDR": "192.0.2.7"}
    assert client.get("/metrics", environ_base=away).status_code == 404
    assert (
        client.get("/metrics", environ_base=away, headers={"Authorization": "Bearer wrong"}).status_code
        == 404
    )
    assert (
        client.get("/metrics", environ_base=away, headers={"Authorization": "Bearer t0ken"}).status_code
        == 200
    )


def test_a_question_is_answered_over_http_as_at_the_desk(shop: Shop) -> None:
    answer = shop.viewer.client.post("/api/ask/straightness", json={"stations": "none"})
    assert (answer.status_code, answer.json["message"]) == (422, "engine_refused")
    assert set(answer.json["errors"]["error"]) == {
        "field",
        "value",
        "low",
        "high",
        "unit",
        "reason",
        "choices",
    }
    assert shop.viewer.client.post("/api/ask/steels", json={}).json["question"] == "steels"
    assert shop.viewer.client.post("/api/ask/nothing", json={}).status_code == 404


def test_the_words_of_a_language_are_given_to_anyone(app: Flask) -> None:
    words = app.test_client().get("/api/words/en").json
    assert len(words) > 100
    assert app.test_client().get("/api/words/xx").status_code == 404


def test_a_log_line_of_a_request_names_no_person_path_or_address(
    shop: Shop, caplog: pytest.LogCaptureFixture
) -> None:
    shop.owner.client.get("/api/photos/" + "ab" * 32)
    from temperward.logs import JsonLines  # noqa: PLC0415

    caplog.set_level("INFO", "temperward")
    import logging  # noqa: PLC0415

    logging.getLogger("temperward").addHandler(caplog.handler)
    shop.owner.client.get("/api/photos/" + "cd" * 32)
    logging.getLogger("temperward").removeHandler(caplog.handler)
    line = json.loads(JsonLines().format(caplog.records[-1]))
    assert line["call"] == "/api/photos/<sha256>"
    assert "cd" * 32 not in json.dumps(line)
    assert set(line) == {"at", "level", "from", "what", "method", "call", "status", "took_ms", "bytes"}


def test_a_mistake_of_ours_is_a_plain_500_that_tells_nothing(app: Flask, shop: Shop) -> None:
    with app.app_context():
        from temperward.storage.session import db  # noqa: PLC0415

        db.session().execute(db.text("UPDATE shops SET last_seq = -5"))
        db.session().execute(db.text("DROP TABLE logs"))
        db.session().commit()
    answer = shop.smith.client.post("/api/sync", json={"entries": [entry()]})
    assert (answer.status_code, answer.json) == (
        500, {"code": 500, "status": "Internal Server Error", "message": "unforeseen", "errors": {}},
    )  # fmt: skip
