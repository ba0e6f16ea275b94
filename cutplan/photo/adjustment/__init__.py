"""Lens, poses and strips solved together from what the pictures show."""
