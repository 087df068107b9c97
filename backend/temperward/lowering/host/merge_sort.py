"""A stable merge sort, quick on sorted input: stands in for sorted() and list.sort() on the phone."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any


def sorted(  # noqa: A001 (lowered files call it by the builtin's name)
    items: Iterable[Any], *, key: Callable[[Any], Any] | None = None, reverse: bool = False
) -> list[Any]:
    """Return the items in order; items whose keys are equal keep the order they came in."""
    given = list(items)
    keys = given if key is None else [key(item) for item in given]
    if _in_order(keys, reverse=reverse):
        return given
    runs = _runs(keys, reverse=reverse)
    while len(runs) > 1:
        runs = _halved(runs, keys, reverse=reverse)
    return [given[place] for place in runs[0]]


def sort_in_place(
    items: list[Any], *, key: Callable[[Any], Any] | None = None, reverse: bool = False
) -> None:
    """Put a list in order."""
    items[:] = sorted(items, key=key, reverse=reverse)


def _in_order(keys: list[Any], *, reverse: bool) -> bool:
    """Tell whether nothing is to be done: logs nearly always come sorted, so this is written for speed."""
    if not keys:
        return True
    before = keys[0]
    if reverse:
        for key in keys:
            if before < key:
                return False
            before = key
        return True
    for key in keys:
        if key < before:
            return False
        before = key
    return True


def _runs(keys: list[Any], *, reverse: bool) -> list[list[int]]:
    """Return the places of the keys as stretches that are in order already."""
    runs: list[list[int]] = []
    run: list[int] = []
    for place in range(len(keys)):
        if run and _goes_before(keys[place], keys[place - 1], reverse=reverse):
            runs.append(run)
            run = []
        run.append(place)
    runs.append(run)
    return runs


def _halved(runs: list[list[int]], keys: list[Any], *, reverse: bool) -> list[list[int]]:
    merged = [
        _merged(runs[index], runs[index + 1], keys, reverse=reverse) for index in range(0, len(runs) - 1, 2)
    ]
    if len(runs) % 2:
        merged.append(runs[-1])
    return merged


def _merged(left: list[int], right: list[int], keys: list[Any], *, reverse: bool) -> list[int]:
    out: list[int] = []
    at = 0
    for place in right:
        while at < len(left) and not _goes_before(keys[place], keys[left[at]], reverse=reverse):
            out.append(left[at])
            at += 1
        out.append(place)
    out.extend(left[at:])
    return out


def _goes_before(key: Any, other: Any, *, reverse: bool) -> bool:
    return bool(other < key) if reverse else bool(key < other)
