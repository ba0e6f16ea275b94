"""Where the mount may sit: the map, its bands and margins, and the place recommended."""
