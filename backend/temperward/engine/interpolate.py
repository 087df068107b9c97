"""Reading between the points of a table."""

from __future__ import annotations


def along(points: list[list[float]], x: float) -> float:
    """Return y at x on the straight pieces through points (x rising); the end pieces are carried on.

    >>> along([[0.0, 1.0], [10.0, 3.0]], 5.0)
    2.0
    """
    last = len(points) - 2
    k = 0
    while k < last and x > points[k + 1][0]:
        k += 1
    x0, y0 = points[k]
    x1, y1 = points[k + 1]
    return y0 + (y1 - y0) * (x - x0) / (x1 - x0)


def held(points: list[list[float]], x: float) -> float:
    """Return y at x as along() does, but level before the first and after the last point."""
    if x <= points[0][0]:
        return points[0][1]
    if x >= points[-1][0]:
        return points[-1][1]
    return along(points, x)
