"""Paper sizes in portrait, width by height."""

from __future__ import annotations

#: Sheet sizes, portrait, (width, height) [mm]: ISO 216 for A sizes, ANSI/ASME Y14.1 for Letter and Tabloid (from memory).
SHEETS_MM: dict[str, tuple[float, float]] = {
    "A4": (210.0, 297.0),
    "A3": (297.0, 420.0),
    "A2": (420.0, 594.0),
    "A1": (594.0, 841.0),
    "A0": (841.0, 1189.0),
    "Letter": (215.9, 279.4),
    "Legal": (215.9, 355.6),
    "Tabloid": (279.4, 431.8),
}
