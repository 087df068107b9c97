"""The lowering: turns the engine's ordinary typed Python into what the phone's MicroPython takes.

    engine files -> refuse gaps -> drop annotations -> plain classes -> own sorting -> plain formats -> bundle

`python -m temperward.lowering --check` names every line that would not run on a phone.
"""

from temperward.lowering.bundle import engine_version
from temperward.lowering.problems import LoweringError, Problem

__all__ = ["LoweringError", "Problem", "engine_version"]
