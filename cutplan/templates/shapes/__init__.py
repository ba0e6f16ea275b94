"""The shapes that go on paper: plate, opening, flat patterns of flanges, wraps for tube."""
