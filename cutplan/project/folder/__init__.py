"""Sets of documents in a folder: their manifest, whose files may be replaced, the lock, and the two ways to write."""
