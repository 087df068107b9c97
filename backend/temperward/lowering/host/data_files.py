"""The phone's way to the engine's data: each file lies beside the engine as JSON and is read once."""

from __future__ import annotations

import json
from typing import Any

DATA_FOLDER = "/lib/temperward/engine/data/"

_kept: dict[str, Any] = {}


def load(name: str) -> Any:
    """Return the data file of that name; treat it as read-only."""
    if name not in _kept:
        with open(DATA_FOLDER + name + ".json") as file:  # noqa: PTH123 (there is no pathlib on the phone)
            _kept[name] = json.loads(file.read())
    return _kept[name]
