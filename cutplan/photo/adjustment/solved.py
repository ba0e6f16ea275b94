"""The adjustment judged: strips that do not lie flat left out, and refused where too little can be believed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from cutplan.errors import DrawingError, UsageError
from cutplan.findings import Finding
from cutplan.photo.adjustment.adjust import Adjusted, Scale, adjust, packed, unpacked
from cutplan.photo.adjustment.observed import Distance, Observed, observed
from cutplan.photo.adjustment.start import on_strip
from cutplan.photo.marking.marks import LETTERS, cross_places
from cutplan.photo.marking.sighting import FEWEST_IN_SCAN, FEWEST_STRIPS, Sighting, used_strips
from cutplan.photo.picture import Picture
from cutplan.texts import Message, code, mm, number, say

#: Largest residual of the adjustment that is believed [px].
MOST_PX = 0.15
#: Prints further off their size than this are a mistake in the reading; letter on A4 paper is 6 % off.
_MOST_SCALE_OFF = 0.08
#: A measured length may disagree by this many of its standard errors.
_DISAGREE = 3.5


@dataclass(frozen=True)
class Known:
    """A length measured between the crosses of two strips: their letters, which cross (1 or 2), length and error [mm]."""

    first: str
    first_cross: int
    second: str
    second_cross: int
    length_mm: float
    error_mm: float = 0.1

    @property
    def label(self) -> str:
        return f"{self.first}{self.first_cross}-{self.second}{self.second_cross}"


@dataclass(frozen=True)
class Solved:
    """The adjustment with what it was made from, and what was noticed."""

    adjusted: Adjusted
    obs: Observed
    findings: tuple[Finding, ...]


def solve(pictures: Sequence[Picture], sighting: Sighting, known: Sequence[Known], scale: Scale, scan: bool) -> Solved:
    """Return the adjustment of all marks.

    Parameters
    ----------
    pictures : sequence of Picture
        The pictures.
    sighting : Sighting
        Their marks.
    known : sequence of Known
        Lengths measured.
    scale : Scale
        What is known of the printer.
    scan : bool
        Whether the pictures are scans.

    Raises
    ------
    DrawingError
        When the marks do not fit together to 0.15 px, or a measured length disagrees.
    UsageError
        When a length names a strip that is not seen.
    """
    without: list[int] = []
    findings: list[Finding] = []
    size = (pictures[0].width, pictures[0].height)
    focal = next((p.focal_px for p in pictures if p.focal_px), None)
    fewest = FEWEST_IN_SCAN if scan else FEWEST_STRIPS
    named = {LETTERS.index(letter) for k in known for letter in (k.first, k.second) if letter in LETTERS}
    while True:
        use = used_strips(sighting, without)
        obs = observed(sighting.dots, sighting.seen, size, use)
        result = adjust(obs, [], scale, focal, scan)
        bad, off_px = _worst_strip(result, obs)
        if off_px <= MOST_PX:
            break
        number_of = obs.strips[bad]
        if len(use) <= fewest or len(without) >= 3 or number_of in named:
            raise _does_not_fit(result, obs, bad, off_px)
        without.append(number_of)
        findings.append(
            Finding(
                "strip-left-out",
                "warning",
                say(
                    "strip {letter} does not lie flat, or moved between the pictures: left out",
                    letter=code(LETTERS[number_of]),
                ),
                say("{off} off", off=number(off_px, "px", 2)),
                say("stick it down flat and take the pictures again if the result is not sure enough"),
            )
        )
    # first the marks among themselves, then the lengths: a length read wrong is not taken for a strip that curls
    if known:
        result = adjust(obs, _distances(known, obs), scale, focal, scan, _scaled_to(result, obs, known))
        _lengths_agree(result, obs, known)
    _size_is_likely(result)
    return Solved(result, obs, (*findings, *_scale_findings(result, scale)))


def _distances(known: Sequence[Known], obs: Observed) -> list[Distance]:
    row = {LETTERS[number]: i for i, number in enumerate(obs.strips)}
    out = []
    for k in known:
        for letter in (k.first, k.second):
            if letter not in row:
                raise UsageError(
                    say("strip {letter} of the measured length is in none of the pictures", letter=code(letter)),
                    k.label,
                    say("strips seen: {letters}", letters=code(" ".join(sorted(row)))),
                )
        out.append(
            Distance((row[k.first], k.first_cross - 1), (row[k.second], k.second_cross - 1), k.length_mm, k.error_mm)
        )
    return out


def strip_rms(result: Adjusted, obs: Observed) -> np.ndarray:
    """Return the root mean square residual of each strip (strips,) [px]; single dots that are not believed count only when many."""
    square = (result.residual_px**2).mean(axis=1)
    out = []
    for i in range(len(obs.strips)):
        mine = obs.strip == i
        believed = mine & (result.weight > 0.5)
        chosen = believed if believed.sum() > 0.85 * mine.sum() else mine
        out.append(float(np.sqrt(square[chosen].mean())) if chosen.any() else 0.0)
    return np.array(out)


def _worst_strip(result: Adjusted, obs: Observed) -> tuple[int, float]:
    rms = strip_rms(result, obs)
    worst = int(np.argmax(rms))
    return worst, float(rms[worst])


def _does_not_fit(result: Adjusted, obs: Observed, strip: int, off_px: float) -> DrawingError:
    return DrawingError(
        say(
            "the marks do not fit together: {off} left over, {most} allowed",
            off=number(off_px, "px", 2),
            most=number(MOST_PX, "px", 2),
        ),
        say("worst at strip {letter}", letter=code(LETTERS[obs.strips[strip]])),
        say(
            "a strip is curled, raised or was moved between the pictures, or the picture is not sharp: stick the strips down "
            "flat on the backing and take all pictures again"
        ),
    )


def _found_length(result: Adjusted, d: Distance) -> float:
    ends = [
        on_strip(result.strips[r : r + 1], cross_places()[c : c + 1] * result.scale)[0] for r, c in (d.first, d.second)
    ]
    return float(np.hypot(*(ends[1] - ends[0])))


def _scaled_to(result: Adjusted, obs: Observed, known: Sequence[Known]) -> np.ndarray:
    """The unknowns with everything drawn to the size that the lengths say in the mean."""
    factor = float(np.median([d.length_mm / _found_length(result, d) for d in _distances(known, obs)]))
    lens, poses, strips, scale = (part.copy() for part in unpacked(result.vector, obs.pictures))
    if result.views.scan:
        poses[:, [0, 1, 3, 4]] /= factor
    else:
        poses[:, 3:6] *= factor
    strips[:, :2] *= factor
    return packed(lens, poses, strips, scale * factor)


def _lengths_agree(result: Adjusted, obs: Observed, known: Sequence[Known]) -> None:
    for k, d in zip(known, _distances(known, obs), strict=True):
        found = _found_length(result, d)
        if abs(found - d.length_mm) > _DISAGREE * d.error_mm + 0.05:
            raise DrawingError(
                say(
                    "the measured lengths do not agree: {found} found for {given}",
                    found=mm(found, 2),
                    given=mm(d.length_mm, 2),
                ),
                k.label,
                say("measure again between the middles of the two crosses, in one plane, and look at the letters"),
            )


def _size_is_likely(result: Adjusted) -> None:
    mean = float(result.scale.mean())
    if abs(mean - 1.0) > _MOST_SCALE_OFF:
        raise DrawingError(
            say(
                "the measured length would mean that the strips were printed at {percent:.1f} % of their size",
                percent=100.0 * mean,
            ),
            "--known",
            say("measure again between the middles of the two crosses, and look at the letters and the unit"),
        )


def _scale_findings(result: Adjusted, scale: Scale) -> list[Finding]:
    mean = float(0.5 * (result.scale[0] + result.scale[1]))
    apart = float(result.scale[0] - result.scale[1])
    out: list[Finding] = []
    if abs(mean - 1.0) > 0.01:
        out.append(
            _note(
                "print-scale",
                "warning",
                say(
                    "the strips were printed at {percent:.2f} % of their size; corrected by the measured length",
                    percent=100.0 * mean,
                ),
            )
        )
    if abs(apart) > 0.001:
        out.append(
            _note(
                "print-axes",
                "note",
                say("the printer prints its two axes {percent:.2f} % apart; corrected", percent=100.0 * abs(apart)),
            )
        )
    return out


def _note(code_: str, severity: str, message: Message) -> Finding:
    return Finding(code_, "warning" if severity == "warning" else "note", message)
