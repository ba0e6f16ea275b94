"""Lengths at the door: what people write becomes millimetres, and millimetres become what people read."""

from __future__ import annotations

import math
import re
from fractions import Fraction
from typing import Literal

from cutplan.errors import CutplanError

UnitName = Literal["mm", "in"]

#: Millimetres in one inch, exact by definition (ISO 31-1 / international yard and pound agreement of 1959).
MM_PER_INCH = 25.4
LITRES_PER_CUBIC_FOOT = (12.0 * MM_PER_INCH / 100.0) ** 3  # exact: 28.3 l
#: Points of 1/72 inch in one millimetre (ISO 32000-1, 8.3.2.3: default user space unit).
POINTS_PER_MM = 72.0 / MM_PER_INCH
#: Millimetres in one of each unit a length may be written in.
_EXACT_MM = {
    "mm": Fraction(1),
    "cm": Fraction(10),
    "m": Fraction(1000),
    "in": Fraction(127, 5),
    "ft": Fraction(1524, 5),
}
MM_PER = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": MM_PER_INCH, "ft": 12.0 * MM_PER_INCH}

_ALIASES = {
    "": "",
    "mm": "mm",
    "cm": "cm",
    "m": "m",
    "in": "in",
    "inch": "in",
    "inches": "in",
    '"': "in",
    "″": "in",
    "ft": "ft",
    "'": "ft",
    "′": "ft",
    "foot": "ft",
    "feet": "ft",
}
_NUMBER = re.compile(
    r"""^\s*(?P<sign>[-+]?)\s*
    (?:(?P<whole>\d{1,9})\s*[-\s]\s*(?P<num>\d{1,9})\s*/\s*(?P<den>\d{1,9})   # 1 1/2 or 1-1/2
      |(?P<num2>\d{1,9})\s*/\s*(?P<den2>\d{1,9})                          # 3/16
      |(?P<dec>(?:\d{1,18}(?:[.,]\d{0,18})?|[.,]\d{1,18})(?:[eE][-+]?\d{1,2})?)      # 38 or 38.1 or 38,1
    )\s*(?P<unit>[a-zA-Z"'″′]*)\s*$""",
    re.VERBOSE,
)
_FEET_AND_INCHES = re.compile(r"""^\s*(?P<feet>[^'′]+?)\s*(?:ft|'|′)\s*(?P<rest>\d.*)$""")


def parse_length(value: str | float | int, unit: UnitName = "mm", where: str = "") -> float:
    """Return a length in millimetres from a number or a written length.

    Parameters
    ----------
    value : str, float or int
        A plain number is in ``unit`` [mm or in]; a string may carry its own: ``"38 mm"``, ``"1 1/2 in"``,
        ``'3/16"'``, ``"2 ft"``.
    unit : {"mm", "in"}
        Unit of numbers that carry none.
    where : str
        Key path for the error.

    Returns
    -------
    float
        Length [mm]; finite, any sign.

    Raises
    ------
    CutplanError
        When the text is no length, a denominator is zero, or the number is not finite.
    """
    if isinstance(value, bool) or not isinstance(value, (str, int, float)):
        raise _no_length(value, where)
    if not isinstance(value, str):
        return _scaled(Fraction(value) if math.isfinite(value) else math.inf, unit, value, where)
    feet = _FEET_AND_INCHES.match(value)
    if feet:
        return parse_length(feet["feet"] + " ft", unit, where) + parse_length(
            feet["rest"] if re.search(r"[a-zA-Z\"″]\s*$", feet["rest"]) else feet["rest"] + " in", unit, where
        )
    match = _NUMBER.match(value)
    name = _ALIASES.get(match["unit"].lower()) if match else None
    if match is None or name is None:
        raise _no_length(value, where)
    try:
        if match["dec"]:
            number = Fraction(match["dec"].replace(",", "."))
        elif match["whole"]:
            number = int(match["whole"]) + Fraction(int(match["num"]), int(match["den"]))
        else:
            number = Fraction(int(match["num2"]), int(match["den2"]))
    except ZeroDivisionError:
        raise _no_length(value, where) from None
    if not match["dec"] and (name or unit) == "mm":
        raise _fraction_of_mm(value, where)
    if match["sign"] == "-":
        number = -number
    return _scaled(number, name or unit, value, where)


def _no_length(value: object, where: str) -> CutplanError:
    from cutplan.texts import name, say

    hint = say('write a number or a text such as "38 mm", "1 1/2 in" or "3/16 in"')
    return CutplanError(say("{value} is not a length", value=name(repr(value)[:60])), where, hint)


def _fraction_of_mm(value: str, where: str) -> CutplanError:
    from cutplan.texts import code, name, say

    inches = code(f'"{value.strip().removesuffix("mm").strip()} in"')
    return CutplanError(
        say("{value} is a fraction, and fractions are of an inch", value=name(repr(value)[:60])),
        where,
        say("write {inches}, or the millimetres as a decimal", inches=inches),
    )


def _scaled(number: Fraction | float, unit: str, value: object, where: str) -> float:
    """Return a number of some unit in millimetres, rounded once."""
    try:
        mm = float(number * _EXACT_MM[unit])
    except OverflowError:
        mm = math.inf
    if not math.isfinite(mm):
        from cutplan.texts import name, say

        what = say("{value} is not a finite length", value=name(repr(value)[:60]))
        raise CutplanError(what, where, say("write a plain number"))
    return mm


def format_length(mm: float, display: UnitName = "mm", digits: int = 1) -> str:
    """Return a length for people: ``"38.1 mm"``, or for an inch shop ``"1 1/2 in (38.1 mm)"``.

    Parameters
    ----------
    mm : float
        Length [mm].
    display : {"mm", "in"}
        ``"in"`` shows inches as :func:`inch_text` writes them, with the millimetre beside it.
    digits : int
        Decimals of the millimetre.
    """
    metric = f"{mm:.{digits}f} mm"
    if display == "mm":
        return metric
    return f"{inch_text(mm)} in ({metric})"


def format_feed(mm_per_s: float, display: UnitName = "mm") -> str:
    """Return a wire feed as the machine is set: ``"4.6 m/min"``, or for an inch shop ``"181 in/min (4.6 m/min)"``.

    Parameters
    ----------
    mm_per_s : float
        Feed [mm/s].
    display : {"mm", "in"}
        Units of the shop.
    """
    metric = f"{mm_per_s * 0.06:.1f} m/min"
    return f"{mm_per_s * 60.0 / MM_PER_INCH:.0f} in/min ({metric})" if display == "in" else metric


def format_travel(mm_per_s: float, display: UnitName = "mm") -> str:
    """Return a travel speed by the minute: ``"50 cm/min"``, or for an inch shop ``"20 in/min"``.

    Parameters
    ----------
    mm_per_s : float
        Speed [mm/s].
    display : {"mm", "in"}
        Units of the shop.
    """
    return f"{mm_per_s * 60.0 / MM_PER_INCH:.0f} in/min" if display == "in" else f"{mm_per_s * 6.0:.0f} cm/min"


def format_gas(l_per_min: float, display: UnitName = "mm") -> str:
    """Return a gas flow: ``"9 l/min"``, or for an inch shop ``"19 ft³/h (9 l/min)"``.

    Parameters
    ----------
    l_per_min : float
        Flow [l/min].
    display : {"mm", "in"}
        Units of the shop.
    """
    metric = f"{l_per_min:.0f} l/min"
    return f"{l_per_min * 60.0 / LITRES_PER_CUBIC_FOOT:.0f} ft³/h ({metric})" if display == "in" else metric


def inch_fraction(mm: float) -> str:
    """Return the nearest 1/64 inch as a whole number and a reduced fraction, such as ``1 1/2``."""
    sixty_fourths = round(abs(mm) / MM_PER_INCH * 64)
    sign = "-" if mm < 0 and sixty_fourths else ""
    whole, rest = divmod(sixty_fourths, 64)
    if rest == 0:
        return f"{sign}{whole}"
    part = Fraction(rest, 64)
    text = f"{part.numerator}/{part.denominator}"
    return f"{sign}{whole} {text}" if whole else f"{sign}{text}"


#: Below this a length is read with caliper, feeler or dial, not with a tape [mm]: an eighth of an inch.
_TAPE_MM = MM_PER_INCH / 8.0
#: A fraction stands for a small length where it is so close to it [1]: no more than the last digit of its millimetres.
_CLOSE = 0.015


def inch_text(mm: float) -> str:
    """Return a length in inches for people: a fraction of the tape, or thousandths where a fraction would tell it wrong.

    Half a millimetre is no 1/64 inch but 0.020; what is smaller than half a thousandth keeps its first figure.
    """
    inches = abs(mm) / MM_PER_INCH
    off = abs(round(inches * 64.0) / 64.0 - inches)
    if abs(mm) >= _TAPE_MM or off <= _CLOSE * inches:
        return inch_fraction(mm)
    digits = 3 if inches >= 0.0005 else min(-math.floor(math.log10(inches)), 9)
    text = f"{inches:.{digits}f}"
    if not float(text):  # what a computer leaves of nought
        return "0"
    return f"-{text}" if mm < 0 else text
