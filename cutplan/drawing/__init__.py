"""Pages and pictures in millimetres, with swappable backends."""
