"""Whatever comes in, the API answers as its own document says, and never with a 500."""

from __future__ import annotations

from typing import TYPE_CHECKING

import schemathesis
from hypothesis import HealthCheck, settings
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_schema_conformance,
    status_code_conformance,
)

if TYPE_CHECKING:
    import requests

CHECKS = [not_a_server_error, status_code_conformance, content_type_conformance, response_schema_conformance]
document = schemathesis.pytest.from_fixture("api_document")


@document.parametrize()
@settings(max_examples=15, deadline=None, suppress_health_check=list(HealthCheck))
def test_the_api_answers_as_documented(case: schemathesis.Case, owner: requests.Session) -> None:
    case.call_and_validate(session=owner, checks=CHECKS)
