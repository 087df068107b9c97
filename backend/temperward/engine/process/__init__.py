"""The card (facts in, steps out) and the fold (log in, state out)."""
