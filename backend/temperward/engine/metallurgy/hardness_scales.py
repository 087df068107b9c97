"""Hardness in other scales, and how thick a piece must be for its reading."""

from __future__ import annotations

from typing import Any

from temperward.engine import data_files
from temperward.engine import facts as facts_module
from temperward.engine.interpolate import along
from temperward.engine.quantities import banded


def hv_of_hrc(hrc: float) -> float:
    """Vickers hardness of a Rockwell C reading, 20 to 68 HRC. Error +-1 HRC.

    >>> hv_of_hrc(60.0)
    697.0

    Reference: astmE140.
    """
    return float(along(data_files.load("hardness_scales")["hv_of_hrc"], hrc))


def hbw_of_hrc(hrc: float) -> float | None:
    """Brinell hardness of a Rockwell C reading from 20 HRC; nothing over 65, where the ball itself gives way.

    >>> hbw_of_hrc(60.0), hbw_of_hrc(66.0)
    (654.0, None)

    Reference: astmE140.
    """
    points = data_files.load("hardness_scales")["hbw_of_hrc"]
    return None if hrc > points[-1][0] else float(along(points, hrc))


def least_thickness_mm(hrc: float) -> float:
    """Thinnest place for a Rockwell C reading: ten times the depth of the mark, 10 (100 - HRC) 0.002 mm.

    >>> round(least_thickness_mm(60.0), 2)
    0.8

    Reference: astmE140 (rule from memory of the test standards).
    """
    return 10.0 * (100.0 - hrc) * 0.002


def hardness_scales(facts: dict[str, Any]) -> dict[str, Any]:
    """Answer `hardness_scales`: a Rockwell C reading as Vickers and Brinell, and where it may be taken."""
    facts_module.only(facts, ["hrc"])
    data = data_files.load("hardness_scales")
    least, most = data["hv_of_hrc"][0][0], data["hv_of_hrc"][-1][0]
    hrc = facts_module.number(facts, "hrc", low=least, high=most, unit="HRC")
    low, high = max(least, hrc - data["plus_minus_hrc"]), min(most, hrc + data["plus_minus_hrc"])
    answer: dict[str, Any] = {
        "hv": banded(
            hv_of_hrc(hrc), unit="HV", low=hv_of_hrc(low), high=hv_of_hrc(high), sources=data["sources"]
        ),
        "hbw": None,
        "least_thickness_mm": least_thickness_mm(hrc),
    }
    hbw = hbw_of_hrc(hrc)
    if hbw is not None:
        upper = hbw_of_hrc(high)
        answer["hbw"] = banded(
            hbw,
            unit="HBW",
            low=hbw_of_hrc(low),
            high=hbw if upper is None else upper,
            sources=data["sources"],
        )
    return answer
