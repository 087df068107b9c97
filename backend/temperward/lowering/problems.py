"""What the lowering says about a line it cannot carry to the phone."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import ast


@dataclass(frozen=True, slots=True, order=True)
class Problem:
    """One refused place: file, line and the reason with the way out."""

    path: str
    line: int
    reason: str

    def __str__(self) -> str:
        """Return the place as editors and terminals link it."""
        return f"{self.path}:{self.line}: {self.reason}"


class LoweringError(Exception):
    """The engine cannot go to the phone as it stands; carries every place, not only the first."""

    def __init__(self, problems: list[Problem]) -> None:
        """Keep the places in order of file and line."""
        self.problems = sorted(problems)
        super().__init__("\n".join(str(problem) for problem in self.problems))


class Finder:
    """Collects the problems of one file."""

    def __init__(self, path: str) -> None:
        """Start with none."""
        self.path = path
        self.problems: list[Problem] = []

    def refuse(self, node: ast.AST, reason: str) -> None:
        """Note a place that cannot be lowered."""
        self.problems.append(Problem(self.path, getattr(node, "lineno", 1), reason))
