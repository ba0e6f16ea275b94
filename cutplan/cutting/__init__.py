"""The cut: kerf, path, leads, order and what to expect of it."""
