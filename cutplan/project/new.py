"""A commented job file to start from, filled in from a drawing where one is given."""

from __future__ import annotations

import shutil
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from cutplan.errors import DrawingError, OutputError
from cutplan.files.job.plate import BOLT_HOLE_UP_TO_MM, SAME_DIAMETER_MM
from cutplan.files.job.shop import quoted
from cutplan.findings import errors
from cutplan.pattern.wishes import CUT_PROCESSES
from cutplan.project.folder.write import write_file
from cutplan.tables.paper import offered
from cutplan.texts import name as named
from cutplan.texts import say
from cutplan.units import MM_PER, MM_PER_INCH, inch_fraction

if TYPE_CHECKING:
    from cutplan.files.drawing_in import Drawing
    from cutplan.files.known_length import Known


@dataclass(frozen=True, slots=True)
class Wanted:
    """What ``cutplan new`` was told: title, units of the job file, joint, thicknesses [mm], study, a known length; None: a stated default."""

    title: str | None = None
    units: Literal["mm", "in"] | None = None
    joint: Literal["butt", "lap"] = "butt"
    thickness_mm: float | None = None
    skin_mm: float | None = None
    paper: str = "A4"
    study: Path | None = None
    length: Known | None = None
    frame: Literal["plate", "border"] | None = None


@dataclass(frozen=True, slots=True)
class NewJob:
    """The text of the job file, and the drawing to copy beside it (None when it is there already)."""

    text: str
    copy_from: Path | None
    drawing_name: str
    reading: Drawing | None = None

    @property
    def picture_name(self) -> str:
        """File name of the picture of the reading; empty without a drawing."""
        return f"{Path(self.drawing_name).stem}-reading.png" if self.reading is not None else ""


def new_job(target: Path, drawing: Path | None, wanted: Wanted) -> NewJob:
    """Return a job file that `cutplan make` takes as it is.

    Parameters
    ----------
    target : Path
        Where the job file will stand.
    drawing : Path or None
        A drawing to read; without one a typed rectangle is written.
    wanted : Wanted
        Answers given on the command line.

    Raises
    ------
    DrawingError
        When the drawing cannot be read as one or more exact plates.
    """
    units = wanted.units or "mm"
    plate: list[str] = []
    read: Drawing | None = None
    copy_from, name = None, ""
    if drawing is not None:
        from cutplan.files.drawing_in import read_drawing

        read = read_drawing(drawing, units=wanted.units, length=wanted.length, frame=wanted.frame)
        bad = errors(read.findings)
        if bad:
            raise DrawingError(bad[0].message, f"{drawing.name}, {bad[0].where}", bad[0].fix)
        if not read.units.firm:
            raise DrawingError(
                say("the drawing does not state its unit: {why}", why=read.units.reason),
                drawing.name,
                say(
                    "measure one length and state it, such as --length width=150, or state the unit with --units mm or --units in"
                ),
            )
        name = drawing.name
        if drawing.resolve().parent != target.resolve().parent:
            copy_from = drawing
        units = wanted.units or ("in" if read.units.mm_per_unit == MM_PER["in"] else "mm")
        plate = _from_drawing(name, read, units, wanted)
    text = _text(target, wanted, units, plate)
    if drawing is not None:
        from cutplan.project.new_traced import with_traced

        text = with_traced(text, drawing)
    if wanted.study is not None:
        from cutplan.project.new_moved import with_study

        text = with_study(text, (drawing or target).parent, wanted.study)
    return NewJob(text, copy_from, name, read)


def write_new_job(target: Path, drawing: Path | None, wanted: Wanted) -> NewJob:
    """Write the job file (and copies of drawing and study beside it); nothing that exists is overwritten.

    Raises
    ------
    OutputError
        When the job file, or another file of the drawing's name, is there already.
    """
    if target.exists():
        raise OutputError(
            say("the job file is there already"), str(target), say("choose another name, or move the old one away")
        )
    job = new_job(target, drawing, wanted)
    if wanted.study is not None:
        from cutplan.project.new_moved import copy_study

        copy_study(wanted.study, target.parent)
    if job.copy_from is not None:
        copy = target.parent / job.drawing_name
        if copy.exists() and copy.read_bytes() != job.copy_from.read_bytes():
            raise OutputError(
                say("another file of the drawing's name is there already"),
                str(copy),
                say("rename one of the two drawings"),
            )
        target.parent.mkdir(parents=True, exist_ok=True)
        try:
            shutil.copyfile(job.copy_from, copy)
        except OSError as error:
            raise OutputError(
                say("the drawing could not be copied ({reason})", reason=named(error.strerror or str(error))),
                str(copy),
                say("copy it by hand"),
            ) from None
        from cutplan.project.new_traced import copy_traced

        copy_traced(job.copy_from, target.parent)
    write_file(target, job.text.encode())
    picture = target.parent / job.picture_name
    if job.reading is not None and not picture.exists():
        from cutplan.report.reading_picture import reading_picture

        write_file(picture, reading_picture(job.reading))
    return job


def _measured(key: str, mm: float | None, units: str, how: str) -> str:
    """Return the line of a length that nothing else can stand for: as given, or left open with how to find it."""
    if mm is None:
        return f'# {key} = "{"1/8 in" if units == "in" else "3 mm"}"           # {how}'
    return f"{key} = {_length(mm, units)}"


def _length(mm: float, units: str) -> str:
    """Return a length as it is written in the job's own units: a fraction of an inch where it is one."""
    if units == "mm":
        return f'"{_number(mm, "mm")} mm"'
    whole = mm / MM_PER_INCH * 64.0
    if abs(whole - round(whole)) < 1e-3:
        return f'"{inch_fraction(mm)} in"'
    return f'"{_number(mm, "in")} in"'


def _number(mm: float, units: str) -> str:
    value = mm / MM_PER[units]
    return f"{value:.4f}".rstrip("0").rstrip(".")


def _unit_line(read: Drawing, known: Known | None) -> str:
    """Return the line of a job file that makes its drawing's unit firm."""
    if read.units.mm_per_unit in (MM_PER["mm"], MM_PER["in"]):
        return f'drawing_units = "{"in" if read.units.mm_per_unit == MM_PER["in"] else "mm"}"'
    if known is not None:
        return f'drawing_length = "{known.name}={known.mm:.6g} mm"'
    return "# its unit is neither mm nor in: it is read as it says"


def _from_drawing(name: str, read: Drawing, units: str, wanted: Wanted) -> list[str]:
    region = read.parts[0].region
    lines = [
        f"drawing = {quoted(name)}            # in this folder; units read as {read.units.name}: {read.units.reason}",
        _unit_line(read, wanted.length),
    ]
    if wanted.frame is not None:
        lines.append(f'frame = "{wanted.frame}"             # what the rectangle around everything is')
    if len(read.parts) > 1:
        lines.append(f"part = 1                       # the drawing has {len(read.parts)} parts; 1 is the largest")
    lines.append("__MORE__")
    rounds = sorted(2.0 * c[1] for c in (h.as_circle() for h in region.holes) if c)
    groups: list[list[float]] = []
    for d in rounds:
        if groups and d - groups[-1][0] <= SAME_DIAMETER_MM:
            groups[-1].append(d)
        else:
            groups.append([d])
    for group in groups[:30]:
        d, count = group[0], len(group)
        purpose = "bolt" if d <= BOLT_HOLE_UP_TO_MM else "access"
        lines += [
            "",
            f"[[plate.drawn_hole]]           # {count} of them in the drawing",
            f"diameter = {_length(d, units)}",
            f'purpose = "{purpose}"               # bolt, sleeve, plug weld, access or locating',
        ]
        if purpose == "bolt":
            lines.append('# bolt = "M10"                 # names the clearance class on the drill list')
    return lines


def _text(target: Path, wanted: Wanted, units: str, plate: list[str]) -> str:
    title = wanted.title or target.stem.replace("-", " ").replace("_", " ")
    if target.name == "job.toml" and wanted.title is None:
        title = target.resolve().parent.name.replace("-", " ").replace("_", " ")
    size = _length(40.0 if units == "mm" else 1.5 * MM_PER_INCH, units)
    wall = (60.0, 30.0) if units == "mm" else (2.5 * MM_PER_INCH, 1.25 * MM_PER_INCH)
    disc = 125.0 if units == "mm" else 4.5 * MM_PER_INCH
    if not plate:
        plate = [
            'shape = "rectangle"           # or outline = [{ at = [x, y], fillet = r }, ...], or drawing = "plate.dxf"',
            f"width = {_length(200.0 if units == 'mm' else 8.0 * MM_PER_INCH, units)}",
            f"height = {_length(120.0 if units == 'mm' else 5.0 * MM_PER_INCH, units)}",
            f"corner_radius = {_length(20.0 if units == 'mm' else 0.75 * MM_PER_INCH, units)}",
            "__MORE__",
            "",
            "[[plate.hole]]                 # repeat for every hole",
            f"at = [{size}, {size}]",
            f"diameter = {_length(11.0 if units == 'mm' else 0.4375 * MM_PER_INCH, units)}",
            'purpose = "bolt"               # bolt, sleeve, plug weld, access or locating',
        ]
    at = plate.index("__MORE__")
    more = [
        _measured("thickness", wanted.thickness_mm, units, "MEASURE the plate's sheet and take away the first #"),
        'steel = "mild"                 # or a grade such as "S235", "S355", "A36"',
        "quantity = 1",
    ]
    plate = [*plate[:at], *more, *plate[at + 1 :]]
    gap = _length(1.0 if units == "mm" else 1.016, units)
    joint = (
        ['kind = "butt"', f"gap = {gap}                        # root opening all round"]
        if wanted.joint == "butt"
        else ['kind = "lap"', f"overlap = {_length(25.4, units)}                 # plate over skin, all round"]
    )
    return "\n".join(
        [
            "# A job for cutplan. Lengths without a unit are in the units named here; a text may carry its own:",
            '# "38 mm", "1 1/2 in", "3/16 in". Coordinates are those of the drawing.',
            f'units = "{units}"',
            f"title = {quoted(title)}",
            'revision = "A"',
            'date = ""                      # printed as it stands, such as "2026-03-14"',
            'area = ""                      # which part of the vehicle',
            "",
            "[plate]",
            *plate,
            "",
            "[joint]",
            *joint,
            'unwelded = []                  # such as ["top"] or [{ from = [x, y], to = [x, y] }], counter-clockwise',
            "",
            "[skin]                         # the pressed wall that the opening is cut out of",
            _measured("thickness", wanted.skin_mm, units, "MEASURE it at a drain hole or edge, take away the first #"),
            'steel = "mild"',
            '# box_depth = "80 mm"          # free depth behind the skin, to the next wall, pipe or cable',
            "",
            "[skin.walls]                   # from the opening to the box's own side walls",
            f"left = {_length(wall[0], units)}",
            f"right = {_length(wall[0], units)}",
            f"bottom = {_length(wall[1], units)}",
            f"top = {_length(wall[1], units)}",
            "",
            "# [[skin.rib]]                 # repeat for every hidden rib, known or suspected",
            '# name = "R1"',
            "# path = [[0, 0], [0, 100]]",
            '# knowledge = "suspected"      # known, suspected or unknown',
            '# depth = "20 mm"',
            "",
            "# [[pad]]                      # a face that must stay flat and in place",
            '# name = "mount"',
            '# at = [0, 0]                  # or hole = "H1"',
            f"# diameter = {size}",
            '# flatness = "0.5 mm"',
            '# pitch = "0.5 mm"',
            "",
            "# [brace]                      # what holds the pads while welding",
            '# kind = "tube"                # tube, bar, angle or part (the real mating part)',
            '# size = "38 mm"',
            '# wall = "3 mm"',
            "# from = [0, 0]",
            "# to = [100, 0]",
            "",
            "[cutting]",
            f'process = "air plasma"         # {", ".join(p for p in CUT_PROCESSES if p != "air plasma")}',
            '# kerf = "1.5 mm"              # measured is better: cutplan coupon kerf',
            "",
            "[opening]",
            'tool = "cut-off disc"          # jigsaw, hacksaw, hand plasma',
            f"disc_diameter = {_length(disc, units)}",
            "",
            "[welding]",
            'process = "GMAW"               # or GTAW',
            'settings = "from the table"    # or current_A, voltage_V and speed_mm_per_s',
            "",
            "[paper]",
            f'size = "{wanted.paper}"                    # {offered(free=True)}',
            "",
            "[marks]",
            "forward_deg = 90               # where the vehicle's front is, counter-clockwise from the drawing's right",
            "# up_deg, left_deg             # the same for up and left: name the two that lie in the plate",
            'side_out = "outside"           # the face that you see in the drawing',
            "",
        ]
    )
