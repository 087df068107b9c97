"""Both photo stores keep the same promises: whole or not there, parts in order, names by shop."""

from __future__ import annotations

import errno
import os
import time
from collections.abc import Callable
from pathlib import Path

import pytest
from common.s3_service import S3Service

from temperward.errors import NotHere, StoreFull
from temperward.storage.photo_store import FolderStore, PhotoStore, open_store

NAME = "shop/" + "ab" * 32


@pytest.fixture(params=["folder", "bucket"])
def store(request: pytest.FixtureRequest, tmp_path: Path) -> PhotoStore:
    if request.param == "folder":
        return open_store("", folder=tmp_path / "photos", endpoint_url="")
    service: S3Service = request.getfixturevalue("s3_service")
    return open_store("s3://shop-photos/here", folder=tmp_path, endpoint_url=service.url)


def test_what_was_put_is_got_and_what_was_deleted_is_gone(store: PhotoStore) -> None:
    assert store.get(NAME) is None
    store.put(NAME, b"picture")
    assert store.get(NAME) == b"picture"
    store.delete(NAME)
    store.delete(NAME)
    assert store.get(NAME) is None


def test_parts_come_back_in_order_and_are_no_wholes(store: PhotoStore) -> None:
    store.put_part(NAME, offset=5, content=b"world")
    store.put_part(NAME, offset=0, content=b"hello")
    assert store.parts(NAME) == [(0, 5), (5, 5)]
    assert store.get_part(NAME, offset=5, length=5) == b"world"
    assert store.get(NAME) is None
    assert list(store.names("shop")) == []
    store.delete_parts(NAME)
    assert store.parts(NAME) == []


def test_names_lists_wholes_and_small_copies_of_one_shop(store: PhotoStore) -> None:
    for name in ("one/bb", "one/aa", "one/aa.small", "two/cc"):
        store.put(name, b"x")
    assert list(store.names("one/")) == ["one/aa", "one/aa.small", "one/bb"]


def test_parts_that_nobody_went_on_with_are_forgotten_and_wholes_are_not(store: PhotoStore) -> None:
    other = NAME.replace("ab", "cd")
    store.put(NAME, b"picture")
    store.put_part(other, offset=0, content=b"hello")
    now_ms = time.time_ns() // 1_000_000
    assert store.delete_unfinished(before_ms=now_ms - 3_600_000) == 0
    assert store.parts(other) == [(0, 5)]
    assert store.delete_unfinished(before_ms=now_ms + 3_600_000) == 1
    assert store.parts(other) == []
    assert store.get(NAME) == b"picture"


def test_what_a_writer_left_that_fell_over_is_forgotten_after_a_while(tmp_path: Path) -> None:
    store = FolderStore(tmp_path)
    store.put(NAME, b"picture")
    left = tmp_path / f"{NAME}.77-abcd.new"
    left.write_bytes(b"pict")
    os.utime(left, (1, 1))
    assert store.delete_unfinished(before_ms=2_000_000) == 1
    assert [one.name for one in tmp_path.rglob("*") if one.is_file()] == [NAME.rpartition("/")[2]]


def test_a_full_disk_is_an_error_of_its_own_and_leaves_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(_handle: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(StoreFull):
        FolderStore(tmp_path).put(NAME, b"picture")
    assert [one for one in tmp_path.glob("**/*") if one.is_file()] == []


def test_a_write_that_is_cut_short_leaves_the_old_bytes(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    store = FolderStore(tmp_path)
    store.put(NAME, b"old")

    def broken(_handle: int) -> None:
        raise OSError(errno.EIO, os.strerror(errno.EIO))

    monkeypatch.setattr(os, "fsync", broken)
    with pytest.raises(OSError, match="Input/output error"):
        store.put(NAME, b"new")
    assert store.get(NAME) == b"old"
    assert list(store.names("shop")) == [NAME]


def test_a_part_that_a_power_cut_has_torn_is_as_good_as_not_there(tmp_path: Path) -> None:
    store = FolderStore(tmp_path)
    store.put_part(NAME, offset=0, content=b"hello")
    store.put_part(NAME, offset=5, content=b"world")
    [second] = tmp_path.glob("**/0000000005-*")
    second.write_bytes(b"wor\0\0")
    assert store.get_part(NAME, offset=0, length=5) == b"hello"
    assert store.get_part(NAME, offset=5, length=5) is None
    assert store.parts(NAME) == [(0, 5)]


def test_a_part_that_comes_again_takes_the_place_of_the_first(store: PhotoStore) -> None:
    for content in (b"hello", b"hel", b"hello"):
        store.put_part(NAME, offset=0, content=content)
        assert store.parts(NAME) == [(0, len(content))]
        assert store.get_part(NAME, offset=0, length=len(content)) == content
        assert store.get_part(NAME, offset=0, length=len(content) + 1) is None


@pytest.mark.parametrize(
    "name", ["shop/../../precious", "../precious", "/etc/precious", "shop/\x00", "shop", ""]
)
def test_a_name_that_leads_out_of_the_folder_reaches_nothing(tmp_path: Path, name: str) -> None:
    precious = tmp_path / "precious"
    precious.write_bytes(b"old")
    store = FolderStore(tmp_path / "photos")
    store.put("shop/aa", b"x")
    calls: list[Callable[[], object]] = [
        lambda: store.put(name, b"new"),
        lambda: store.get(name),
        lambda: store.delete(name),
        lambda: store.put_part(name, offset=0, content=b"x"),
        lambda: store.parts(name),
        lambda: store.delete_parts(name),
    ]
    for call in calls:
        with pytest.raises(NotHere):
            call()
    assert precious.read_bytes() == b"old"
    assert store.get("shop/aa") == b"x"
