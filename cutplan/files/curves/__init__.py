"""Free curves and chords turned into arcs."""
