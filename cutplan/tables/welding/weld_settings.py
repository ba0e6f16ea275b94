"""Machine settings by thickness: makers' reference tables for GMAW and GTAW on carbon steel."""

from __future__ import annotations

from dataclasses import dataclass

Range = tuple[float, float]


@dataclass(frozen=True, slots=True)
class SettingsRow:
    """One row of a maker's table.

    Parameters
    ----------
    thickness_mm : float
        Thickness of the parts [mm].
    wire_mm : tuple of float
        Wire or rod diameters [mm].
    current_A, voltage_V : tuple of float
        Lowest and highest current [A] and arc voltage [V].
    speed_cm_per_min : tuple of float
        Lowest and highest travel speed [cm/min], the unit of the tables.
    gap_mm : tuple of float
        Lowest and highest root gap [mm], zero for fillets.
    leg_mm : tuple of float
        Lowest and highest fillet leg [mm], zero for butts.
    runs : int
        Number of runs that the row is given for.
    """

    thickness_mm: float
    wire_mm: tuple[float, ...]
    current_A: Range
    voltage_V: Range
    speed_cm_per_min: Range
    gap_mm: Range = (0.0, 0.0)
    leg_mm: Range = (0.0, 0.0)
    runs: int = 1


@dataclass(frozen=True, slots=True)
class SettingsTable:
    """A maker's table for one process, gas and joint.

    Parameters
    ----------
    process : {"GMAW", "GTAW"}
        Process.
    gas : {"mix", "CO2", "argon"}
        Shielding gas: argon with CO2, CO2, or argon.
    joint : {"butt", "fillet", "lap"}
        Joint.
    sources : tuple of str
        Keys of ``weld_sources.SOURCES``.
    rows : tuple of SettingsRow
        Rows by rising thickness.
    """

    process: str
    gas: str
    joint: str
    sources: tuple[str, ...]
    rows: tuple[SettingsRow, ...]


_FINE, _MID, _ALL, _BIG = (0.8, 0.9, 1.0), (0.9, 1.0), (0.9, 1.0, 1.2), (1.2,)

_MIX_BUTT = SettingsTable(
    "GMAW",
    "mix",
    "butt",
    ("maker-mag-butt",),
    (
        SettingsRow(1.2, _FINE, (60, 70), (14, 16), (30, 50), (0.0, 0.0)),
        SettingsRow(1.6, _FINE, (100, 110), (16, 17), (40, 60), (0.0, 0.0)),
        SettingsRow(2.3, _ALL, (110, 120), (17, 18), (30, 40), (0.0, 1.0)),
        SettingsRow(3.2, _ALL, (120, 140), (17, 19), (25, 30), (1.0, 1.5)),
        SettingsRow(4.0, _ALL, (150, 170), (18, 21), (25, 40), (1.5, 2.0)),
    ),
)
_CO2_BUTT = SettingsTable(
    "GMAW",
    "CO2",
    "butt",
    ("maker-co2-butt",),
    (
        SettingsRow(2.0, _MID, (100, 110), (19, 20), (50, 55), (0.0, 0.5)),
        SettingsRow(2.3, _ALL, (110, 130), (19, 20), (50, 55), (0.5, 1.0)),
        SettingsRow(3.2, _ALL, (130, 150), (19, 21), (40, 50), (1.0, 1.2)),
        SettingsRow(4.5, _BIG, (150, 170), (21, 23), (40, 50), (1.2, 1.5)),
        SettingsRow(6.0, _BIG, (220, 260), (24, 26), (40, 50), (1.2, 1.5), runs=2),
    ),
)
_CO2_FILLET = SettingsTable(
    "GMAW",
    "CO2",
    "fillet",
    ("maker-co2-fillet",),
    (
        SettingsRow(1.6, _ALL, (90, 120), (18, 20), (50, 60), leg_mm=(2.5, 3.0)),
        SettingsRow(2.0, _ALL, (100, 130), (19, 20), (50, 60), leg_mm=(3.0, 3.5)),
        SettingsRow(2.3, _ALL, (120, 140), (19, 21), (50, 60), leg_mm=(3.0, 3.5)),
        SettingsRow(3.2, _ALL, (130, 170), (19, 21), (45, 55), leg_mm=(3.0, 4.0)),
        SettingsRow(4.5, _BIG, (190, 230), (22, 24), (45, 55), leg_mm=(4.0, 4.5)),
        SettingsRow(6.0, _BIG, (250, 280), (26, 29), (40, 50), leg_mm=(5.0, 6.0)),
    ),
)
_CO2_LAP = SettingsTable(
    "GMAW",
    "CO2",
    "lap",
    ("maker-co2-lap",),
    (
        SettingsRow(2.0, _ALL, (100, 130), (18, 20), (45, 55), leg_mm=(2.0, 2.0)),
        SettingsRow(2.3, _ALL, (120, 140), (19, 21), (45, 50), leg_mm=(2.3, 2.3)),
        SettingsRow(3.2, _ALL, (130, 160), (19, 22), (45, 50), leg_mm=(3.2, 3.2)),
        SettingsRow(4.5, _BIG, (150, 200), (21, 24), (40, 45), leg_mm=(4.5, 4.5)),
    ),
)
_MIX_FILLET = SettingsTable(
    "GMAW",
    "mix",
    "fillet",
    ("maker-mag-fillet",),
    (
        SettingsRow(2.4, _ALL, (115, 125), (19.5, 20), (50, 60), leg_mm=(3.5, 3.5)),
        SettingsRow(3.2, _ALL, (130, 140), (19.5, 21), (50, 60), leg_mm=(4.0, 4.0)),
    ),
)
#: Current and rod read in the table; voltage from the standard's load line, speed from memory (see sources).
_TIG_FILLET = SettingsTable(
    "GTAW",
    "argon",
    "fillet",
    ("tig-fillet", "iec-60974", "tig-speed"),
    (
        SettingsRow(1.6, (1.6,), (50, 70), (10.0, 13.0), (10, 15), leg_mm=(1.6, 2.5)),
        SettingsRow(3.2, (2.4,), (90, 120), (12.0, 15.0), (9, 13), leg_mm=(3.2, 4.0)),
        SettingsRow(4.8, (3.2,), (135, 175), (14.0, 17.0), (8, 12), leg_mm=(4.0, 5.0)),
        SettingsRow(6.0, (4.0, 4.8), (170, 200), (15.0, 18.0), (8, 11), leg_mm=(5.0, 6.0)),
    ),
)

TABLES: tuple[SettingsTable, ...] = (
    _MIX_BUTT,
    _CO2_BUTT,
    _CO2_LAP,
    _CO2_FILLET,
    _MIX_FILLET,
    _TIG_FILLET,
)
"""Every table, in the order in which a match is sought."""

#: Above this current short-circuit transfer is left [A]; from memory of the reference tables' own note.
SHORT_CIRCUIT_LIMIT_A = 220.0
#: Thickest square edges for short arc from one side [mm] (ISO 9692-1, from memory; one maker goes to 4.8).
SQUARE_LIMIT_MM = 4.0
#: Shielding gas flow of TIG on carbon steel by thickness [mm] -> [l/min], read in the TIG table.
TIG_GAS_L_PER_MIN: tuple[tuple[float, float], ...] = ((1.6, 5.0), (3.2, 5.0), (4.8, 6.0), (6.0, 7.0))
