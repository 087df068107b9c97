"""A bucket to keep photos in."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from common.s3_service import KEY_ID, REGION, SECRET, S3Service


@pytest.fixture
def s3_service(monkeypatch: pytest.MonkeyPatch) -> Iterator[S3Service]:
    monkeypatch.setenv("AWS_ACCESS_KEY_ID", KEY_ID)
    monkeypatch.setenv("AWS_SECRET_ACCESS_KEY", SECRET)
    monkeypatch.setenv("AWS_DEFAULT_REGION", REGION)
    monkeypatch.setenv("AWS_EC2_METADATA_DISABLED", "true")
    monkeypatch.setattr("boto3.DEFAULT_SESSION", None)
    with S3Service() as service:
        yield service
