"""A bucket to keep photos in."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from common.s3_service import S3Service


@pytest.fixture
def s3_service(monkeypatch: pytest.MonkeyPatch) -> Iterator[S3Service]:
    for name in ("AWS_ACCESS_KEY_ID", "AWS_SECRET_ACCESS_KEY"):
        monkeypatch.setenv(name, "test")
    monkeypatch.setenv("AWS_DEFAULT_REGION", "eu-west-1")
    monkeypatch.setenv("AWS_EC2_METADATA_DISABLED", "true")
    with S3Service() as service:
        yield service
