"""The trial piece for holes, and the kerf by size that it shows."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from cutplan.files.job.shop.read import find_shop, read_shop
from cutplan.pattern.job import Job
from cutplan.pattern.shop import HolesMeasured, Shop
from cutplan.project.coupons.kerf import process_of
from cutplan.project.coupons.request import CouponMade, Request, Told
from cutplan.project.single import write_own
from cutplan.texts import Message, code, mm, number, say

#: Reading error of a caliper in a hole [mm] (our own choice).
_CALIPER_MM = 0.05
#: Sizes of holes no farther apart than this are one [mm].
SAME_SIZE_MM = 1e-6


def make_holes(request: Request, job: Job | None, folder: Path, inputs: tuple[Path, ...]) -> CouponMade:
    """Write the trial piece's drawing."""
    from cutplan.cutting.files.drawings import path_layers
    from cutplan.cutting.holes.coupon import hole_coupon
    from cutplan.files.dxf.write import dxf_text

    process, thickness_mm = process_of(request, job)
    coupon = hole_coupon(process, thickness_mm, _shop(request))
    path = folder / "coupon-holes.dxf"
    write_own(path, dxf_text(path_layers(coupon.job, coupon.plan)).encode("ascii"), inputs)
    return CouponMade((path,), coupon.measure, coupon.readings, coupon.known_mm)


def learn_holes_of(request: Request, job: Job | None, readings: dict[str, float]) -> Told:
    """Return the kerf of small holes by size that a trial piece shows, from readings [mm]."""
    from cutplan.cutting.holes.coupon import KERF, learn_holes

    process, thickness_mm = process_of(request, job)
    error = request.reading_mm if request.reading_mm is not None else _CALIPER_MM
    shop = _shop(request)
    learnt = learn_holes(process, thickness_mm, readings, shop, error)
    now = None if KERF in readings else shop.kerf(process, thickness_mm)
    said: list[Message | str] = [
        say(
            "holes of {size}: kerf {kerf}, taper {taper}",
            size=mm(size, None),
            kerf=mm(kerf, 2),
            taper=number(taper, "deg", 1),
        )
        if all(f"D{size:g}_{face}" in readings for face in ("top", "bottom"))
        else say(
            "holes of {size}: kerf {kerf} at half depth by the taper that is known, {taper}; measured at one face only",
            size=mm(size, None),
            kerf=mm(kerf, 2),
            taper=number(taper, "deg", 1),
        )
        if taper
        else say(
            "holes of {size}: kerf {kerf}, taper not measured: it takes both faces",
            size=mm(size, None),
            kerf=mm(kerf, 2),
        )
        for size, kerf, taper in zip(learnt.diameters_mm, learnt.kerfs_mm, learnt.tapers_deg, strict=True)
    ]
    if now:
        said.append(
            say(
                "taken to be cut with the kerf that is known now, {kerf}: if the file's notes name another, give the "
                "readings again with {reading}",
                kerf=mm(now.mean_mm, 2),
                reading=code(f"{KERF}=..."),
            )
        )
    said.append(say("small holes are cut with these kerfs from now on"))
    values = {
        "process": process,
        "thickness_mm": thickness_mm,
        "diameters_mm": list(learnt.diameters_mm),
        "kerfs_mm": list(learnt.kerfs_mm),
        "tapers_deg": list(learnt.tapers_deg),
    }
    return learnt, values, said


def with_earlier(shop: Shop, measured: HolesMeasured) -> tuple[HolesMeasured, tuple[float, ...]]:
    """Return what was measured together with the sizes that the shop file knows and nobody measured again [mm].

    Only what the file holds of the same process and thickness is meant: that is what the new measurement replaces.
    """
    same = (measured.process, round(measured.thickness_mm, 6))
    before = next((h for h in shop.holes if (h.process, round(h.thickness_mm, 6)) == same), None)
    if before is None:
        return measured, ()
    rows = {d: (k, t) for d, k, t in zip(before.diameters_mm, before.kerfs_mm, before.tapers_deg, strict=True)}
    again = {old for old in rows for new in measured.diameters_mm if abs(old - new) < SAME_SIZE_MM}
    kept = tuple(sorted(set(rows) - again))
    now = zip(measured.diameters_mm, measured.kerfs_mm, measured.tapers_deg, strict=True)
    whole = sorted([*now, *((d, *rows[d]) for d in kept)])
    together = replace(
        measured,
        diameters_mm=tuple(r[0] for r in whole),
        kerfs_mm=tuple(r[1] for r in whole),
        tapers_deg=tuple(r[2] for r in whole),
        reading_mm=max(measured.reading_mm, before.reading_mm) if kept else measured.reading_mm,
    )
    return together, kept


def _shop(request: Request) -> Shop:
    folder = Path() if request.job is None else (request.job if request.job.is_dir() else request.job.parent)
    found = request.shop or find_shop(folder)
    return read_shop(found) if found and found.is_file() else Shop()
