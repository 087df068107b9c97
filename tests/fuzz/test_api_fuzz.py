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


@document.parametrize()
@settings(max_examples=15, deadline=None, suppress_health_check=list(HealthCheck))
def test_the_api_answers_as_documented(
    case: schemathesis.Case, owner: requests.Session, server: RunningServer
) -> None:
    case.call_and_validate(base_url=server.base_url, session=owner, checks=CHECKS)
