"""What can be known about a job before anything is made."""
