"""What is known of a drawing that was traced from pictures: the account of errors beside it, as findings."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from cutplan.findings import Finding
from cutplan.texts import mm, name, number, say

#: Longest account that is read [bytes] and most holes told of.
_MOST_BYTES, _MOST_HOLES = 2_000_000, 500


def account_path(drawing: Path) -> Path:
    """Return where the account of a traced drawing lies."""
    return drawing.with_suffix(".errors.json")


def traced_findings(drawing: Path, data: bytes) -> tuple[Finding, ...]:
    """Return what the account beside a drawing says, or nothing where there is none or the drawing was changed since.

    Parameters
    ----------
    drawing : Path
        The drawing.
    data : bytes
        What it holds.
    """
    path = account_path(drawing)
    try:
        if path == drawing or not path.is_file() or path.stat().st_size > _MOST_BYTES:
            return ()
        account = json.loads(path.read_text(encoding="utf-8"))
        if account["drawing_sha256"] != hashlib.sha256(data).hexdigest():
            return (_changed(path),)
        return tuple(_findings(account, path.name))
    except (OSError, ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return ()


def _changed(path: Path) -> Finding:
    return Finding(
        "traced-then-changed",
        "note",
        say("the drawing was changed after it was traced: its errors are not known any more"),
        name(path.name).text,
    )


def _findings(account: Any, file: str) -> Iterator[Finding]:
    worst = max(float(piece["error_mm"]) for piece in account["outline"])
    yield Finding(
        "traced",
        "note",
        say(
            "the plate was traced from pictures: standard error {scale} % of every length, {edge} of its edges",
            scale=number(100.0 * float(account["scale_error"]), "", 3),
            edge=mm(worst, 2),
        ),
        file,
    )
    for hole in account["holes"][:_MOST_HOLES]:
        which, place = name(str(hole["name"])[:20]), mm(float(hole["place_error_mm"]), 2)
        if hole["diameter_mm"] is None:
            said = say("{hole}: standard error of its place {place}", hole=which, place=place)
        else:
            said = say(
                "{hole}: diameter {diameter}, standard error {error}, of its place {place}",
                hole=which,
                diameter=mm(float(hole["diameter_mm"]), 2),
                error=mm(float(hole["diameter_error_mm"]), 2),
                place=place,
            )
        yield Finding("traced-hole", "note", said, file)
    if not all(hole["proved"] for hole in account["holes"]):
        yield Finding(
            "traced-not-proved",
            "warning",
            say("the holes were traced from one side only: their sizes and places are not proved"),
            file,
            say("measure them on the card, or take four pictures from four sides"),
        )
