"""Tape readings on the page: as people write them, and the figure that they give so far."""
