"""An SVG file as traces."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field

from cutplan.files.drawing_units import SvgScale
from cutplan.files.traces import Trace
from cutplan.findings import Finding


@dataclass(slots=True)
class SvgContent:
    """What an SVG file draws, in user units with the y axis up."""

    scale: SvgScale
    traces: list[Trace] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)
    left_aside: Counter[str] = field(default_factory=Counter)
    text_places: list[tuple[float, float]] = field(default_factory=list)


def looks_like_svg(data: bytes) -> bool:
    """Return whether the first bytes are those of an SVG document."""
    return False


def read_svg(data: bytes, wanted: frozenset[str] | None = None) -> SvgContent:
    raise NotImplementedError
