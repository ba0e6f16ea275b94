"""The order of the cuts: short moves, inner before outer, heat apart."""
