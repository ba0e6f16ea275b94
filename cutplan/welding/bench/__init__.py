"""Re-planning at the bench: readings on the way, the stitches that are left, and what is said about them."""
