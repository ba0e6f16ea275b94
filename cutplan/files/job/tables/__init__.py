"""The tables of a job file, each read into its record."""
