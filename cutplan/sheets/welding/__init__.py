"""The weld on paper: symbol, settings, maps of tacks and stitches, heat, practice, and the orders compared."""
