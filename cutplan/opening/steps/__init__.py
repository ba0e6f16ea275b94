"""Sections in the order they fall, worded as numbered steps."""
