"""The card's edge: from a rough outline to exact lines and arcs."""
