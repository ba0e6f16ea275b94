"""Cited tables for welding: settings, wire, efficiency, tacks, tolerances, heat."""
