"""The report on a screen, its pictures and figures, and the summary for machines."""
