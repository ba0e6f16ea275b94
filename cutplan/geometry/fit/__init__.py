"""Lines and arcs fitted to chords and curves."""
