"""The use cases: what the command line, and any page later, calls."""
