"""What does not close by itself: gaps, branches, tangles, double edges, and lines that are no edge."""
