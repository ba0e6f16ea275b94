"""Welds that come after the stitches: sleeves and ribs."""
