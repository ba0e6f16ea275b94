"""The weld trade: joint, metal, heat, tacks, stitches, order and the plan that holds them together."""
