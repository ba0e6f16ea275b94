"""Arc-true offset of contours and regions."""
