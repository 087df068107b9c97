"""Hardness in other scales, and how thick a piece must be for its reading."""

from __future__ import annotations

from temperward.engine import data_files
from temperward.engine.errors import OutOfRange
from temperward.engine.interpolate import along


def hv_of_hrc(hrc: float) -> float:
    """Vickers hardness of a Rockwell C reading; refused outside the table. Error +-15 HV.

    >>> hv_of_hrc(60.0)
    697.0

    Reference: astmE140.
    """
    points = data_files.load("hardness_scales")["hv_of_hrc"]
    return _within(points, hrc)


def hbw_of_hrc(hrc: float) -> float:
    """Brinell hardness of a Rockwell C reading; the ball scale ends at 65 HRC.

    >>> hbw_of_hrc(60.0)
    654.0

    Reference: astmE140.
    """
    points = data_files.load("hardness_scales")["hbw_of_hrc"]
    return _within(points, hrc)


def _within(points: list[list[float]], hrc: float) -> float:
    """Read the table, refused outside it."""
    if hrc < points[0][0] or hrc > points[-1][0]:
        raise OutOfRange(
            field="hrc",
            value=hrc,
            low=points[0][0],
            high=points[-1][0],
            unit="HRC",
            reason="refusal.out_of_range",
        )
    return along(points, hrc)


def least_thickness_mm(hrc: float) -> float:
    """Thinnest place for a Rockwell C reading: ten times the depth of the mark, 10 (100 - HRC) 0.002 mm.

    >>> round(least_thickness_mm(60.0), 2)
    0.8

    Reference: astmE140 (rule from memory of the test standards).
    """
    return 10.0 * (100.0 - hrc) * 0.002
