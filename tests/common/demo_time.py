"""When the tests load the demo shop."""

NOW_MS = 1_793_190_000_000  # 28 October 2026, 12:20 UTC: the blades in work hang on it
