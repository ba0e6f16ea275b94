"""The opening on paper: steps, pictures and tables of coordinates."""
