"""What cannot be proved about a tracing: refusals that say what to do, and findings."""

from __future__ import annotations

import numpy as np

from cutplan.errors import DrawingError
from cutplan.findings import Finding
from cutplan.photo.edge.outline import Outline
from cutplan.photo.edge.silhouette import Silhouette
from cutplan.photo.marking.marks import PAPER_MM
from cutplan.texts import Message, code, mm, number, place, say

#: The height found may differ from the thickness given by this much [mm].
MOST_HEIGHT_OFF_MM = 0.2
#: A card may bow by this much and still be flattened [mm].
MOST_BOW_MM = 6.0
#: Part of a contour that may show no clear edge.
_WEAK_SHARE = 0.10
#: An edge is clear when its formal error is below this; pictures disagree when one is this far from their mean [mm].
_CLEAR_MM, _TORN_MM = 0.12, 0.35
#: Light of the wall between backing (0) and face (1) from which the face's edge cannot be told from the wall's foot.
_LIGHT_WALL = 0.75
#: A stretch of edge lower than the face by this much [mm] is no edge of the face: a shadow, or the backing.
_LOW_MM = 0.9


def no_scale() -> DrawingError:
    """Return the refusal of a tracing whose scale is only what the printer was asked for."""
    return DrawingError(
        say("nothing tells the scale: printers do not print true to size"),
        "",
        say(
            "measure one long distance between the crosses of two strips and give it as {known}, or calibrate the printer "
            "with {coupon} and name the shop file",
            known=code("--known A1-D2=295.4"),
            coupon=code("cutplan coupon paper"),
        ),
    )


def shape_doubts(rough: Silhouette, picture: str) -> list[Finding]:
    """Return what is doubtful about the rough shape.

    Raises
    ------
    DrawingError
        When the card reaches the edge of what is seen, or hardly differs from its backing.
    """
    if rough.touches:
        raise DrawingError(
            say("the card reaches the edge of the picture"),
            picture,
            say("take the pictures from further away: the whole card with backing all round it"),
        )
    if rough.contrast < 0.03:
        raise DrawingError(
            say("card and backing hardly differ"),
            picture,
            say("lay the card on a matte sheet of one colour that differs clearly from it"),
        )
    if rough.other_mm2 > 400.0:
        return [
            Finding(
                "other-things",
                "warning",
                say(
                    "other things of the card's colour lie about: {area} in all",
                    area=number(rough.other_mm2 / 100.0, "cm²", 0),
                ),
                "",
                say("look whether the outline found is the card's"),
            )
        ]
    return []


def edge_doubts(outline: Outline, pictures: int, letter: str) -> list[Finding]:
    """Return what is doubtful about the edges found; ``letter`` is the strip that places are told from.

    Raises
    ------
    DrawingError
        When a contour shows no clear edge over more than a tenth of its length, or an edge that lies too low.
    """
    unclear, torn = weak_sites(outline)
    for ring in range(len(outline.fits)):
        mine = outline.sites.ring == ring
        share = float((unclear | torn)[mine].mean())
        if share > _WEAK_SHARE:
            at = outline.points[mine & (unclear | torn)].mean(axis=0)
            where = say("about {at} from the middle of strip {letter}", at=place(*at.tolist()), letter=code(letter))
            raise (
                _torn(ring, share, where) if torn[mine].mean() > unclear[mine].mean() else _unclear(ring, share, where)
            )
    return [*_single(pictures), *_low_edges(outline)]


def _unclear(ring: int, share: float, where: Message) -> DrawingError:
    return DrawingError(
        say(
            "the edge of {what} cannot be seen clearly over {percent:.0f} % of its length",
            what=_what(ring),
            percent=100.0 * share,
        ),
        where,
        say(
            "cut fluffs and burrs off the card, use a matte backing that contrasts, light it evenly, hold the camera still"
        ),
    )


def _torn(ring: int, share: float, where: Message) -> DrawingError:
    return DrawingError(
        say(
            "the pictures do not agree where the edge of {what} lies, over {percent:.0f} % of its length",
            what=_what(ring),
            percent=100.0 * share,
        ),
        where,
        say(
            "a shadow beside the card is taken for its edge, or the card moved: use a dark matte backing on which no shadow "
            "shows, or light it from several sides"
        ),
    )


def _what(ring: int) -> Message:
    return say("the outline") if ring == 0 else say("hole {number}", number=number(ring))


def weak_sites(outline: Outline) -> tuple[np.ndarray, np.ndarray]:
    """Return which sites show no clear edge in any picture, and on which the pictures disagree, (n,) bool each."""
    clear = np.stack(
        [
            np.isfinite(e.offset) & (np.abs(e.step) > 0.02) & (np.abs(e.step) > 1.2 * e.noise) & (e.error < _CLEAR_MM)
            for e in outline.edges
        ]
    )
    allowed = np.stack([np.maximum(_TORN_MM, 5.0 * np.nan_to_num(e.error)) for e in outline.edges])
    # a wall nearly as light as the face hides the face's edge: where two pictures see no wall, only such are asked
    hidden = np.stack([np.isfinite(e.offset) & (e.wall <= 0.0) for e in outline.edges])
    told = np.array([[o.wall < _LIGHT_WALL] for o in outline.optics]) | hidden | (hidden.sum(axis=0) < 2)
    apart = np.abs(np.nan_to_num(outline.combined.residual)) > allowed
    torn = (apart & told).any(axis=0) & (outline.combined.pictures > 1)
    return np.asarray(~clear.any(axis=0)), torn


def _single(pictures: int) -> list[Finding]:
    if pictures > 1:
        return []
    return [
        Finding(
            "one-picture",
            "warning",
            say("only one picture: thickness and bow of the card and the walls of the holes are not proved"),
            "",
            say("take four pictures, tilted about 15 degrees, from four sides"),
        )
    ]


def _low_edges(outline: Outline) -> list[Finding]:
    """Refuse stretches whose parallax says that what was followed lies at the backing, not at the face."""
    if len(outline.edges) < 2 or not outline.combined.surface_cov.any():
        return []
    left = np.nan_to_num(outline.combined.residual)
    lean = np.stack([e.lean for e in outline.edges])
    wall = np.stack([e.wall for e in outline.edges])
    seen = np.isfinite(outline.combined.residual) & (wall <= 0.3)
    lean = np.where(seen, lean - np.where(seen, lean, 0).sum(axis=0) / np.maximum(seen.sum(axis=0), 1), 0.0)
    for ring, one in enumerate(outline.fits):
        for k in range(len(one.pieces)):
            mine = (outline.sites.ring == ring) & (outline.piece == k)
            power = float((lean[:, mine] ** 2).sum())
            if power < 0.3 or mine.sum() < 12:
                continue
            rise = float((left[:, mine] * lean[:, mine]).sum()) / power
            if rise < -_LOW_MM:
                raise DrawingError(
                    say(
                        "a stretch of {what} lies {low} below the face: a shadow was followed, not the card",
                        what=_what(ring),
                        low=mm(-rise, 1),
                    ),
                    "",
                    say("light the card from several sides, or use a dark backing on which no shadow shows"),
                )
    return []


def height_doubts(outline: Outline, thickness_mm: float, told: bool, scan: bool) -> tuple[float | None, list[Finding]]:
    """Return the height of the face over the backing [mm] (None: not told), and what is doubtful about it.

    Parameters
    ----------
    outline : Outline
        The edge found.
    thickness_mm : float
        Thickness given [mm].
    told : bool
        Whether the pictures tell the height.
    scan : bool
        Whether the pictures are scans, where height counts for nothing.

    Raises
    ------
    DrawingError
        When the height found is not the thickness given, or the card bows too much.
    """
    if scan:
        return None, []
    if not told:
        return None, [
            Finding(
                "height-not-proved",
                "warning",
                say(
                    "the pictures were taken from too nearly the same side: thickness and bow of the card are not proved"
                ),
                "",
                say("tilt the camera by about 15 degrees, from four different sides"),
            )
        ]
    height = outline.height + outline.combined.higher(outline.sites.xy) + PAPER_MM
    error = outline.combined.higher_error(outline.sites.xy)
    low, high = (float(np.percentile(height, q)) for q in (5.0, 95.0))
    unsure = float(np.median(error))
    off = low - thickness_mm
    if abs(off) > MOST_HEIGHT_OFF_MM + unsure:
        raise DrawingError(
            say(
                "the pictures show the card's face {found} above what the strips lie on; {given} was given as its thickness",
                found=mm(low, 2),
                given=mm(thickness_mm, 2),
            ),
            "",
            say(
                "measure the card's thickness again with a caliper, and see that card and strips lie flat on the same sheet"
            ),
        )
    bow = high - low
    if bow > MOST_BOW_MM:
        raise DrawingError(
            say("the card bows by {bow}", bow=mm(bow, 1)),
            "",
            say("weigh it down flat, away from its edges, and take the pictures again"),
        )
    if bow > 0.4:
        return low, [Finding("card-bowed", "note", say("the card bows by {bow}: taken into account", bow=mm(bow, 1)))]
    return low, []
