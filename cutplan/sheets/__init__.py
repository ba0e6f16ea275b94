"""Sheets of paper: the trades' results put together for the bench."""
