"""Judges of the shipped code that are not shipped: written from first principles or on other people's kernels."""
