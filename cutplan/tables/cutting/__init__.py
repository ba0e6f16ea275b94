"""Cited tables for thermal cutting: processes, kerf, speeds, holes, tolerances."""
