"""The net cut line of the opening in the skin, derived from plate and joint."""

from __future__ import annotations

from dataclasses import dataclass

from cutplan.errors import GeometryError
from cutplan.geometry.clearance import Clearance
from cutplan.geometry.contour import Contour
from cutplan.geometry.offset.proved import edge_places, left_out, safe_offset
from cutplan.geometry.offset.regions import in_sharp_corners
from cutplan.geometry.region import Region
from cutplan.pattern.job import Job
from cutplan.texts import code, mm, place, say

#: How far the opening's line may lie from where it should [mm].
FARTHER_MM = 0.001


def opening_line(job: Job) -> Contour:
    """Return the opening's net contour, counter-clockwise, in the plate's coordinates [mm].

    Butt: the plate's outline moved outward by the gap (sharp corners stay sharp, so the gap is even along every
    edge). Lap: moved inward by the overlap. The one place where the opening is defined: opening file, template and
    opening plan all take it from here.

    Raises
    ------
    GeometryError
        When the overlap leaves no opening or splits it, or the gap closes a notch.
    """
    joint = job.joint
    distance_mm = joint.gap_mm if joint.kind == "butt" else -joint.overlap_mm
    outline = job.plate.outline.oriented(ccw=True)
    if distance_mm == 0.0:
        return outline
    made = safe_offset(outline, distance_mm, "sharp").result.regions
    if len(made) != 1:
        raise GeometryError(
            say("the overlap leaves no single opening")
            if distance_mm < 0.0
            else say("the gap closes the outline on itself"),
            where=say(
                "joint, {kind}, {size}; the outline gives {count} pieces",
                kind=code(joint.kind),
                size=mm(abs(distance_mm)),
                count=len(made),
            ),
            hint=say("use a smaller gap or overlap, or a simpler outline"),
        )
    if made[0].holes:
        box = made[0].holes[0].box
        raise GeometryError(
            say("the gap closes the mouth of a notch in the outline: the skin within it would come off all round"),
            where=say("{place}", place=place(0.5 * (box.xmin + box.xmax), 0.5 * (box.ymin + box.ymax), 3)),
            hint=say("widen the notch, or draw the outline closed there and cut the notch after welding"),
        )
    proof = line_proof(job, made[0].outer)
    if proof.farther_mm > FARTHER_MM:
        raise GeometryError(
            say("the opening's line lies {over} too far from the plate's outline", over=mm(proof.farther_mm, 3)),
            where=say("{place}", place=place(*proof.worst, 3)),
            hint=say("simplify the outline there, or change gap or overlap by a hundredth of a millimetre"),
        )
    return made[0].outer


@dataclass(frozen=True, slots=True)
class LineProof:
    """How well a line keeps its distance from the plate's outline.

    Parameters
    ----------
    nearer_mm : float
        How much nearer than the distance it comes at most [mm].
    farther_mm : float
        How much farther than the distance it lies at most where it need not [mm].
    places : int
        Places along the outline that were asked [1].
    worst : tuple of float
        Where it lies farthest off (x, y) [mm].
    """

    nearer_mm: float
    farther_mm: float
    places: int
    worst: tuple[float, float]


def line_proof(job: Job, line: Contour) -> LineProof:
    """Return how well the opening's line keeps gap or overlap from the plate's outline, measured on the finished line.

    Nearer is told exactly from every line and arc to every edge; farther from places along the edges where a disc of
    the distance's radius lies free. A sharp corner of the line lies farther from the corner by right, and so does what
    it takes of the room before a short edge beside that corner.

    Parameters
    ----------
    job : Job
        Plate and joint.
    line : Contour
        The opening's line [mm].
    """
    joint = job.joint
    distance_mm = joint.gap_mm if joint.kind == "butt" else -joint.overlap_mm
    outline = job.plate.outline.oriented(ccw=True)
    edges = Clearance(outline.segments)
    size = abs(distance_mm)
    if size == 0.0:
        return LineProof(0.0, 0.0, 0, outline.segments[0].start)
    gaps = edges.of(line.segments, size + 1.0)[0]
    asked = edge_places(Region(outline))
    over, fits = left_out(asked, edges, line.segments, distance_mm)
    over[~fits | in_sharp_corners(outline, distance_mm, asked.points + distance_mm * asked.off)] = 0.0
    worst = int(over.argmax())
    x, y = asked.points[worst]
    nearer = max(0.0, size - float(gaps.min()))
    return LineProof(nearer, max(0.0, float(over[worst])), len(over), (float(x), float(y)))
