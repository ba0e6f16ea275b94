"""A predicted number: low, middle and high, with its unit and where it comes from."""

from __future__ import annotations

from dataclasses import dataclass

from cutplan.errors import CutplanError
from cutplan.texts import Message

#: Share of its numbers by which a bound may pass the middle from rounding alone [1].
ROUNDING = 1e-12


@dataclass(frozen=True, slots=True)
class Band:
    """A prediction that says how sure it is.

    Parameters
    ----------
    low, mid, high : float
        Lower bound, middle and upper bound [unit]; low <= mid <= high, but for the last digit, which is mended.
    unit : str
        Unit of the three numbers, such as ``mm``, ``deg`` or ``N``; ``1`` for a ratio.
    source : str or Message
        Formula, table or reasoning that gave them.
    """

    low: float
    mid: float
    high: float
    unit: str
    source: Message | str

    def __post_init__(self) -> None:
        slack = ROUNDING * max(abs(self.low), abs(self.mid), abs(self.high))
        if not self.low - slack <= self.mid <= self.high + slack:
            raise CutplanError(
                f"band is not in order: {self.low:g}, {self.mid:g}, {self.high:g} {self.unit}",
                where=self.source,
                hint="low must not exceed mid, mid must not exceed high",
            )
        # two ways to one number differ in its last digit: such a bound is the middle
        object.__setattr__(self, "low", min(self.low, self.mid))
        object.__setattr__(self, "high", max(self.high, self.mid))

    def times(self, factor: float, unit: str | None = None, source: Message | str | None = None) -> Band:
        """Return the band multiplied by a factor >= 0 [1], with a new unit or source where given."""
        return Band(self.low * factor, self.mid * factor, self.high * factor, unit or self.unit, source or self.source)

    def within(self, lowest: float, highest: float) -> Band:
        """Return the band with each of its numbers held between two limits [unit]."""
        low, mid, high = (min(max(v, lowest), highest) for v in (self.low, self.mid, self.high))
        return Band(low, mid, high, self.unit, self.source)

    def text(self, digits: int = 2) -> str:
        """Return ``mid unit (low to high)`` with a number of digits after the point."""
        unit = "" if self.unit == "1" else f" {self.unit}"
        return f"{self.mid:.{digits}f}{unit} ({self.low:.{digits}f} to {self.high:.{digits}f})"

    def as_dict(self) -> dict[str, float | str]:
        """Return the band as plain data for ``--json``."""
        return {"low": self.low, "mid": self.mid, "high": self.high, "unit": self.unit, "source": str(self.source)}


def spread(values: tuple[float, ...], unit: str, source: Message | str, mid: float | None = None) -> Band:
    """Return the band of rival values [unit]: the least, a middle (the median unless given), the largest."""
    ordered = sorted(values)
    if mid is None:
        half = len(ordered) // 2
        mid = ordered[half] if len(ordered) % 2 else 0.5 * (ordered[half - 1] + ordered[half])
    return Band(min(ordered[0], mid), mid, max(ordered[-1], mid), unit, source)
