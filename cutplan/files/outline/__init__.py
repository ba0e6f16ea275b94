"""From strokes to plates: joined, judged, nested."""
