"""SVG read as traces."""
