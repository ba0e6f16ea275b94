"""Orders of beads followed on the condensed compliance."""
