"""The tables about what the plate is welded into: joint, skin with ribs, pads and brace."""

from __future__ import annotations

from cutplan.files.job.declared.joint import JOINT
from cutplan.files.job.keys import Keys
from cutplan.files.job.tables.edges import unwelded_spans
from cutplan.files.job.tables.plate import read_steel
from cutplan.geometry.contour import Contour
from cutplan.geometry.vector import Point
from cutplan.pattern.joint import Joint
from cutplan.pattern.pads import Brace, Pad
from cutplan.pattern.plate import Plate
from cutplan.pattern.skin import WALL_SIDES, Rib, Skin, Walls
from cutplan.texts import code, every, mm, say
from cutplan.texts import name as named


def read_joint(k: Keys, outline: Contour, thickness_mm: float) -> Joint:
    """Return the joint of a plate with an outline and a thickness [mm]."""
    kind, gap = k.take("kind"), k.take("gap")
    usual = max(25.0, 5.0 * thickness_mm) if kind == "lap" else 0.0
    overlap = k.length("overlap", usual, *JOINT["overlap"].limits)
    if kind == "lap" and overlap <= 0.0:
        k.wrong("overlap", say("a lap joint needs an overlap"), say("for example {this}", this=mm(25.0, 0)))
    if kind == "lap" and k.has("gap"):
        k.wrong("gap", say("a lap joint has no gap"), say("remove it, or write {this}", this=code('kind = "butt"')))
    if kind == "butt" and k.has("overlap"):
        k.wrong(
            "overlap", say("a butt joint has no overlap"), say("remove it, or write {this}", this=code('kind = "lap"'))
        )
    joint = Joint(kind, gap if kind == "butt" else 0.0, overlap, unwelded_spans(k, outline))
    k.close()
    return joint


def read_skin(k: Keys) -> Skin:
    """Return the wall around the opening, its box and its ribs."""
    walls = k.take("walls")
    read_walls = Walls(**walls.values(), assumed=tuple(side for side in WALL_SIDES if not walls.has(side)))
    walls.close()
    thickness = k.take("thickness")
    ribs = tuple(_rib(r, i) for i, r in enumerate(k.take("rib")))
    skin = Skin(thickness, read_steel(k), read_walls, k.take("box_depth"), ribs)
    k.close()
    return skin


def _rib(k: Keys, index: int) -> Rib:
    given, assumed = k.values(), not k.has("thickness")
    k.close()
    line = given["path"] or (Point(0.0, 0.0), Point(1.0, 0.0))
    return Rib(**{**given, "name": given["name"] or f"R{index + 1}", "path": line, "thickness_assumed": assumed})


def read_pad(k: Keys, index: int, plate: Plate) -> Pad:
    """Return one pad; ``index`` numbers one without a name, from 0 [1]."""
    at = k.take("at")
    centre = at or Point(0.0, 0.0)
    if k.has("hole"):
        name = k.take("hole")
        hole = next((h for h in plate.holes if h.name == name), None)
        if hole is None:
            k.wrong(
                "hole",
                say("the plate has no hole {hole}", hole=named(name)),
                say("holes here: {holes}", holes=every([h.name for h in plate.holes[:20]])),
            )
        else:
            centre = hole.centre
    elif at is None:
        k.wrong(
            "at", say("is missing"), say("give {this} or {that}", this=code("at = [x, y]"), that=code('hole = "H1"'))
        )
    given = k.values("at", "hole")
    k.close()
    return Pad(**{**given, "name": given["name"] or f"P{index + 1}", "centre": centre})


def read_brace(k: Keys) -> Brace:
    """Return the wish for a brace."""
    start, end = k.take("from"), k.take("to")
    brace = Brace(k.take("kind"), k.take("size"), k.take("wall"), start, end, k.take("design"))
    if start.distance(end) < 1.0:
        k.wrong("to", say("the brace has no length"), say("give two different ends"))
    k.close()
    return brace
