"""One table from error class to HTTP status, and one shape for every error: flask-smorest's own.

    {"code": 409, "status": "Conflict", "message": "wrong_offset", "errors": {"offset": 262144}}

`message` is a word id, `errors` are the facts that fill its sentence.
"""

from __future__ import annotations

import logging
from http import HTTPStatus
from typing import Any

from flask import Flask, Response, g, jsonify
from werkzeug.exceptions import HTTPException

from temperward import errors

STATUS: dict[type[errors.TemperwardError], int] = {
    errors.BadCode: 403,
    errors.BadJson: 400,
    errors.BadSubscription: 422,
    errors.CarriesMetadata: 422,
    errors.CrossSite: 403,
    errors.EngineRefused: 422,
    errors.NotAPicture: 422,
    errors.NotAllowed: 403,
    errors.NotHere: 404,
    errors.NotSignedIn: 401,
    errors.OtherShop: 409,
    errors.PushFailed: 502,
    errors.StoreFull: 507,
    errors.TooBig: 413,
    errors.TooManyTries: 429,
    errors.UnknownEncoding: 415,
    errors.UpgradeNeeded: 426,
    errors.WrongHash: 422,
    errors.WrongOffset: 409,
}
log = logging.getLogger("temperward.api")


def init_app(app: Flask) -> None:
    """Answer every error of ours, of the framework and of nobody in the one shape."""
    app.register_error_handler(errors.TemperwardError, _ours)
    app.register_error_handler(HTTPException, _of_the_framework)
    app.register_error_handler(Exception, _of_nobody)


def problem(status: int, *, word: str, facts: dict[str, Any]) -> Response:
    """Return an error as it goes over the wire, and let go of whatever was half written."""
    if "session" in g:
        g.session.rollback()
    payload = {"code": status, "status": HTTPStatus(status).phrase, "message": word, "errors": facts}
    answer = jsonify(payload)
    answer.status_code = status
    return answer


def _ours(error: errors.TemperwardError) -> Response:
    answer = problem(STATUS[type(error)], word=error.word, facts=error.facts)
    if isinstance(error, errors.TooManyTries):
        answer.headers["Retry-After"] = str(error.facts["retry_after_s"])
    if isinstance(error, errors.WrongOffset) and "offset" in error.facts:
        answer.headers["Upload-Offset"] = str(error.facts["offset"])
    return answer


def _of_the_framework(error: HTTPException) -> Response:
    code = error.code or 500
    found = getattr(error, "data", {})
    facts = found.get("messages", {}) if isinstance(found, dict) else {}
    words = {404: "not_here", 405: "not_that_way", 413: "too_big", 415: "unknown_encoding", 422: "bad_fields"}
    answer = problem(code, word=words.get(code, "bad_request"), facts=facts)
    for name, value in error.get_headers():
        if name in ("Allow", "Retry-After"):
            answer.headers[name] = value
    return answer


def _of_nobody(error: Exception) -> Response:
    log.error("unforeseen", exc_info=error)
    return problem(500, word="unforeseen", facts={})
