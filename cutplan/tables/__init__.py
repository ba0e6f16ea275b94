"""Cited tables: every number with its unit and source on the same line."""
