"""Machine settings for a joint: read or interpolated from the makers' tables, or given in the job, with their heat."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import sqrt

from cutplan.errors import JobError
from cutplan.findings import Finding
from cutplan.pattern.wishes import Welding
from cutplan.tables.band import Band
from cutplan.tables.welding.efficiency import arc_efficiency
from cutplan.tables.welding.weld_settings import (
    SHORT_CIRCUIT_LIMIT_A,
    TABLES,
    TIG_GAS_L_PER_MIN,
    Range,
    SettingsRow,
    SettingsTable,
)
from cutplan.tables.welding.weld_sources import source_text
from cutplan.tables.welding.wire import gas_flow_l_per_min, wire_feed_mm_per_s
from cutplan.texts import Message, every, inch_or_mm, name, number, say, sourced, together
from cutplan.welding.heat.arc import arc_energy_J_per_mm, heat_input_J_per_mm


@dataclass(frozen=True, slots=True)
class Arc:
    """What the welder sets and how fast the torch goes, and the heat that follows.

    Parameters
    ----------
    current_A, voltage_V, speed_mm_per_s : Band
        Current [A], arc voltage [V], travel speed [mm/s].
    arc_energy_J_per_mm, heat_input_J_per_mm : Band
        Energy and net heat for each millimetre of bead [J/mm].
    """

    current_A: Band
    voltage_V: Band
    speed_mm_per_s: Band
    arc_energy_J_per_mm: Band
    heat_input_J_per_mm: Band


@dataclass(frozen=True, slots=True)
class FromTable:
    """What the table that the settings come from was made for.

    Parameters
    ----------
    gap_mm, leg_mm : tuple of float
        Root gap and fillet leg [mm].
    runs : int
        Runs.
    interpolated : bool
        Whether the row lies between two rows of the table.
    how : Message
        Where the numbers come from, in words.
    source : str
        Citation.
    """

    gap_mm: Range
    leg_mm: Range
    runs: int
    interpolated: bool
    how: Message
    source: Message | str


@dataclass(frozen=True, slots=True)
class Settings:
    """What the machine is set to, and the heat that follows.

    Parameters
    ----------
    process, gas, joint : str
        Process, shielding gas and joint that the table is for.
    thickness_mm : float
        Thickness that the settings are for: the thinner part [mm].
    wire_mm : float
        Wire or rod diameter [mm].
    feed_mm_per_s : float or None
        Wire feed speed [mm/s]; None for TIG.
    gas_l_per_min : float
        Gas flow [l/min].
    arc : Arc
        Current, voltage, speed and heat.
    table : FromTable
        What the table was made for.
    findings : tuple of Finding
        Limits left.
    """

    process: str
    gas: str
    joint: str
    thickness_mm: float
    wire_mm: float
    feed_mm_per_s: float | None
    gas_l_per_min: float
    arc: Arc
    table: FromTable
    findings: tuple[Finding, ...]


def find_table(process: str, joint: str, thickness_mm: float) -> SettingsTable:
    """Return the first table of a process and joint that reaches a thickness, else the one that comes nearest.

    Parameters
    ----------
    process : {"GMAW", "GTAW"}
        Process
    joint : {"butt", "fillet", "lap"}
        Joint; TIG butts use the TIG fillet table, there is no other
    thickness_mm : float
        Thickness of the thinner part [mm]

    Returns
    -------
    SettingsTable
        The table.

    Raises
    ------
    JobError
        For a process without a table.
    """
    wanted = [t for t in TABLES if t.process == process and (t.joint == joint or process == "GTAW")]
    if joint == "lap" and process == "GMAW":
        wanted += [t for t in TABLES if t.process == process and t.joint == "fillet"]
    if not wanted:
        raise JobError(
            say("no settings known for {process}", process=name(process)),
            where="welding.process",
            hint=say("use GMAW or GTAW"),
        )

    def short(t: SettingsTable) -> float:
        low, high = t.rows[0].thickness_mm, t.rows[-1].thickness_mm
        return max(0.0, low - thickness_mm, thickness_mm - high)

    return min(wanted, key=short)


def row_at(table: SettingsTable, thickness_mm: float) -> tuple[SettingsRow, str]:
    """Return a table's row for a thickness, interpolated between its neighbours, and how it was found.

    Parameters
    ----------
    table : SettingsTable
        Table with rows by rising thickness
    thickness_mm : float
        Thickness [mm]

    Returns
    -------
    (SettingsRow, str)
        Row, and ``read``, ``interpolated`` or ``outside``; outside its range the table's end row is held.
    """
    rows = table.rows
    for row in rows:
        if abs(row.thickness_mm - thickness_mm) <= 0.05:
            return row, "read"
    if thickness_mm < rows[0].thickness_mm:
        return rows[0], "outside"
    if thickness_mm > rows[-1].thickness_mm:
        return rows[-1], "outside"
    below = max((r for r in rows if r.thickness_mm < thickness_mm), key=lambda r: r.thickness_mm)
    above = min((r for r in rows if r.thickness_mm > thickness_mm), key=lambda r: r.thickness_mm)
    part = (thickness_mm - below.thickness_mm) / (above.thickness_mm - below.thickness_mm)

    def mix(a: Range, b: Range) -> Range:
        return (a[0] + part * (b[0] - a[0]), a[1] + part * (b[1] - a[1]))

    wires = tuple(w for w in below.wire_mm if w in above.wire_mm) or (below if part < 0.5 else above).wire_mm
    return (
        SettingsRow(
            thickness_mm,
            wires,
            mix(below.current_A, above.current_A),
            mix(below.voltage_V, above.voltage_V),
            mix(below.speed_cm_per_min, above.speed_cm_per_min),
            mix(below.gap_mm, above.gap_mm),
            mix(below.leg_mm, above.leg_mm),
            below.runs if part < 0.5 else above.runs,
        ),
        "interpolated",
    )


def settings_for(joint: str, thickness_mm: float, welding: Welding) -> Settings:
    """Return the settings for a joint: the job's own where given, the tables' elsewhere.

    Parameters
    ----------
    joint : {"butt", "lap"}
        Joint
    thickness_mm : float
        Thickness of the thinner part [mm]
    welding : Welding
        The job's wishes

    Returns
    -------
    Settings
        Settings with heat input; leaving the tables is a finding.
    """
    table = find_table(welding.process, joint, thickness_mm)
    row, how = row_at(table, thickness_mm)
    source = source_text(*table.sources)
    arc = _arc(row, welding, source)
    gmaw = welding.process == "GMAW"
    wire = welding.wire_mm or (0.9 if 0.9 in row.wire_mm else row.wire_mm[0])
    found = [_outside(row, thickness_mm)] if how == "outside" else []
    return Settings(
        welding.process,
        table.gas,
        joint,
        thickness_mm,
        wire,
        wire_feed_mm_per_s(arc.current_A.mid, wire) if gmaw else None,
        gas_flow_l_per_min(wire) if gmaw else _tig_gas(thickness_mm),
        arc,
        FromTable(
            row.gap_mm,
            row.leg_mm,
            row.runs,
            how == "interpolated",
            _given(welding, _how(table, row, how, joint, thickness_mm)),
            source,
        ),
        (*found, *_limits(table, welding.process, arc.current_A.mid)),
    )


def _how(table: SettingsTable, row: SettingsRow, how: str, joint: str, thickness_mm: float) -> Message:
    """Where a row comes from, in words."""
    if how == "interpolated":
        words = say(
            "interpolated between {below} and {above} of the table",
            below=inch_or_mm([r.thickness_mm for r in table.rows if r.thickness_mm < thickness_mm][-1], None),
            above=inch_or_mm(next(r.thickness_mm for r in table.rows if r.thickness_mm > thickness_mm), None),
        )
    elif how == "read":
        words = say("read in the table at {thickness}", thickness=inch_or_mm(row.thickness_mm, None))
    else:
        words = say(
            "held at the table's end, {end}: {thickness} is outside it",
            end=inch_or_mm(row.thickness_mm, None),
            thickness=inch_or_mm(thickness_mm, None),
        )
    if table.process == "GTAW" and joint == "butt":
        return together(words, say("the table is for fillets, used here for the butt"), sep="; ")
    return words


def _given(welding: Welding, how: Message) -> Message:
    """Where the settings come from, in words: what the job gives comes first."""
    given = [
        word
        for word, value in (
            (say("current"), welding.current_A),
            (say("voltage"), welding.voltage_V),
            (say("speed"), welding.speed_mm_per_s),
        )
        if value is not None
    ]
    if len(given) == 3:
        return say("{settings} given in the job", settings=every(given))
    if given:
        return say("{settings} given in the job; the rest {how}", settings=every(given), how=how)
    return how


def _outside(row: SettingsRow, thickness_mm: float) -> Finding:
    return Finding(
        "settings-outside-table",
        "warning",
        say(
            "no settings are published for {thickness}: those of {shown} are shown",
            thickness=inch_or_mm(thickness_mm, None),
            shown=inch_or_mm(row.thickness_mm, None),
        ),
        "welding",
        say("weld a trial piece and give current, voltage and speed in the job"),
    )


def _limits(table: SettingsTable, process: str, current_A: float) -> Iterator[Finding]:
    """What the settings do not hold for."""
    if process == "GMAW" and current_A >= SHORT_CIRCUIT_LIMIT_A:
        yield Finding(
            "not-short-circuit",
            "note",
            say("{current} is above short-circuit transfer", current=number(current_A, "A", 0)),
            "welding",
            say("a globular or spray arc is hotter and for flat position only"),
        )
    if table.gas == "CO2":
        yield Finding(
            "gas-co2",
            "note",
            say("the settings are for CO2 as shielding gas"),
            "welding",
            say("with argon mix start 1 to 2 V lower (common practice) and weld a trial piece"),
        )


def _arc(row: SettingsRow, welding: Welding, source: Message | str) -> Arc:
    """The arc of a row, with what the job gives in place of the row's."""
    current = _band(row.current_A, welding.current_A, 1.0, "A", source)
    voltage = _band(row.voltage_V, welding.voltage_V, 1.0, "V", source)
    speed = _band(row.speed_cm_per_min, welding.speed_mm_per_s, 10.0 / 60.0, "mm/s", source)
    energy = _energy(current, voltage, speed)
    return Arc(current, voltage, speed, energy, _heat(energy, welding.process))


def _band(table: Range, given: float | None, scale: float, unit: str, source: Message | str) -> Band:
    if given is not None:
        return Band(given, given, given, unit, say("given in the job"))
    low, high = table[0] * scale, table[1] * scale
    return Band(low, 0.5 * (low + high), high, unit, source)


def _energy(current: Band, voltage: Band, speed: Band) -> Band:
    """Arc energy; the three settings vary independently within their ranges, so half-widths add as squares."""
    middle = arc_energy_J_per_mm(voltage.mid, current.mid, speed.mid)
    width = sqrt(sum((0.5 * (b.high - b.low) / b.mid) ** 2 for b in (current, voltage, speed)))
    return Band(middle * (1.0 - width), middle, middle * (1.0 + width), "J/mm", "ISO/TR 18491, E = U I / v")


def _heat(energy: Band, process: str) -> Band:
    k = arc_efficiency(process)
    return Band(
        heat_input_J_per_mm(energy.low, k.low),
        heat_input_J_per_mm(energy.mid, k.mid),
        heat_input_J_per_mm(energy.high, k.high),
        "J/mm",
        say("q = k E, k {k}: {source}", k=number(k.mid), source=sourced(k.source)),
    )


def _tig_gas(thickness_mm: float) -> float:
    rows = TIG_GAS_L_PER_MIN
    return next((flow for t, flow in rows if thickness_mm <= t + 0.05), rows[-1][1])
