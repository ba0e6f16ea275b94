"""What is cut of the waste: its lines, holes, stretches, ribs crossed, windows."""
