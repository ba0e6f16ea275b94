"""The joint cut into beads: corners kept clear, stitches, tacks."""
