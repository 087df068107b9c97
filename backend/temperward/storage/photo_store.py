"""Where photo bytes lie: a folder, or a bucket that speaks S3; parts, wholes and small copies by name.

A name is `<shop_id>/<sha256>`: equal pictures of two shops are two objects.
"""

from __future__ import annotations

import errno
import os
import re
import shutil
import sys
import zlib
from collections.abc import Iterator
from pathlib import Path
from typing import BinaryIO, Protocol

from temperward.errors import NotHere, StoreFull
from temperward.storage.durable import flush

SMALL = ".small"
NAME = re.compile(r"[\w-]+/\w+(\.\w+)?", re.ASCII)  # the shop's, and the photo's
NO_ROOM = (errno.ENOSPC, errno.EDQUOT, errno.EFBIG)  # of the disk, of this user, of one file
PART_NAME = re.compile(r"([0-9]{10})-([0-9a-f]{8})")  # where it begins, and its check sum


class PhotoStore(Protocol):
    """What the server asks of a photo store; every write is whole or not there."""

    def put(self, name: str, content: bytes, *, durable: bool = True) -> None:
        """Keep bytes under a name; durably, unless they can be made again."""

    def get(self, name: str) -> bytes | None:
        """Return the bytes under a name, or None."""

    def delete(self, name: str) -> None:
        """Forget a name; one that is not there is no error."""

    def put_part(self, name: str, *, offset: int, content: bytes) -> None:
        """Keep one part of a name that is not whole yet; it may be lost when the power goes."""

    def parts(self, name: str) -> list[tuple[int, int]]:
        """Return offset and length of each part, in order."""

    def get_part(self, name: str, *, offset: int, length: int) -> bytes | None:
        """Return one part as `parts` named it, or None when it is gone."""

    def delete_parts(self, name: str) -> None:
        """Forget all parts of a name."""

    def names(self, prefix: str) -> Iterator[str]:
        """Return the names of all wholes that begin so, in order."""

    def delete_unfinished(self, *, before_ms: int) -> int:
        """Forget what was never finished and nobody has touched since; return how many names that were."""


class FolderStore:
    """Photos in a folder, each written to a temporary name, flushed to the disk and renamed.

    A part is not flushed: nobody was told that it is kept. Its name carries its check sum instead, and
    one that a power cut has torn is as good as not there.
    """

    def __init__(self, folder: Path) -> None:
        """Take the folder; it is made when the first photo comes."""
        self.folder = folder

    def put(self, name: str, content: bytes, *, durable: bool = True) -> None:
        """Keep bytes under a name; durably, unless they can be made again."""
        _write(self._place(name), content, durable=durable)

    def get(self, name: str) -> bytes | None:
        """Return the bytes under a name, or None."""
        try:
            return self._place(name).read_bytes()
        except FileNotFoundError:
            return None

    def delete(self, name: str) -> None:
        """Forget a name."""
        self._place(name).unlink(missing_ok=True)

    def put_part(self, name: str, *, offset: int, content: bytes) -> None:
        """Keep one part of a name that is not whole yet, in the place of another that began there."""
        folder = self._parts_folder(name)
        others = self._beginning_at(name, offset=offset)
        mine = folder / f"{offset:010d}-{zlib.crc32(content):08x}"
        _write(mine, content, durable=False)
        for other in others:
            if other != mine:
                other.unlink(missing_ok=True)

    def parts(self, name: str) -> list[tuple[int, int]]:
        """Return offset and length of each part, in order."""
        return [(at, length) for at, length, _path in self._found(name)]

    def _found(self, name: str) -> list[tuple[int, int, Path]]:
        try:
            with os.scandir(self._parts_folder(name)) as found:
                named = [(PART_NAME.fullmatch(one.name), one) for one in found]
                return sorted(
                    (int(match[1]), one.stat().st_size, Path(one.path)) for match, one in named if match
                )
        except FileNotFoundError:
            return []

    def _beginning_at(self, name: str, *, offset: int) -> list[Path]:
        """Return the parts that begin there: none or one, or more when calls ended together."""
        beginning = f"{offset:010d}-"
        try:
            with os.scandir(self._parts_folder(name)) as found:
                named = sorted(one.path for one in found if one.name.startswith(beginning))
        except FileNotFoundError:
            return []
        return [Path(one) for one in named if PART_NAME.fullmatch(Path(one).name)]

    def get_part(self, name: str, *, offset: int, length: int) -> bytes | None:
        """Return one part, or None when it is gone; one that is torn is forgotten.

        Two calls that ended at the same moment can have left two parts that begin at one place.
        """
        for path in self._beginning_at(name, offset=offset):
            try:
                content = path.read_bytes()
            except FileNotFoundError:
                continue
            if not path.name.endswith(f"-{zlib.crc32(content):08x}"):
                path.unlink(missing_ok=True)
            elif len(content) == length:
                return content
        return None

    def delete_parts(self, name: str) -> None:
        """Forget all parts of a name; another host may have been quicker."""
        folder = self._parts_folder(name)
        if folder.exists():
            shutil.rmtree(folder, ignore_errors=True)

    def names(self, prefix: str) -> Iterator[str]:
        """Return the names of all wholes that begin so, in order."""
        for found in sorted((self.folder / prefix).glob("**/*")):
            if found.is_file() and ".parts" not in found.parent.name and ".new" not in found.suffixes:
                yield found.relative_to(self.folder).as_posix()

    def delete_unfinished(self, *, before_ms: int) -> int:
        """Forget parts, and files that a writer left who fell over, that nobody has touched since."""
        old = [
            path
            for path in sorted(self.folder.glob("*/*"))
            if path.suffix in (".parts", ".new") and _last_touched_ms(path) < before_ms
        ]
        for path in old:
            if path.is_dir():
                shutil.rmtree(path, ignore_errors=True)
            else:
                path.unlink(missing_ok=True)
        return len(old)

    def _place(self, name: str) -> Path:
        """Return where a name's bytes lie; a name that could lead out of the folder is nobody's."""
        if not NAME.fullmatch(name):
            raise NotHere
        return self.folder / name

    def _parts_folder(self, name: str) -> Path:
        return self._place(f"{name}.parts")


def _last_touched_ms(path: Path) -> int:
    """Return when a file, or anything in a folder, was written last; what is gone by then was touched now."""
    inside = path.iterdir() if path.is_dir() else ()
    try:
        return int(max(one.stat().st_mtime_ns for one in (path, *inside)) // 1_000_000)
    except FileNotFoundError:
        return sys.maxsize


def _write(path: Path, content: bytes, *, durable: bool) -> None:
    temporary = path.with_name(f"{path.name}.{os.getpid()}-{os.urandom(4).hex()}.new")
    try:
        with _new_file(temporary) as file:
            file.write(content)
            file.flush()
            if durable:
                os.fsync(file.fileno())
        temporary.replace(path)
        if durable:
            flush(path.parent)  # makes the rename itself durable
    except OSError as error:
        temporary.unlink(missing_ok=True)
        if error.errno in NO_ROOM:
            raise StoreFull from error
        raise


def _new_file(path: Path) -> BinaryIO:
    """Open a file that is not there yet, in a folder that mostly is."""
    try:
        return path.open("xb")
    except FileNotFoundError:
        path.parent.mkdir(parents=True, exist_ok=True)
        return path.open("xb")


def open_store(address: str, *, folder: Path, endpoint_url: str) -> PhotoStore:
    """Return the store an address names; none means the given folder."""
    if address.startswith("s3://"):
        from temperward.storage.s3_store import S3Store  # noqa: PLC0415  (boto3 is an extra)

        return S3Store(address, endpoint_url=endpoint_url)
    return FolderStore(Path(address).resolve() if address else folder)
