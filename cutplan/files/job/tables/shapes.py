"""The tables ``[[tube]]`` and ``[[flange]]``."""

from __future__ import annotations

from cutplan.files.job.keys import Keys
from cutplan.pattern.wishes import Flange, TubeWrap
from cutplan.texts import code, say


def read_tube(k: Keys, index: int) -> TubeWrap:
    """Return one wrap template; ``index`` numbers one without a name, from 0 [1]."""
    given = k.values()
    k.close()
    return TubeWrap(**{**given, "name": given["name"] or f"N{index + 1}"})


def read_flange(k: Keys, index: int) -> Flange:
    """Return one bent strip; ``index`` numbers one without a name, from 0 [1]."""
    given = k.values()
    flange = Flange(**{**given, "name": given["name"] or f"F{index + 1}"})
    if flange.ways and (len(flange.ways) != len(flange.angles_deg) or not {"up", "down"}.issuperset(flange.ways)):
        k.wrong(
            "ways",
            say("needs one way for each bend"),
            say("write {this}", this=code('ways = ["up", "down"]')),
        )
    if len(flange.legs_mm) < 2 or len(flange.angles_deg) != len(flange.legs_mm) - 1:
        k.wrong(
            "legs",
            say("needs two or more legs and one angle fewer"),
            say("write {this}", this=code("legs = [50, 40], angles_deg = [90]")),
        )
    k.close()
    return flange
