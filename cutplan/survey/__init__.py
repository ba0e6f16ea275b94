"""One adjustment of observed distances: where points lie, how exactly, and which reading does not fit."""
