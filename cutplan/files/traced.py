"""What is known of a drawing that was traced from pictures: the account of errors beside it, and its findings."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from cutplan.findings import Finding
from cutplan.geometry.vector import Point
from cutplan.texts import mm, name, number, say

#: Longest account that is read [bytes] and most holes told of.
_MOST_BYTES, _MOST_HOLES = 2_000_000, 500


@dataclass(frozen=True, slots=True)
class AccountHole:
    """A hole of the account: its place and diameter [mm] with standard errors [mm]; no diameter when it is not round."""

    name: str
    centre: Point
    diameter_mm: float | None
    diameter_error_mm: float | None
    place_error_mm: float
    proved: bool


@dataclass(frozen=True, slots=True)
class TracedAccount:
    """The account of errors of a traced drawing.

    Parameters
    ----------
    scale_error : float
        Standard error of the scale, as a share of every length [1].
    edge_error_mm : float
        Largest standard error of a line or an arc of the outline [mm].
    holes : tuple of AccountHole
        Every hole of the drawing.
    print_scale : tuple of float or None
        What the marks' printer made of a length, across and along [1].
    """

    scale_error: float
    edge_error_mm: float
    holes: tuple[AccountHole, ...]
    print_scale: tuple[float, float] | None


def account_path(drawing: Path) -> Path:
    """Return where the account of a traced drawing lies."""
    return drawing.parent / f"{drawing.stem}.errors.json"  # also for a drawing without a name


def account_of_drawing(drawing: Path, data: bytes | None = None) -> TracedAccount | None:
    """Return the account beside a drawing; None where there is none, or the drawing was changed since.

    Parameters
    ----------
    drawing : Path
        The drawing.
    data : bytes or None
        What it holds, when that is known already.
    """
    raw = _raw(drawing)
    try:
        if raw is None or not _fits(raw, drawing.read_bytes() if data is None else data):
            return None
        return _account(raw)
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        return None


def request_of_drawing(drawing: Path) -> dict[str, Any] | None:
    """Return how a drawing was traced, as the table ``[traced]`` of a job states it; None where that is not known."""
    raw = _raw(drawing)
    try:
        if raw is None or not _fits(raw, drawing.read_bytes()):
            return None
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        return None
    request = raw.get("request")
    return request if isinstance(request, dict) else None


def traced_findings(drawing: Path, data: bytes) -> tuple[Finding, ...]:
    """Return what the account beside a drawing says, or nothing where there is none or it cannot be read.

    Parameters
    ----------
    drawing : Path
        The drawing.
    data : bytes
        What it holds.
    """
    raw, file = _raw(drawing), account_path(drawing).name
    try:
        if raw is None:
            return ()
        if not _fits(raw, data):
            return (_changed(file),)
        return tuple(_findings(_account(raw), file))
    except (ValueError, KeyError, TypeError, AttributeError):
        return ()


def _raw(drawing: Path) -> dict[str, Any] | None:
    path = account_path(drawing)
    try:
        if path == drawing or not path.is_file() or path.stat().st_size > _MOST_BYTES:
            return None
        raw = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError, RecursionError):
        return None
    return raw if isinstance(raw, dict) else None


def _fits(raw: dict[str, Any], data: bytes) -> bool:
    return bool(raw["drawing_sha256"] == hashlib.sha256(data).hexdigest())


def _account(raw: dict[str, Any]) -> TracedAccount:
    scale = raw.get("print_scale")
    return TracedAccount(
        float(raw["scale_error"]),
        max(float(piece["error_mm"]) for piece in raw["outline"]),
        tuple(_hole(h) for h in raw["holes"][:_MOST_HOLES]),
        (float(scale[0]), float(scale[1])) if scale is not None else None,
    )


def _hole(raw: dict[str, Any]) -> AccountHole:
    return AccountHole(
        str(raw["name"])[:20],
        Point(float(raw["centre_mm"][0]), float(raw["centre_mm"][1])),
        None if raw["diameter_mm"] is None else float(raw["diameter_mm"]),
        None if raw["diameter_error_mm"] is None else float(raw["diameter_error_mm"]),
        float(raw["place_error_mm"]),
        bool(raw["proved"]),
    )


def _changed(file: str) -> Finding:
    return Finding(
        "traced-then-changed",
        "note",
        say("the drawing was changed after it was traced: its errors are not known any more"),
        name(file).text,
    )


def _findings(account: TracedAccount, file: str) -> Iterator[Finding]:
    yield Finding(
        "traced",
        "note",
        say(
            "the plate was traced from pictures: standard error {scale} % of every length, {edge} of its edges",
            scale=number(100.0 * account.scale_error, "", 3),
            edge=mm(account.edge_error_mm, 2),
        ),
        file,
    )
    for hole in account.holes:
        which, place = name(hole.name), mm(hole.place_error_mm, 2)
        if hole.diameter_mm is None or hole.diameter_error_mm is None:
            said = say("{hole}: standard error of its place {place}", hole=which, place=place)
        else:
            said = say(
                "{hole}: diameter {diameter}, standard error {error}, of its place {place}",
                hole=which,
                diameter=mm(hole.diameter_mm, 2),
                error=mm(hole.diameter_error_mm, 2),
                place=place,
            )
        yield Finding("traced-hole", "note", said, file)
    if not all(hole.proved for hole in account.holes):
        yield Finding(
            "traced-not-proved",
            "warning",
            say("the holes were traced from one side only: their sizes and places are not proved"),
            file,
            say("measure them on the card, or take four pictures from four sides"),
        )
