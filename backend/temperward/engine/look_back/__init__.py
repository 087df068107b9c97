"""What the shop has learned: medians, intervals and its own offsets."""
