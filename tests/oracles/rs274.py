"""An interpreter of RS274/NGC, written from the language's definition; what it does not know it refuses.

T. R. Kramer, F. M. Proctor, E. Messina, The NIST RS274NGC Interpreter, version 3, NISTIR 6556, 2000: lines (3.3), words
and parameters (3.3.2), modal groups (3.4, table 4), order of execution (3.8, table 8), arcs in centre format (3.5.3),
dwell (3.5.4), M codes (3.6). From memory where clause numbers are given; the rules themselves are common to all readers.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from math import atan2, hypot, pi

#: Radii of an arc at its two ends may differ by this in millimetre mode [mm].
ARC_MM = 0.002
#: G codes of each modal group that is known here.
GROUPS = {
    1: {0, 1, 2, 3, 80},
    2: {17},
    3: {90},
    5: {94},
    6: {21},
    7: {40},
    8: {49},
}
_LINE = re.compile(r"(?:#(\d+)=(-?[\d.]+)|([A-Z])(#\d+|-?\d*\.?\d+))")


class Refused(Exception):
    """A line that the language does not allow, or a state that no line may be run in."""


@dataclass
class Burn:
    """One lit stretch: places (x, y, bulge to the next) [mm], feeds met [mm/min], pierce delay [s]."""

    rows: list[tuple[float, float, float]]
    feeds: set[float]
    delay_s: float


@dataclass
class Machine:
    """What the interpreter knows; ``path`` holds every stretch at cut height, lit or not."""

    x: float = 0.0
    y: float = 0.0
    z: float = 0.0
    feed: float = 0.0
    motion: int = 80
    lit: bool = False
    ended: bool = False
    parameters: dict[int, float] = field(default_factory=dict)
    modes: set[int] = field(default_factory=set)
    burns: list[Burn] = field(default_factory=list)
    path: list[Burn] = field(default_factory=list)
    delay_s: float = 0.0
    fired: int = 0


def run(text: str) -> Machine:
    """Run a program and return the machine as it stands at its end."""
    m = Machine()
    for count, line in enumerate(text.splitlines(), 1):
        if m.ended:
            raise Refused(f"line {count}: after the end of the program")
        if len(line) > 256 or not line.isascii():
            raise Refused(f"line {count}: too long, or not in the character set")
        try:
            _run_line(m, line)
        except Refused as fault:
            raise Refused(f"line {count}: {line}: {fault}") from None
    if not m.ended:
        raise Refused("no M2 at the end")
    return m


def _run_line(m: Machine, line: str) -> None:
    bare = re.sub(r"\([^()]*\)", "", line)
    if "(" in bare or ")" in bare:
        raise Refused("a comment in a comment")
    bare = "".join(bare.split()).upper()
    words: dict[str, float] = {}
    codes: list[int] = []
    tools: list[int] = []
    settings: dict[int, float] = {}
    at = 0
    while at < len(bare):
        found = _LINE.match(bare, at)
        if not found:
            raise Refused(f"cannot be read from {bare[at:]!r}")
        at = found.end()
        if found[1]:
            settings[int(found[1])] = float(found[2])
            continue
        letter, value = found[3], found[4]
        number = m.parameters[int(value[1:])] if value[0] == "#" else float(value)
        if letter == "G":
            codes.append(int(number))
        elif letter == "M":
            tools.append(int(number))
        elif letter in words or letter not in "XYZIJFP":
            raise Refused(f"word {letter}")
        else:
            words[letter] = number
    _modes(m, codes)
    if "F" in words:
        m.feed = words.pop("F")
    _tools(m, [t for t in tools if t in (3, 5)])
    if 4 in codes:
        if "P" not in words:
            raise Refused("G4 without P")
        m.delay_s = words.pop("P")
    if words:
        _move(m, words)
    m.parameters.update(settings)
    _tools(m, [t for t in tools if t not in (3, 5)])


def _modes(m: Machine, codes: list[int]) -> None:
    for code in codes:
        group = next((g for g, known in GROUPS.items() if code in known), None)
        if group is None and code != 4:
            raise Refused(f"G{code}")
        if group and len([c for c in codes if c in GROUPS[group]]) > 1:
            raise Refused("two codes of one group")
        if group == 1:
            m.motion = code
        m.modes.add(code)


def _tools(m: Machine, codes: list[int]) -> None:
    for code in codes:
        if code == 3:
            if m.lit:
                raise Refused("M3 while lit")
            m.lit, m.fired = True, m.fired + 1
            m.burns.append(Burn([(m.x, m.y, 0.0)], set(), 0.0))
        elif code == 5:
            m.lit = False
        elif code == 2:
            if m.lit:
                raise Refused("M2 while lit")
            m.ended = True
        else:
            raise Refused(f"M{code}")


def _move(m: Machine, words: dict[str, float]) -> None:
    if not {17, 21, 40, 90, 94} <= m.modes:
        raise Refused("a move before plane, units and modes are set")
    if m.motion == 80:
        raise Refused("axis words without a motion")
    if m.motion and m.feed <= 0.0:
        raise Refused("no feed")
    x, y, z = words.get("X", m.x), words.get("Y", m.y), words.get("Z", m.z)
    bulge = 0.0
    if m.motion in (2, 3):
        bulge = _bulge(m, x, y, words)
    elif words.keys() & {"I", "J", "P"}:
        raise Refused("words that the motion does not take")
    if m.motion == 0 and m.lit and (x, y) != (m.x, m.y):
        raise Refused("a rapid move with the torch lit")
    if (m.motion and (x, y) != (m.x, m.y)) or bulge:
        _trace(m, x, y, bulge)
    m.x, m.y, m.z = x, y, z
    if m.motion == 0 and z > 10.0:
        m.path.append(Burn([], set(), 0.0))


def _bulge(m: Machine, x: float, y: float, words: dict[str, float]) -> float:
    if not words.keys() & {"I", "J"}:
        raise Refused("an arc without a centre")
    cx, cy = m.x + words.get("I", 0.0), m.y + words.get("J", 0.0)
    first, last = hypot(m.x - cx, m.y - cy), hypot(x - cx, y - cy)
    if abs(first - last) > ARC_MM or first == 0.0:
        raise Refused(f"radii {first:.5f} and {last:.5f}")
    turn = (atan2(y - cy, x - cx) - atan2(m.y - cy, m.x - cx)) % (2.0 * pi)
    if m.motion == 2:
        turn -= 2.0 * pi
    if (x, y) == (m.x, m.y) or turn == 0.0:
        turn = 2.0 * pi if m.motion == 3 else -2.0 * pi
    return turn


def _trace(m: Machine, x: float, y: float, turn: float) -> None:
    """Keep a move as rows: its place, and the turn to the next one [rad] in place of a bulge."""
    for kept in (m.burns[-1] if m.lit else None, m.path[-1] if m.path else None):
        if kept is None:
            continue
        if not kept.rows:
            kept.rows.append((m.x, m.y, 0.0))
        kept.rows[-1] = (*kept.rows[-1][:2], turn)
        kept.rows.append((x, y, 0.0))
        kept.feeds.add(m.feed)
        kept.delay_s = m.delay_s
