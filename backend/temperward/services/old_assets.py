"""The phone app's files of the release before this one: a page opened before may ask for one more."""

from __future__ import annotations

import hashlib
import os
import shutil
from pathlib import Path

from temperward.storage.durable import OWN_FOLDER

RELEASES = 2  # this one and the one before it
ASSETS = "assets/"


def keep_assets(*, app_dir: Path, kept: Path) -> None:
    """Put this release's files aside, and let go of those from before the last one."""
    page = app_dir / "index.html"
    if not page.is_file():
        return
    mine = kept / hashlib.sha256(page.read_bytes()).hexdigest()[:16]
    if not mine.is_dir():
        _copy(app_dir / ASSETS, to=mine)
    os.utime(mine)
    age = {one: one.stat().st_mtime_ns for one in sorted(kept.iterdir())}
    whole = sorted(age[one] for one in age if not one.suffix)
    for old in [one for one in age if age[one] < whole[-RELEASES:][0]]:
        shutil.rmtree(old, ignore_errors=True)


def _copy(assets: Path, *, to: Path) -> None:
    """Copy whole or not at all; another process of this start may be quicker."""
    to.parent.mkdir(OWN_FOLDER, parents=True, exist_ok=True)
    half = to.with_name(f"{to.name}.{os.getpid()}")
    try:
        shutil.copytree(assets, half, ignore=shutil.ignore_patterns("*.gz", "*.br"))
        half.rename(to)
    except OSError:
        shutil.rmtree(half, ignore_errors=True)
        if not to.is_dir():
            raise


def find_asset(path: str, *, kept: Path) -> Path | None:
    """Return the file of a release before this one that goes by this path of the app's."""
    name = path.removeprefix(ASSETS)
    if name == path or "/" in name or name.startswith(".") or not kept.is_dir():
        return None
    return next((one / name for one in sorted(kept.iterdir()) if (one / name).is_file()), None)
