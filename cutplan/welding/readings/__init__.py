"""What readings say about what was drawn: one update, for the trial piece and for the job at the bench."""
