"""Trial pieces on the page: made into the job's folder, their readings asked for one by one, the shop file shown."""

from __future__ import annotations

import difflib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from cutplan.errors import UsageError
from cutplan.files.job.shop.read import SHOP_FILE, find_shop
from cutplan.project.coupons.run import Kind, Request, learn, make_coupon
from cutplan.project.folder.write import write_file
from cutplan.project.planned.plans import load
from cutplan.texts import ENGLISH, Message, Reader, number, say
from cutplan.units import UnitName, parse_length

#: Folder of the trial pieces, inside the job's own.
PIECES = "trial-pieces"
KINDS: tuple[Kind, ...] = ("paper", "kerf", "weld")
#: What each trial piece is written into.
FILES = {"paper": "coupon-paper.pdf", "kerf": "coupon-kerf.dxf", "weld": "coupon-weld.pdf"}


def kind_of(word: str) -> Kind:
    """Return a kind of trial piece.

    Raises
    ------
    UsageError
        When there is none of that name.
    """
    for kind in KINDS:
        if kind == word:
            return kind
    raise UsageError(say("there is no such trial piece"), word)


def trial(job_path: Path, kind: Kind, read: Reader = ENGLISH) -> dict[str, Any]:
    """Return a trial piece: whether it was made, what is measured on it, and the shop file in use.

    Raises
    ------
    CutplanError
        When the job cannot be read or has no such trial piece.
    """
    made = job_path.parent / PIECES / FILES[kind]
    shop = find_shop(job_path.parent)
    return {
        "kind": kind,
        "file": FILES[kind] if made.is_file() else "",
        "fields": [{"name": n, "label": read(label), "plan_mm": plan} for n, label, plan in _fields(job_path, kind)],
        "shop": _text(shop),
        "shop_beside": shop is not None and shop.parent == job_path.parent,
    }


def make_piece(job_path: Path, kind: Kind, read: Reader = ENGLISH) -> dict[str, Any]:
    """Make a trial piece and return it with what to measure.

    Raises
    ------
    CutplanError
        When it cannot be made or written.
    """
    made = make_coupon(Request(kind, job_path), job_path.parent / PIECES)
    return {**trial(job_path, kind, read), "measure": [read(m) for m in made.measure]}


def learnt(
    job_path: Path, kind: Kind, typed: Mapping[str, Any], unit: UnitName, read: Reader = ENGLISH
) -> dict[str, Any]:
    """Feed readings of a trial piece into the shop file beside the job and return what changed in it.

    The shop file in use elsewhere is copied beside the job first, so that nothing it knows is lost for this job.

    Parameters
    ----------
    job_path : Path
        The job file.
    kind : {"paper", "kerf", "weld"}
        Which trial piece.
    typed : mapping
        Readings as typed, by name; empty ones are left out.
    unit : {"mm", "in"}
        Unit of numbers that carry none.
    read : Reader
        Whose words are used.

    Raises
    ------
    CutplanError
        When readings are missing or make no sense; the shop file stays as it is then.
    """
    given = {str(n): str(v).strip() for n, v in typed.items() if str(v).strip()}
    readings = {n: parse_length(v, unit, n) for n, v in given.items()}
    used = find_shop(job_path.parent)
    before = _text(used)
    beside = job_path.parent / SHOP_FILE
    copied = used is not None and used != beside
    if copied and used is not None:
        write_file(beside, used.read_bytes())
    try:
        result = learn(Request(kind, job_path), readings, beside)
    except BaseException:
        if copied:
            beside.unlink(missing_ok=True)
        raise
    lines = difflib.unified_diff(before.splitlines(), _text(beside).splitlines(), lineterm="", n=1)
    return {
        **trial(job_path, kind, read),
        "notes": [read(n) for n in result.notes],
        "difference": [line for line in lines if not line.startswith(("+++", "---"))],
    }


def _text(shop: Path | None) -> str:
    return shop.read_text(encoding="utf-8") if shop is not None else ""


def _fields(job_path: Path, kind: Kind) -> list[tuple[str, Message, float | None]]:
    """What is measured: name of the reading, what it is, and what it should be [mm]."""
    job, _ = load(job_path)
    if kind == "paper":
        from cutplan.templates.printed.coupon import paper_coupon

        coupon = paper_coupon(job.paper)
        return [
            ("x", say("from target 1 to target 2"), coupon.across_mm),
            ("y", say("from target 1 to target 4"), coupon.up_mm),
            ("d1", say("across, from target 1 to target 3"), coupon.diagonal_mm),
            ("d2", say("across, from target 4 to target 2"), coupon.diagonal_mm),
        ]
    if kind == "kerf":
        from cutplan.cutting.kerf.coupon import kerf_coupon

        words = {
            "outside_x": say("outside of the piece along x"),
            "outside_y": say("outside of the piece along y"),
            "slot_x": say("width of the slot along x"),
            "slot_y": say("width of the slot along y"),
        }
        nominal = kerf_coupon(job.cutting.process, job.plate.thickness_mm).nominal_mm
        return [(n, words.get(n, say("reading {n}", n=number(i + 1))), mm) for i, (n, mm) in enumerate(nominal.items())]
    from cutplan.welding.coupon import weld_coupon

    out: list[tuple[str, Message, float | None]] = []
    for i, station in enumerate(weld_coupon(job).stations_mm, 1):
        at = number(station, "mm", 0)
        out += [
            (f"before{i}", say("between the marks before welding, {at} along", at=at), None),
            (f"after{i}", say("between the marks when cold, {at} along", at=at), None),
            (f"rise{i}", say("how far the free edge has risen, {at} along", at=at), None),
        ]
    return out
