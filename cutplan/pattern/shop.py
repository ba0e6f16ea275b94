"""What this shop's printer, torch and welder really do: measured scale, kerf and shrinkage."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise


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
class HolesMeasured:
    """Kerf [mm] and taper [deg] of small holes by their diameter [mm], for one process and thickness.

    A taper above zero is wider at the top.
    """

    process: str
    thickness_mm: float
    diameters_mm: tuple[float, ...]
    kerfs_mm: tuple[float, ...]
    tapers_deg: tuple[float, ...]
    reading_mm: float = 0.05

    def kerf_at(self, diameter_mm: float) -> float | None:
        """Return the kerf of a hole [mm], interpolated by diameter [mm]; None well beyond what was measured."""
        return self._at(diameter_mm, self.kerfs_mm)

    def taper_at(self, diameter_mm: float) -> float | None:
        """Return the taper of a hole [deg], interpolated by diameter [mm]; None well beyond what was measured."""
        return self._at(diameter_mm, self.tapers_deg)

    def _at(self, diameter_mm: float, measured: tuple[float, ...]) -> float | None:
        rows = sorted(zip(self.diameters_mm, measured, strict=True))
        if not rows or not 0.75 * rows[0][0] <= diameter_mm <= 1.25 * rows[-1][0]:
            return None
        if diameter_mm <= rows[0][0]:
            return rows[0][1]
        for (d0, k0), (d1, k1) in pairwise(rows):
            if diameter_mm <= d1:
                return k0 + (k1 - k0) * (diameter_mm - d0) / (d1 - d0)
        return rows[-1][1]


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
    holes: tuple[HolesMeasured, ...] = ()

    def printer(self, name: str) -> PrinterScale:
        """Return the calibration of a printer, or the uncorrected one when it was never measured."""
        return next((p for p in self.printers if p.name == name), PrinterScale(name))

    def kerf(self, process: str, thickness_mm: float) -> KerfMeasured | None:
        """Return the kerf measured for a process at the same thickness (within 0.3 mm), or None."""
        near = [k for k in self.kerfs if k.process == process and abs(k.thickness_mm - thickness_mm) <= 0.3]
        return min(near, key=lambda k: abs(k.thickness_mm - thickness_mm)) if near else None

    def hole_kerf(self, process: str, thickness_mm: float, diameter_mm: float) -> float | None:
        """Return the kerf measured in small holes of about a diameter [mm] at the same thickness, or None."""
        best = self.hole_trial(process, thickness_mm)
        return best.kerf_at(diameter_mm) if best else None

    def hole_taper(self, process: str, thickness_mm: float, diameter_mm: float) -> float | None:
        """Return the taper measured in holes of about a diameter [mm] at the same thickness [deg], or None."""
        best = self.hole_trial(process, thickness_mm)
        return best.taper_at(diameter_mm) if best else None

    def hole_trial(self, process: str, thickness_mm: float) -> HolesMeasured | None:
        """Return what small holes showed for a process at the same thickness (within 0.3 mm), or None."""
        near = [h for h in self.holes if h.process == process and abs(h.thickness_mm - thickness_mm) <= 0.3]
        return min(near, key=lambda h: abs(h.thickness_mm - thickness_mm)) if near else None

    def weld(self, process: str, thickness_mm: float) -> WeldMeasured | None:
        """Return the weld trial for a process at the same thickness (within 0.5 mm), or None."""
        near = [w for w in self.welds if w.process == process and abs(w.thickness_mm - thickness_mm) <= 0.5]
        return min(near, key=lambda w: abs(w.thickness_mm - thickness_mm)) if near else None
