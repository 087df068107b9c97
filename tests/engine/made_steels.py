"""Steels by name and by their analysis, as wide as the models are asked."""

from __future__ import annotations

from hypothesis import strategies as st

from temperward.engine import data_files

STEELS = [row["designation"] for row in data_files.load("steels")["steels"]]
COMPOSITIONS = st.fixed_dictionaries(
    {"c": st.floats(0.40, 1.10)},
    optional={
        "mn": st.floats(0, 2),
        "si": st.floats(0, 2.2),
        "cr": st.floats(0, 2),
        "ni": st.floats(0, 2.5),
        "mo": st.floats(0, 0.6),
        "v": st.floats(0, 0.5),
        "w": st.floats(0, 1),
    },
)
