"""The opening: sections, order, ribs, stiffness and datum."""
