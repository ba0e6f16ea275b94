"""Where a moved steering gear must sit: the linkage in space, its figures, and the map of places."""
