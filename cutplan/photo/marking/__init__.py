"""Strips of marks: drawn for the printer, found and read in pictures."""
