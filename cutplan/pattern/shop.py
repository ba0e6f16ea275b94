"""What this shop's printer, torch and welder really do: measured scale, kerf and shrinkage."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class PrinterScale:
    """Measured behaviour of one printer.

    ``x`` and ``y`` are measured length over nominal length (1.002 prints 0.2 % too long); ``skew_rad`` is the
    angle missing from square between the printed axes [rad]; ``reading_mm`` the reading error [mm] and
    ``length_mm`` the nominal length that was measured [mm].
    """

    name: str = "default"
    x: float = 1.0
    y: float = 1.0
    skew_rad: float = 0.0
    reading_mm: float = 0.25
    length_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class KerfMeasured:
    """A kerf measured on a trial piece [mm] for one process and thickness, per axis of the table.

    ``sure``: it lies outside the published range, and the user said that it is right.
    """

    process: str
    thickness_mm: float
    x_mm: float
    y_mm: float
    reading_mm: float = 0.05
    sure: bool = False

    @property
    def mean_mm(self) -> float:
        """Mean of both axes [mm]."""
        return 0.5 * (self.x_mm + self.y_mm)


@dataclass(frozen=True, slots=True)
class WeldMeasured:
    """What a welded trial piece showed for one process and thickness: factors on the formulas, with spread.

    ``shrink`` and ``angle`` multiply the middle prediction; ``shrink_spread`` and ``angle_spread`` are the
    relative half-widths of the narrowed bands.
    """

    process: str
    thickness_mm: float
    shrink: float = 1.0
    shrink_spread: float = 0.5
    angle: float = 1.0
    angle_spread: float = 1.0


@dataclass(frozen=True, slots=True)
class Shop:
    """The shop file as data; ``source`` names the file, or is empty when none was found."""

    source: str = ""
    name: str = ""
    printers: tuple[PrinterScale, ...] = ()
    kerfs: tuple[KerfMeasured, ...] = ()
    welds: tuple[WeldMeasured, ...] = ()

    def printer(self, name: str) -> PrinterScale:
        """Return the calibration of a printer, or the uncorrected one when it was never measured."""
        return next((p for p in self.printers if p.name == name), PrinterScale(name))

    def kerf(self, process: str, thickness_mm: float) -> KerfMeasured | None:
        """Return the kerf measured for a process at the same thickness (within 0.3 mm), or None."""
        near = [k for k in self.kerfs if k.process == process and abs(k.thickness_mm - thickness_mm) <= 0.3]
        return min(near, key=lambda k: abs(k.thickness_mm - thickness_mm)) if near else None

    def weld(self, process: str, thickness_mm: float) -> WeldMeasured | None:
        """Return the weld trial for a process at the same thickness (within 0.5 mm), or None."""
        near = [w for w in self.welds if w.process == process and abs(w.thickness_mm - thickness_mm) <= 0.5]
        return min(near, key=lambda w: abs(w.thickness_mm - thickness_mm)) if near else None
