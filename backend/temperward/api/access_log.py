"""One line for each request: which call, what came of it, how long it took. No address, path or person."""

from __future__ import annotations

import logging
import time

from flask import Flask, Response, g, request

from temperward import logs

log = logging.getLogger("temperward.requests")


def init_app(app: Flask) -> None:
    """Write the line after each request."""
    logs.set_up()
    app.before_request(_start)
    app.after_request(_write)


def _start() -> None:
    g.started_ns = time.perf_counter_ns()


def _write(answer: Response) -> Response:
    facts = {
        "method": request.method,
        "call": request.url_rule.rule if request.url_rule else None,
        "status": answer.status_code,
        "took_ms": (time.perf_counter_ns() - g.started_ns) // 1_000_000,
        "bytes": answer.content_length,
    }
    log.info("request", extra={"facts": facts})
    return answer
