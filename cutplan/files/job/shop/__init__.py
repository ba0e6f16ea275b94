"""The shop file: where it lies, read, and written without losing what was there."""
