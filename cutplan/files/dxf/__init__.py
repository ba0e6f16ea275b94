"""DXF read as traces, and written from exact outlines."""
