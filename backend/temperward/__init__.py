"""Temperward: guides a blade through the heat and warns before a hard one is forgotten."""
