"""What a bead does when it cools: across, along, and as a fold; formulas of others with their sources."""
