"""Files in and out: drawings, job and shop files."""
