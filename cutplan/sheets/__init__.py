"""Sheets, report, summary and inspection: the trades' results put together for people."""
