"""What goes into the files of a cut."""
