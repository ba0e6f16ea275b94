"""Plate, skin, brace and beads as one condensed compliance."""
