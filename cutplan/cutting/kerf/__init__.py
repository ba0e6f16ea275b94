"""The kerf used, and the trial piece that measures it."""
