"""The one place where the engine's data files are read.

On the server they lie beside this module; the phone's build embeds the same files in place of this one.
"""

from __future__ import annotations

import json
from functools import cache
from importlib import resources
from typing import Any


@cache
def load(name: str) -> Any:
    """Return the data file engine/data/<name>.json; treat it as read-only."""
    return json.loads((resources.files(__package__) / "data" / (name + ".json")).read_text("utf-8"))
