"""Whatever comes in, the API answers as its own document says, and never with a 500."""

from __future__ import annotations

import json
import subprocess

import requests
import schemathesis
from common.running_server import TEMPERWARD, RunningServer
from hypothesis import HealthCheck, settings
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_schema_conformance,
    status_code_conformance,
)

CHECKS = [not_a_server_error, status_code_conformance, content_type_conformance, response_schema_conformance]
printed = subprocess.run([TEMPERWARD, "openapi"], capture_output=True, text=True, check=True).stdout
document = schemathesis.openapi.from_dict(json.loads(printed))


OPEN = ("/api/claim", "/api/join", "/api/openapi.json", "/api/words/{language}")
quietly = {"deadline": None, "suppress_health_check": list(HealthCheck)}


@document.parametrize()
@settings(max_examples=10, **quietly)
def test_the_api_answers_as_documented(
    case: schemathesis.Case, devices: dict[str, requests.Session], server: RunningServer
) -> None:
    case.call_and_validate(base_url=server.base_url, session=devices["owner"], checks=CHECKS)


@document.exclude(path="/api/leave").parametrize()  # a viewer may go, and would be nobody from then on
@settings(max_examples=2, **quietly)
def test_the_api_answers_a_viewer_as_documented(
    case: schemathesis.Case, devices: dict[str, requests.Session], server: RunningServer
) -> None:
    case.call_and_validate(base_url=server.base_url, session=devices["viewer"], checks=CHECKS)


@document.parametrize()
@settings(max_examples=2, **quietly)
def test_the_api_answers_nobody_as_documented_and_does_nothing(
    case: schemathesis.Case, devices: dict[str, requests.Session], server: RunningServer
) -> None:
    answer = case.call_and_validate(base_url=server.base_url, session=devices["nobody"], checks=CHECKS)
    assert case.path in OPEN or case.method == "OPTIONS" or answer.status_code >= 400
