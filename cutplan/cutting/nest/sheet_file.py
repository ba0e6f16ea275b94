"""The sheet file: where each copy lies, kept beside the drawings, so that making again gives the same bytes."""

from __future__ import annotations

import hashlib
import tomllib
from collections.abc import Sequence
from pathlib import Path

from cutplan.cutting.nest.parts import Part, Placed, Room, Stock
from cutplan.geometry.contour import Contour
from cutplan.geometry.segment import Arc


def fingerprint(parts: Sequence[Part], stocks: Sequence[Stock], room: Room, turning: str) -> str:
    """Return one checksum over all that decides where copies may lie: shapes, quantities, stock, spacing, turns."""
    digest = hashlib.sha256()
    for part in parts:
        digest.update(f"{part.quantity} {len(part.net.holes)}".encode())
        for contour in part.net.contours:
            _take(digest, contour)
    for contour in (c for stock in stocks for c in stock.shape.contours):
        _take(digest, contour)
    digest.update(f"{room.spacing_mm:.4f} {room.border_mm:.4f} {turning}".encode())
    return digest.hexdigest()


def _take(digest: hashlib._Hash, contour: Contour) -> None:
    for s in contour.segments:
        sweep = s.sweep if isinstance(s, Arc) else 0.0
        digest.update(f"{s.start.x:.6f} {s.start.y:.6f} {sweep:.9f};".encode())


def sheet_text(sheets: Sequence[Sequence[Placed]], parts: Sequence[Part], key: str) -> str:
    """Return the sheet file's text."""
    lines = [
        "# Where each piece lies. Kept so that the same order gives the same files; remove it to search anew.",
        f'made_of = "{key}"',
    ]
    for number, placed in enumerate(sheets, 1):
        for p in placed:
            lines += [
                "",
                "[[piece]]",
                f"sheet = {number}",
                f"part = {p.part + 1}  # {' '.join(parts[p.part].name.split())}",
                f"turn = {p.turn_deg!r}",
                f"at = [{p.x_mm!r}, {p.y_mm!r}]",
            ]
            if p.host >= 0:
                lines.append(f"in_hole_of = {p.host + 1}")
    return "\n".join(lines) + "\n"


def kept_sheets(path: Path, key: str, parts: int) -> list[list[Placed]] | None:
    """Return the places kept in a sheet file, when it was made of the very same things; else None."""
    try:
        data = tomllib.loads(path.read_text(encoding="utf-8"))
        if data.get("made_of") != key:
            return None
        sheets: dict[int, list[Placed]] = {}
        for piece in data["piece"]:
            x, y = piece["at"]
            one = Placed(
                int(piece["part"]) - 1, float(piece["turn"]), float(x), float(y), int(piece.get("in_hole_of", 0)) - 1
            )
            if not 0 <= one.part < parts:
                return None
            sheets.setdefault(int(piece["sheet"]), []).append(one)
        return [sheets[n] for n in sorted(sheets)]
    except (OSError, KeyError, TypeError, ValueError):
        return None
