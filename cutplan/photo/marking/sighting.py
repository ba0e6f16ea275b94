"""The marks of all pictures: found, read, and checked for what no adjustment can mend."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from cutplan.errors import DrawingError
from cutplan.photo.marking.dots import Dots, find_dots
from cutplan.photo.marking.marks import LETTERS
from cutplan.photo.marking.strips import SeenStrip, read_strips
from cutplan.photo.picture import Picture
from cutplan.texts import listed, name, number, say

#: Fewest strips that a photograph, and a scan, must show.
FEWEST_STRIPS, FEWEST_IN_SCAN = 4, 2


@dataclass(frozen=True)
class Sighting:
    """Dots and strips of each picture, and the strips seen in any of them."""

    dots: tuple[Dots, ...]
    seen: tuple[tuple[SeenStrip, ...], ...]

    @property
    def strips(self) -> tuple[int, ...]:
        """Numbers of all strips seen, in order."""
        return tuple(sorted({s.strip for one in self.seen for s in one}))


def sight(pictures: Sequence[Picture], scan: bool) -> Sighting:
    """Return the marks of the pictures.

    Raises
    ------
    DrawingError
        For mixed cameras, a mirrored picture, or too few strips in one.
    """
    if not scan:
        _one_camera(pictures)
    dots, seen = [], []
    for picture in pictures:
        d = find_dots(picture.grey)
        found = tuple(read_strips(d))
        _readable(picture, found, FEWEST_IN_SCAN if scan else FEWEST_STRIPS)
        dots.append(d)
        seen.append(found)
    return Sighting(tuple(dots), tuple(seen))


def _readable(picture: Picture, found: Sequence[SeenStrip], fewest: int) -> None:
    if any(s.mirrored for s in found):
        raise DrawingError(
            say("the picture is mirrored: the strips read from behind"),
            name(picture.name).text,
            say("use the file as the camera wrote it; a selfie camera or an editor may have flipped it"),
        )
    if len(found) < fewest:
        letters = listed(LETTERS[s.strip] for s in found)
        raise DrawingError(
            say("only strips {letters} can be read; {fewest} are needed", letters=letters, fewest=number(fewest))
            if found
            else say("no strip of marks can be read"),
            name(picture.name).text,
            say(
                "lay the strips flat round the card, the whole of at least {fewest} in the picture, sharp and evenly lit; "
                "print them with: {command}",
                fewest=number(fewest),
                command=name("cutplan marks"),
            ),
        )


def _one_camera(pictures: Sequence[Picture]) -> None:
    first = pictures[0]
    for other in pictures[1:]:
        size = (other.width, other.height) == (first.width, first.height)
        focal = first.focal_px is None or other.focal_px is None or abs(first.focal_px / other.focal_px - 1.0) < 0.02
        if size and focal and (not first.camera or not other.camera or first.camera == other.camera):
            continue
        raise DrawingError(
            say("the photographs come from different cameras, lenses or zooms"),
            say("{first} and {other}", first=name(first.name), other=name(other.name)),
            say(
                "take all of them with one camera at one zoom, the camera held the same way round, and do not crop or turn "
                "the files"
            ),
        )


def used_strips(sighting: Sighting, without: Sequence[int]) -> tuple[int, ...]:
    """Return the numbers of the strips to use, some left out."""
    return tuple(s for s in sighting.strips if s not in without)
