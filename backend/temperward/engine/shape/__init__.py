"""Straightness, warp trend and section geometry."""
