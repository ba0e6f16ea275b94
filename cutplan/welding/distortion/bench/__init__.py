"""The plan met by the part: readings on the way, what they say of the draws, and the rest of the order."""
