"""From net contours to torch lines with leads, starts and tabs."""
