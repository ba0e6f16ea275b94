"""Several parts on one sheet."""
