"""Trial pieces for printer, torch and welder: make one, and feed its measurements back into the shop file."""
