"""The unit of a drawing: what its header says, weighed against what its numbers say, always with the reason."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from cutplan.files.reading_options import LENGTH_WIDTH, UNITS, UNITS_IN, UNITS_MM
from cutplan.files.traces import Trace
from cutplan.files.unit_evidence import (
    Numbers,
    decisive,
    hole_doubt,
    numbers_of,
    plausibility,
    rounded_share,
    size_doubt,
)
from cutplan.findings import Finding
from cutplan.texts import Message, code, every, mm, number, say, size
from cutplan.texts import name as named


@dataclass(frozen=True, slots=True)
class Units:
    """The unit of a drawing's numbers: name, size [mm], why it was believed, and whether anybody stated it.

    A unit is ``firm`` when the caller, the header or the size of the page states it and the numbers do not speak
    against it. One that only the numbers speak for is not: nothing is made from it before somebody confirms it.
    """

    name: str
    mm_per_unit: float
    reason: Message
    firm: bool = True


@dataclass(frozen=True, slots=True)
class Decision:
    """The unit decided on, with its findings."""

    units: Units
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class SvgScale:
    """What an SVG file says of its scale: millimetres per user unit, whether that is firm, other likely scales.

    ``trust`` is the gain in plausibility that another scale must bring before it is believed instead [-]; ``page_mm``
    the sides of a page that states its size but not how many user units it holds.
    """

    mm_per_unit: float
    firm: bool
    reason: Message
    others: tuple[tuple[str, float, Message], ...] = ()
    name: str = "px"
    trust: float = 2.0
    page_mm: tuple[float, ...] = ()


#: $INSUNITS of DXF: code to (name, millimetres), source: DXF reference, as listed in the project's reference notes.
INSUNITS: dict[int, tuple[str, float]] = {
    1: ("in", 25.4),
    2: ("ft", 304.8),
    3: ("mi", 1609344.0),
    4: ("mm", 1.0),
    5: ("cm", 10.0),
    6: ("m", 1000.0),
    7: ("km", 1e6),
    8: ("uin", 25.4e-6),
    9: ("mil", 0.0254),
    10: ("yd", 914.4),
    11: ("angstrom", 1e-7),
    12: ("nm", 1e-6),
    13: ("um", 0.001),
    14: ("dm", 100.0),
    15: ("dam", 1e4),
    16: ("hm", 1e5),
    17: ("Gm", 1e12),
    18: ("au", 1.495978707e14),
    19: ("ly", 9.4607304725808e18),
    20: ("pc", 3.0856775814913673e19),
    21: ("ft", 304.8006096012192),
    22: ("in", 25.400050800101603),
    23: ("yd", 914.4018288036576),
    24: ("mi", 1609347.2186944373),
}
SCALES = {"mm": 1.0, "in": 25.4}
#: Evidence must beat the header by this much to be believed against it where size or holes are absurd [-], by this
#: much where both are odd and the other unit makes both usual, and by this much to be spoken of.
_STRONG, _FIRM, _SPOKEN = 3.0, 2.0, 1.2
#: The metre is what some libraries write when nobody chose a unit: less is needed against it [-].
_UNCHOSEN = {"m": 1.0}
#: What a note in the drawing weighs that names its unit [-].
_NOTED = 2.0
_LONG = {
    "mm": say("millimetre"),
    "in": say("inch"),
    "cm": say("centimetre"),
    "m": say("metre"),
    "ft": say("foot"),
}
ASK_UNIT = say(
    "measure one length and state it, such as {length}, or state the unit with {in_mm} or {in_inch}",
    length=LENGTH_WIDTH,
    in_mm=UNITS_MM,
    in_inch=UNITS_IN,
)
_PAGE = say("{keys}", keys=code("width, height, viewBox"))


def decide_dxf(
    header: dict[str, str],
    traces: list[Trace],
    given: Literal["mm", "in"] | None,
    notes: Mapping[Literal["mm", "in"], str],
) -> Decision:
    """Return the unit of a DXF drawing from the caller, the header, or the numbers, in this order of trust.

    A header is overruled, with a warning, only when its unit makes the plate or its holes absurd and another does not.
    Without a header the unit that fits the numbers is shown, and asked for: a warning where nothing else could be
    meant or a note in the drawing names it (``notes``: unit to text), else an error.
    """
    numbers = numbers_of(traces)
    if given is not None:
        return _given(given, numbers)
    stated = INSUNITS.get(_whole(header.get("$INSUNITS", "0")))
    score = {name: plausibility(numbers, scale, inch=name == "in") for name, scale in SCALES.items()}
    best = max(score, key=lambda name: score[name])
    if stated is not None:
        name, scale = stated
        own = plausibility(numbers, scale, inch=name in ("in", "ft", "mil", "yd"))
        better = score[best] - own
        less = _UNCHOSEN.get(name, 0.0)
        if best != name and better >= _STRONG - less and _absurd(numbers, scale):
            return _overruled(name, best, numbers)
        if best != name and better >= _FIRM - less and _odd(numbers, scale) and _usual(numbers, SCALES[best]):
            return _overruled(name, best, numbers)
        unit = Units(name, scale, say("the header says {unit}", unit=_long(name)))
        if best != name and better >= _SPOKEN:
            return Decision(unit, (_questioned(unit, best, numbers),))
        return Decision(unit, (_note("units-from-header", _with_sizes(unit.reason, numbers, scale)),))
    return _from_numbers(header, numbers, score, notes if len(notes) == 1 else {})


def _from_numbers(
    header: dict[str, str], numbers: Numbers, score: dict[str, float], note: Mapping[Literal["mm", "in"], str]
) -> Decision:
    """Return the unit that fits the numbers best, asked for; millimetres where both fit."""
    lean = {"mm": 0.7, "in": 0.0}
    hints: list[Message] = []
    if header.get("$LUNITS") in ("3", "4"):
        lean["in"] += 1.0
        hints.append(say("lengths are shown in feet and inches"))
    if header.get("$MEASUREMENT") == "1":
        lean["mm"] += 0.5
        hints.append(say("metric line patterns"))
    elif header.get("$MEASUREMENT") == "0":
        lean["in"] += 0.3
        hints.append(say("inch line patterns"))
    for name, text in note.items():
        lean[name] += _NOTED
        hints.append(say("a note says '{text}'", text=named(text[:60])))
    total = {name: score[name] + lean[name] for name in score}
    best = max(total, key=lambda name: total[name])
    other = "in" if best == "mm" else "mm"
    scale = SCALES[best]
    reason = _usual_ones(numbers, scale, say("no unit in the file"), best)
    if hints:
        reason = say("{reason} ({hints})", reason=reason, hints=every(hints))
    noted = best in note and not _absurd(numbers, scale)
    unit = Units(best, scale, reason, firm=noted)
    if noted or decisive(numbers, scale, SCALES[other], inch=best == "in"):
        return Decision(unit, (Finding("units-from-numbers", "warning", _both(reason, numbers, best), "", ASK_UNIT),))
    return Decision(unit, (Finding("units-asked", "error", _both(reason, numbers, best), "", ASK_UNIT),))


def _both(reason: Message, numbers: Numbers, best: str) -> Message:
    """Return a guess with the size that the drawing has by it and by the other unit."""
    other = "in" if best == "mm" else "mm"
    return say(
        "{reading}; as {unit} it would be {size}",
        reading=_with_sizes(reason, numbers, SCALES[best]),
        unit=_long(other),
        size=size(numbers.width * SCALES[other], numbers.height * SCALES[other], digits=None),
    )


def _overruled(stated: str, best: str, numbers: Numbers) -> Decision:
    scale = SCALES[best]
    header = say(
        "the header says {unit}, but then the drawing would be {size} in size",
        unit=_long(stated),
        size=number(numbers.size * _scale_of(stated) / 1000.0, "m", digits=1),
    )
    reason = _usual_ones(numbers, scale, header, best)
    finding = Finding(
        "units-contradict-header",
        "warning",
        _with_sizes(reason, numbers, scale),
        say("{keys}", keys=code("$INSUNITS")),
        say("measured as {best}; state the unit with {units} if this is wrong", best=_long(best), units=UNITS),
    )
    return Decision(Units(best, scale, reason, firm=False), (finding,))


def _questioned(unit: Units, best: str, numbers: Numbers) -> Finding:
    """Return the warning for a header that is believed although another unit would fit the numbers better."""
    other = SCALES[best]
    return Finding(
        "units-questionable",
        "warning",
        say(
            "{reading}; as {unit} it would be {size}, which is more usual",
            reading=_with_sizes(unit.reason, numbers, unit.mm_per_unit),
            unit=_long(best),
            size=size(numbers.width * other, numbers.height * other, digits=None),
        ),
        say("{keys}", keys=code("$INSUNITS")),
        say("measure one length, and state the unit with {units} if the header is wrong", units=UNITS),
    )


def _odd(numbers: Numbers, scale: float) -> bool:
    """Return whether both the size and the holes are odd at a scale."""
    return size_doubt(numbers.size * scale) <= -0.25 and hole_doubt(numbers, scale) <= -0.4


def _usual(numbers: Numbers, scale: float) -> bool:
    """Return whether both the size and the holes are usual at a scale."""
    return size_doubt(numbers.size * scale) == 0.0 and hole_doubt(numbers, scale) == 0.0


def _scale_of(name: str) -> float:
    return next(scale for n, scale in INSUNITS.values() if n == name)


def _absurd(numbers: Numbers, scale: float) -> bool:
    """Return whether a scale makes the drawing, or its holes, a size that plates of the trade do not have."""
    return size_doubt(numbers.size * scale) <= -0.5 or hole_doubt(numbers, scale) <= -0.4


def _given(given: Literal["mm", "in"], numbers: Numbers) -> Decision:
    unit = Units(given, SCALES[given], say("stated by the caller"))
    stated = say("the unit was stated: {unit}", unit=_long(given))
    return Decision(unit, (_note("units-given", _with_sizes(stated, numbers, unit.mm_per_unit)),))


def decide_svg(scale: SvgScale, traces: list[Trace], given: Literal["mm", "in"] | None) -> Decision:
    """Return the unit of an SVG drawing: its stated size where it has one, else the likeliest scale, asked for.

    Pixels are a warning where a resolution that programs use makes every length a round one and no other does.
    """
    numbers = numbers_of(traces)
    if given is not None:
        return _given(given, numbers)
    if scale.firm or _fills_its_page(scale, numbers):
        unit = Units(scale.name, scale.mm_per_unit, scale.reason)
        return Decision(unit, (_note("units-from-size", _with_sizes(scale.reason, numbers, scale.mm_per_unit)),))
    base = plausibility(numbers, scale.mm_per_unit, inch=False)
    best, gain = (scale.name, scale.mm_per_unit, scale.reason), 0.0
    for name, other, why in scale.others:
        better = plausibility(numbers, other, inch=name == "in") - base
        if better > gain + 1e-9:
            best, gain = (name, other, why), better
    reason = scale.reason
    believed, kind = scale.mm_per_unit, "units-asked"
    if gain >= scale.trust:
        reason = say(
            "{stated}, but with {other} the numbers are round and of the usual size", stated=scale.reason, other=best[2]
        )
        believed, kind = best[1], "units-contradict-header"
    name = best[0] if kind == "units-contradict-header" else scale.name
    unit = Units(name, believed, reason, firm=False)
    rivals = [mm_ for _, mm_, _ in scale.others] + [scale.mm_per_unit]
    told = _with_sizes(reason, numbers, believed)
    if believed != 1.0 and _round_only_here(numbers, believed, rivals):
        return Decision(unit, (Finding("units-from-numbers", "warning", told, _PAGE, ASK_UNIT),))
    return Decision(unit, (Finding(kind, "error", told, _PAGE, ASK_UNIT),))


def _fills_its_page(scale: SvgScale, numbers: Numbers) -> bool:
    """Return whether a drawing on a page of stated size fits it with the pixels of the standard, and with no other."""
    if not scale.page_mm:
        return False
    reach = max(numbers.width, numbers.height) * scale.mm_per_unit / max(scale.page_mm)
    return 0.4 <= reach <= 1.02


def _round_only_here(numbers: Numbers, scale: float, rivals: list[float]) -> bool:
    """Return whether the lengths of a drawing are round at one scale and at no other."""
    share, count = rounded_share(numbers, scale, inch=False)
    others = [rounded_share(numbers, r, inch=False)[0] for r in rivals if abs(r / scale - 1.0) > 1e-6]
    return count >= 4 and share >= 0.8 and max(others, default=0.0) <= 0.4 and size_doubt(numbers.size * scale) > -0.5


def scaled(decision: Decision, factor: float, stated: Message) -> Decision:
    """Return the unit that one known length of the drawing gives: the usual one nearby, else exactly that scale.

    Parameters
    ----------
    decision : Decision
        What the drawing itself said.
    factor : float
        Known length by the length read with the unit decided on [-].
    stated : Message
        What was stated.
    """
    wanted = decision.units.mm_per_unit * factor
    known = [("mm", 1.0), ("in", 25.4), ("cm", 10.0), ("m", 1000.0), ("ft", 304.8)]
    known += [("px", 25.4 / dpi) for dpi in (72.0, 90.0, 96.0)]
    name, scale = min(known, key=lambda k: abs(k[1] / wanted - 1.0))
    if abs(scale / wanted - 1.0) > 0.01:
        name, scale = "units", wanted
    unit = Units(name, scale, stated)
    message = say("{stated}: a unit of the drawing is {size}", stated=stated, size=mm(scale, None))
    against = decision.units.firm and abs(scale / decision.units.mm_per_unit - 1.0) > 0.01
    if name == "units" or against:
        told = say("{message}; the drawing itself says {unit}", message=message, unit=_long(decision.units.name))
        return Decision(unit, (Finding("units-from-length", "warning", told, "", say("measure a second length")),))
    return Decision(unit, (_note("units-from-length", message),))


def _note(kind: str, message: Message) -> Finding:
    return Finding(kind, "note", message)


def _long(name: str) -> Message:
    return _LONG[name] if name in _LONG else say("{unit}", unit=named(name))


def _with_sizes(reason: Message, numbers: Numbers, scale: float) -> Message:
    over_all = size(numbers.width * scale, numbers.height * scale, digits=None)
    return say("{reason}: {size} over all", reason=reason, size=over_all)


def _usual_ones(numbers: Numbers, scale: float, why: Message, unit: str) -> Message:
    """Return why a unit was believed: with it, sizes and holes are the usual ones."""
    if not numbers.diameters:
        return say("{why}; as {unit} its sizes are the usual ones", why=why, unit=_long(unit))
    holes = every(mm(d * scale, None) for d in numbers.diameters[:4])
    return say(
        "{why}; as {unit} its sizes and holes ({holes}) are the usual ones", why=why, unit=_long(unit), holes=holes
    )


def _whole(text: str) -> int:
    try:
        return int(float(text))
    except (ValueError, OverflowError):
        return 0
