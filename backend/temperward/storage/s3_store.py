"""Photos in a bucket that speaks S3. A part is an object of its own: any host can take the next one."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import boto3
from botocore.config import Config
from botocore.exceptions import ClientError

ABSENT = ("404", "NoSuchKey", "NotFound")


class S3Store:
    """Photos under s3://bucket/prefix; keys and secrets come the usual way of that library."""

    def __init__(self, address: str, *, endpoint_url: str) -> None:
        """Take the bucket's address; endpoint_url names a compatible service."""
        bucket, _, prefix = address.removeprefix("s3://").partition("/")
        self.bucket = bucket
        self.prefix = prefix.strip("/") + "/" if prefix.strip("/") else ""
        config = Config(connect_timeout=5, read_timeout=20, retries={"max_attempts": 3})
        self.client: Any = boto3.client("s3", endpoint_url=endpoint_url or None, config=config)

    def put(self, name: str, content: bytes, *, durable: bool = True) -> None:
        """Keep bytes under a name; an object appears whole or not at all, and is always durable."""
        del durable
        self.client.put_object(Bucket=self.bucket, Key=self.prefix + name, Body=content)

    def get(self, name: str) -> bytes | None:
        """Return the bytes under a name, or None."""
        try:
            answer = self.client.get_object(Bucket=self.bucket, Key=self.prefix + name)
        except ClientError as error:
            if error.response["Error"]["Code"] in ABSENT:
                return None
            raise
        return bytes(answer["Body"].read())

    def delete(self, name: str) -> None:
        """Forget a name."""
        self.client.delete_object(Bucket=self.bucket, Key=self.prefix + name)

    def put_part(self, name: str, *, offset: int, content: bytes) -> None:
        """Keep one part of a name that is not whole yet."""
        self.put(f"{name}.parts/{offset:010d}", content)

    def parts(self, name: str) -> list[tuple[int, int]]:
        """Return offset and length of each part, in order."""
        found = self._objects(f"{name}.parts/")
        return sorted((int(one["Key"].rpartition("/")[2]), int(one["Size"])) for one in found)

    def get_part(self, name: str, *, offset: int, length: int) -> bytes | None:
        """Return one part, or None when it is gone or another stands in its place."""
        content = self.get(f"{name}.parts/{offset:010d}")
        return content if content is not None and len(content) == length else None

    def delete_parts(self, name: str) -> None:
        """Forget all parts of a name."""
        for offset, _length in self.parts(name):
            self.delete(f"{name}.parts/{offset:010d}")

    def names(self, prefix: str) -> Iterator[str]:
        """Return the names of all wholes that begin so, in order."""
        for one in self._objects(prefix):
            name = one["Key"].removeprefix(self.prefix)
            if ".parts/" not in name:
                yield name

    def delete_unfinished(self, *, before_ms: int) -> int:
        """Forget parts of names that got no part since; an object is whole or not there at all."""
        newest: dict[str, float] = {}
        for one in self._objects(""):
            name, parts, _offset = one["Key"].removeprefix(self.prefix).partition(".parts/")
            if parts:
                newest[name] = max(newest.get(name, 0.0), one["LastModified"].timestamp())
        old = sorted(name for name, at_s in newest.items() if at_s * 1000 < before_ms)
        for name in old:
            self.delete_parts(name)
        return len(old)

    def _objects(self, prefix: str) -> Iterator[dict[str, Any]]:
        pages = self.client.get_paginator("list_objects_v2").paginate(
            Bucket=self.bucket, Prefix=self.prefix + prefix
        )
        for page in pages:
            yield from page.get("Contents", [])
