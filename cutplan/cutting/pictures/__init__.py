"""Drawings of a cut for sheets and screens."""
