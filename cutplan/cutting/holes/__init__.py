"""Which holes are cut, which are drilled, and how."""
