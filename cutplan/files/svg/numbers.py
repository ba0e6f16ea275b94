"""Numbers, lengths, transforms and view boxes as SVG writes them."""

from __future__ import annotations

import re
from math import cos, isfinite, pi, radians, sin, tan

from cutplan.errors import LimitError
from cutplan.files.limits import MAX_ATTRIBUTE, MAX_COORDINATE
from cutplan.files.traces import Affine
from cutplan.texts import Message, say
from cutplan.texts import name as named

NUMBER = re.compile(r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?")
#: Patterns are written so that no text, however odd, is gone through more than once or twice.
_LENGTH = re.compile(r"^\s*+([-+]?(?:\d++\.?+\d*+|\.\d++)(?:[eE][-+]?\d++)?+)\s*+([A-Za-z%]*+)\s*+$")
_UNIT = re.compile(
    r"(?<![\d.])([-+]?(?:\d++\.?+\d*+|\.\d++)(?:[eE][-+]?\d++)?+)(deg|rad|turn|grad|px|mm|cm|in|pt|pc|q)\b",
    re.IGNORECASE,
)
_LONGEST_TRANSFORM = 100_000
#: Units of angles in style properties [deg].
_ANGLES = {"deg": 1.0, "rad": 180.0 / pi, "turn": 360.0, "grad": 0.9}
_CALL = re.compile(r"(?<![A-Za-z])([A-Za-z]++)\s*+\(([^()]*+)\)")

#: Absolute CSS units [mm]: the inch is exact, a px is 1/96 in, a pt 1/72 in, a pc 12 pt, a Q a quarter millimetre.
UNIT_MM = {"mm": 1.0, "cm": 10.0, "in": 25.4, "pt": 25.4 / 72.0, "pc": 25.4 / 6.0, "q": 0.25, "px": 25.4 / 96.0}
_PX = 25.4 / 96.0
_EM_PX = 16.0


class BadNumber(Exception):
    """A value that is no number a drawing can hold; ``why`` says it in words."""

    def __init__(self, why: Message) -> None:
        super().__init__(str(why))
        self.why = why


def finite(text: str) -> float:
    """Return a number [1] within the limits of a drawing.

    Raises
    ------
    BadNumber
        When the number is beyond any drawing.
    """
    value = float(text)
    if not isfinite(value) or abs(value) > MAX_COORDINATE:
        raise BadNumber(say("the value {text} is beyond any drawing", text=named(text[:24])))
    return value


def parse_length(text: str) -> tuple[float, str] | None:
    """Return (number [1], unit in lower case) of a CSS length; an empty unit for a plain number; None if it is none."""
    match = _LENGTH.match(text)
    if match is None:
        return None
    return finite(match.group(1)), match.group(2).lower()


def user_length(text: str | None, reference: float, default: float = 0.0) -> float:
    """Return a CSS length in user units [px]; percentages are of a reference length [px].

    Raises
    ------
    BadNumber
        When the text is no length or its unit none.
    """
    if text is None:
        return default
    parsed = parse_length(text)
    if parsed is None:
        if text.strip() in ("auto", ""):
            return default
        raise BadNumber(say("'{text}' is not a length", text=named(text.strip()[:24])))
    value, unit = parsed
    if unit == "%":
        return value * reference / 100.0
    if unit in ("em", "rem"):
        return value * _EM_PX
    if unit in ("ex", "ch"):
        return value * 0.5 * _EM_PX
    if unit in UNIT_MM:
        return value * UNIT_MM[unit] / _PX
    if unit == "":
        return value
    raise BadNumber(say("'{unit}' is not a unit of length", unit=named(unit[:12])))


def parse_numbers(text: str) -> list[float]:
    """Return all numbers [1] in a text.

    Raises
    ------
    LimitError
        When an attribute is longer than any drawing's.
    """
    if len(text) > MAX_ATTRIBUTE:
        raise LimitError(
            say("an attribute of an SVG element has more than {max_attribute} characters", max_attribute=MAX_ATTRIBUTE)
        )
    return [finite(t) for t in NUMBER.findall(text)]


def parse_transform(text: str) -> Affine:
    """Return the move of a transform attribute or style property, first named done last."""
    total = Affine()
    if len(text) > _LONGEST_TRANSFORM:
        raise LimitError(
            say("a transform has more than {longest_transform} characters", longest_transform=_LONGEST_TRANSFORM),
            hint=say("export it again, flattened"),
        )
    text = _UNIT.sub(_without_unit, text)
    rest = _CALL.sub("", text).strip(" ,\t\r\n;")
    if rest and rest != "none":
        raise BadNumber(say("the transform '{text}' is not understood", text=named(text.strip()[:40])))
    for name, body in _CALL.findall(text):
        total = total.after(_transform(name, parse_numbers(body)))
    return total


def _without_unit(match: re.Match[str]) -> str:
    """Return a number of a style property in px or degrees, without its unit."""
    unit = match.group(2).lower()
    if unit in _ANGLES:
        return repr(finite(match.group(1)) * _ANGLES[unit])
    return repr(user_length(match.group(0), 0.0))


def _transform(name: str, n: list[float]) -> Affine:
    name = name.lower()
    if name == "matrix" and len(n) == 6:
        return Affine(*n)
    if name == "translate" and len(n) in (1, 2):
        return Affine(e=n[0], f=n[1] if len(n) == 2 else 0.0)
    if name == "scale" and len(n) in (1, 2):
        return Affine(a=n[0], d=n[-1])
    if name == "rotate" and len(n) in (1, 3):
        k, s = cos(radians(n[0])), sin(radians(n[0]))
        if n[0] % 90.0 == 0.0:
            k, s = float(round(k)), float(round(s))
        turn = Affine(k, s, -s, k)
        if len(n) == 3:
            return Affine(e=n[1], f=n[2]).after(turn).after(Affine(e=-n[1], f=-n[2]))
        return turn
    if name == "skewx" and len(n) == 1:
        return Affine(c=tan(radians(n[0])))
    if name == "skewy" and len(n) == 1:
        return Affine(b=tan(radians(n[0])))
    if name == "translatex" and len(n) == 1:
        return Affine(e=n[0])
    if name == "translatey" and len(n) == 1:
        return Affine(f=n[0])
    if name == "scalex" and len(n) == 1:
        return Affine(a=n[0])
    if name == "scaley" and len(n) == 1:
        return Affine(d=n[0])
    raise BadNumber(
        say(
            "the transform '{text}' is not understood with so many numbers: {count}",
            text=named(name[:20]),
            count=len(n),
        )
    )


def view_box(text: str | None) -> tuple[float, float, float, float] | None:
    """Return (x, y, width, height) [user units] of a viewBox, None where it is missing or has no size."""
    if not text:
        return None
    numbers = parse_numbers(text)
    if len(numbers) != 4 or numbers[2] <= 0.0 or numbers[3] <= 0.0:
        return None
    return numbers[0], numbers[1], numbers[2], numbers[3]


def fit_view(box: tuple[float, float, float, float], width: float, height: float, ratio: str) -> Affine:
    """Return the move of a view box into a viewport at the origin [user units], by preserveAspectRatio."""
    x, y, w, h = box
    sx, sy = width / w, height / h
    words = ratio.split()
    align = next((word for word in words if word.startswith("x") or word == "none"), "xMidYMid")
    if align == "none":
        return Affine(sx, 0.0, 0.0, sy, -x * sx, -y * sy)
    s = max(sx, sy) if "slice" in words else min(sx, sy)
    share = {"Min": 0.0, "Mid": 0.5, "Max": 1.0}
    ax, ay = share.get(align[1:4], 0.5), share.get(align[5:8], 0.5)
    return Affine(s, 0.0, 0.0, s, ax * (width - w * s) - x * s, ay * (height - h * s) - y * s)
