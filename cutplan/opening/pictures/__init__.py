"""Pictures of the opening: each step, the whole, the datum sheet, the work template."""
