"""Machine settings, weld metal and what is used up."""
