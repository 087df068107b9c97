"""Transformation temperatures, dissolved carbon, hardness as quenched and tempered."""
