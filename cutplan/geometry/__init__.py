"""Exact plate geometry: lines, arcs, contours and regions in millimetres."""
