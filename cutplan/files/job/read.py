"""Job file (TOML) to a :class:`~cutplan.pattern.job.Job`; every problem located, all in one report."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from cutplan.files.job.edges import unwelded_spans
from cutplan.files.job.keys import Keys
from cutplan.files.job.moved import apply_moved
from cutplan.files.job.pieces import read_pieces
from cutplan.files.job.plate import read_plate, read_steel
from cutplan.files.job.problems import Problems, shortened
from cutplan.files.job.toml import read_toml
from cutplan.files.job.traced import apply_traced
from cutplan.findings import Finding
from cutplan.geometry.contour import Contour, rectangle
from cutplan.geometry.vector import Point
from cutplan.pattern.brace import DESIGNS
from cutplan.pattern.job import Job
from cutplan.pattern.joint import Joint
from cutplan.pattern.pads import Brace, Pad
from cutplan.pattern.plate import Plate
from cutplan.pattern.skin import Rib, Skin, Walls
from cutplan.pattern.wishes import (
    CUT_PROCESSES,
    HAND_TOOLS,
    WELD_ORDERS,
    WELD_POSITIONS,
    Cutting,
    Flange,
    Marks,
    OpeningWork,
    OwnTool,
    PaperWish,
    TubeWrap,
    Welding,
)
from cutplan.tables.by_hand.tool_bodies import SIZES, ToolSize
from cutplan.tables.cutting.holes import COOL_TRAVEL_S
from cutplan.tables.paper import FREE, SHEETS, size_mm
from cutplan.texts import code, every, listed, mm, say
from cutplan.texts import name as named
from cutplan.texts.catalogue import LANGUAGES
from cutplan.units import UnitName


def read_job(path: str | Path) -> Job:
    """Return the job in a TOML file.

    Parameters
    ----------
    path : str or Path
        Job file, or the folder that holds ``job.toml``. Drawings it names must lie in its own folder or below.

    Returns
    -------
    Job
        Everything in millimetres; what reading noticed is in ``findings``.

    Raises
    ------
    JobError
        With every problem of the file, each with its key path.
    DrawingError
        When the drawing cannot be read as one exact plate.
    """
    path = Path(path)
    if path.is_dir():
        path = path / "job.toml"
    return job_from(read_toml(path), path)


def job_from(data: dict[str, Any], path: Path) -> Job:
    """Return the job in parsed TOML data; ``path`` names the file for errors and is the base of the drawing."""
    problems = Problems(path.name)
    stated = data.get("units")
    if stated not in ("mm", "in"):
        problems.add(
            "units",
            say("is missing") if stated is None else say("{value} is not known", value=named(shortened(stated))),
            say("write {this} or {that}", this=code('units = "mm"'), that=code('units = "in"')),
        )
    unit: UnitName = "in" if stated == "in" else "mm"
    top = Keys(data, "", problems, unit)
    top.has("units")
    title = top.text("title", "", 120)
    if not title.strip():
        problems.add("title", say("is missing or empty"), say("say in a few words what is made"))
    read = read_plate(top.table("plate"), top.table("survey"), path.parent)
    plate = read.plate or Plate(rectangle(0.0, 0.0, 100.0, 100.0), (), 3.0)
    outline = plate.outline.oriented(ccw=True)
    pieces, of_pieces = read_pieces(top, path.parent)
    joint = _joint(top.table("joint"), outline, plate.thickness_mm)
    job = Job(
        title=title,
        plate=Plate(outline, plate.holes, plate.thickness_mm, plate.steel, plate.quantity),
        joint=joint,
        skin=_skin(top.table("skin")),
        pads=tuple(_pad(p, i, plate) for i, p in enumerate(top.tables("pad", 100))),
        brace=_brace(top.table("brace")) if top.has("brace") else None,
        cutting=_cutting(top.table("cutting")),
        opening=_opening(top.table("opening")),
        welding=_welding(top.table("welding")),
        paper=_paper(top.table("paper")),
        marks=_marks(top.table("marks")),
        wraps=tuple(_wrap(w, i) for i, w in enumerate(top.tables("tube", 50))),
        flanges=tuple(_flange(f, i) for i, f in enumerate(top.tables("flange", 50))),
        source=path.name,
        revision=top.text("revision", "A", 20),
        date=_date(top),
        area=top.text("area", "", 120),
        note=top.text("note", "", 300),
        display=top.choice("display", ("mm", "in"), unit),
        language=top.choice("language", tuple(LANGUAGES), "en"),
        symbols=top.choice("weld_symbols", ("ISO", "AWS"), "ISO"),
        drawing=read.drawing,
        pieces=pieces,
        findings=(*read.findings, *of_pieces, *_questions(outline)),
    )
    job = apply_traced(top.table("traced") if top.has("traced") else None, job, path.parent)
    if top.has("moved"):
        job = apply_moved(top.table("moved"), job, data.get("pad"))
    top.close()
    problems.raise_if_any()
    return job


def _date(top: Keys) -> str:
    value = top.raw("date", "")
    return value.isoformat() if hasattr(value, "isoformat") else top.text("date", "", 30)


def _questions(outline: Contour) -> tuple[Finding, ...]:
    """Ask about a plate whose size suggests a slip between inches and millimetres."""
    size = max(outline.box.width, outline.box.height)
    if size < 25.0:
        hint = say(
            "{size} across: were inches meant ({other})? set {keys}",
            size=mm(size),
            other=mm(size * 25.4, 0),
            keys=code("units / drawing_units"),
        )
    elif size > 4000.0:
        hint = say(
            "{size} across: were millimetres read as inches ({other})? set {keys}",
            size=mm(size, 0),
            other=mm(size / 25.4, 0),
            keys=code("units / drawing_units"),
        )
    else:
        return ()
    return (Finding("size-unusual", "warning", say("the plate's size is unusual for a weld-in plate"), "plate", hint),)


def _joint(k: Keys, outline: Contour, thickness_mm: float) -> Joint:
    kind = k.choice("kind", ("butt", "lap"), "butt")
    gap = k.length("gap", 1.0, 0.0, 20.0)
    overlap = k.length("overlap", max(25.0, 5.0 * thickness_mm) if kind == "lap" else 0.0, 0.0, 500.0)
    if kind == "lap" and overlap <= 0.0:
        k.wrong("overlap", say("a lap joint needs an overlap"), say("for example {this}", this=mm(25.0, 0)))
    if kind == "lap" and k.has("gap"):
        k.wrong("gap", say("a lap joint has no gap"), say("remove it, or write {this}", this=code('kind = "butt"')))
    if kind == "butt" and k.has("overlap"):
        k.wrong(
            "overlap", say("a butt joint has no overlap"), say("remove it, or write {this}", this=code('kind = "lap"'))
        )
    joint = Joint(kind, gap if kind == "butt" else 0.0, overlap, unwelded_spans(k, outline))
    k.close()
    return joint


def _skin(k: Keys) -> Skin:
    walls = k.table("walls")
    base = Walls()
    read_walls = Walls(
        walls.length("left", base.left_mm, 1.0),
        walls.length("right", base.right_mm, 1.0),
        walls.length("bottom", base.bottom_mm, 1.0),
        walls.length("top", base.top_mm, 1.0),
    )
    walls.close()
    k.need(
        "thickness",
        say(
            "the skin's thickness: measure it with a caliper at a drain hole or a cut edge; the depth of the tools, the "
            "heat and the weld rest on it"
        ),
    )
    skin = Skin(
        thickness_mm=k.length("thickness", 2.5, 0.4, 20.0),
        steel=read_steel(k),
        walls=read_walls,
        box_depth_mm=k.length_or_none("box_depth", 1.0),
        ribs=tuple(_rib(r, i) for i, r in enumerate(k.tables("rib", 50))),
    )
    k.close()
    return skin


def _rib(k: Keys, index: int) -> Rib:
    k.need("path", say("the rib's line: {this}", this=code("path = [[x, y], [x, y]]")))
    rib = Rib(
        name=k.text("name", f"R{index + 1}", 20),
        path=k.points("path", 2) or (Point(0.0, 0.0), Point(1.0, 0.0)),
        knowledge=k.choice("knowledge", ("known", "suspected", "unknown"), "suspected"),
        depth_mm=k.length_or_none("depth", 0.5),
        thickness_mm=k.length("thickness", 2.0, 0.4, 20.0),
        joined=k.flag("joined", True),
    )
    k.close()
    return rib


def _pad(k: Keys, index: int, plate: Plate) -> Pad:
    centre = k.point("at")
    if k.has("hole"):
        name = k.text("hole")
        hole = next((h for h in plate.holes if h.name == name), None)
        if hole is None:
            k.wrong(
                "hole",
                say("the plate has no hole {hole}", hole=named(name)),
                say("holes here: {holes}", holes=every([h.name for h in plate.holes[:20]])),
            )
        else:
            centre = hole.centre
    elif not k.has("at"):
        k.wrong(
            "at", say("is missing"), say("give {this} or {that}", this=code("at = [x, y]"), that=code('hole = "H1"'))
        )
    pad = Pad(
        name=k.text("name", f"P{index + 1}", 20),
        centre=centre,
        diameter_mm=k.length("diameter", 40.0, 1.0, 2000.0),
        flatness_mm=k.length("flatness", 0.5, 0.01, 50.0),
        pitch_mm=k.length("pitch", 0.5, 0.01, 50.0),
    )
    k.close()
    return pad


def _brace(k: Keys) -> Brace:
    for key in ("from", "to"):
        k.need(key, say("the brace's line: {this}", this=code(f"{key} = [x, y]")))
    kind = k.choice("kind", ("tube", "bar", "angle", "part"), "tube")
    brace = Brace(
        kind,
        k.length("size", 38.0, 3.0, 500.0),
        k.length("wall", 3.0, 0.5, 60.0),
        k.point("from"),
        k.point("to", Point(1.0, 0.0)),
        k.choice("design", DESIGNS, "") if k.has("design") else None,
    )
    if brace.start.distance(brace.end) < 1.0:
        k.wrong("to", say("the brace has no length"), say("give two different ends"))
    k.close()
    return brace


def _cutting(k: Keys) -> Cutting:
    cutting = Cutting(
        process=k.choice("process", CUT_PROCESSES, "air plasma"),
        kerf_mm=k.length_or_none("kerf", 0.01, 10.0),
        kerf_sure=k.flag("kerf_sure"),
        current_A=k.number_or_none("current_A", 5.0, 400.0, "A"),
        speed_mm_per_min=k.number_or_none("speed_mm_per_min", 1.0, 50_000.0, "mm/min"),
        cut_bolt_holes=k.flag("cut_bolt_holes"),
        reversed_swirl=k.flag("reversed_swirl"),
        lead_mm=k.length_or_none("lead", 0.2, 100.0),
        overburn_mm=k.length_or_none("overburn", 0.0, 20.0),
        torch_on=k.flag("torch_on"),
        cool_travel_s=k.number("cool_travel_s", COOL_TRAVEL_S, 0.0, 600.0, "s"),
        tabs=k.count("tabs", 0, 0, 50),
        reference_square=k.flag("reference_square"),
        dxf_version=k.choice("dxf_version", ("R2000", "R12"), "R2000"),
    )
    k.close()
    return cutting


def _opening(k: Keys) -> OpeningWork:
    base = OpeningWork()
    opening = OpeningWork(
        tool=k.choice("tool", HAND_TOOLS, base.tool),
        disc_diameter_mm=k.length("disc_diameter", base.disc_diameter_mm, 20.0, 400.0),
        disc_thickness_mm=k.length("disc_thickness", base.disc_thickness_mm, 0.4, 8.0),
        allowance_mm=k.length("allowance", base.allowance_mm, 0.0, 10.0),
        longest_section_mm=k.length("longest_section", base.longest_section_mm, 20.0, 3000.0),
        heaviest_section_kg=k.number("heaviest_section_kg", base.heaviest_section_kg, 0.05, 50.0, "kg"),
        corner_drill_mm=k.length_or_none("corner_drill", 1.0, 60.0),
        tools=tuple(_own_tool(t) for t in k.tables("own_tool", 10)),
    )
    k.close()
    return opening


_SETTINGS = ("current_A", "voltage_V", "speed_mm_per_s")


def _own_tool(k: Keys) -> OwnTool:
    """A tool of this shop: the sizes given, middling ones for the rest."""
    name = k.choice("name", tuple(SIZES), "jigsaw")
    base = SIZES[name]
    size = ToolSize(
        front_mm=k.length("front", base.front_mm, 0.0, 1000.0),
        back_mm=k.length("back", base.back_mm, 0.0, 1000.0),
        side_mm=k.length("side", base.side_mm, 1.0, 500.0),
        height_mm=k.length("height", base.height_mm, 0.0, 2000.0),
        blade_mm=k.length("blade", base.blade_mm, 0.0, 500.0),
        stroke_mm=k.length("stroke", base.stroke_mm, 0.0, 200.0),
        source="job file",
    )
    k.close()
    return OwnTool(name, size)


def _welding(k: Keys) -> Welding:
    base = Welding()
    if k.has("settings") and k.text("settings") != "from the table":
        k.wrong(
            "settings",
            say("is not known"),
            say("write {this}, or {keys}", this=code('settings = "from the table"'), keys=listed(_SETTINGS)),
        )
    given = [k.has(key) for key in _SETTINGS]
    if any(given) and not all(given):
        k.wrong(
            "current_A", say("settings must be complete"), say("give {keys}, or none of them", keys=listed(_SETTINGS))
        )
    welding = Welding(
        process=k.choice("process", ("GMAW", "GTAW"), base.process),
        current_A=k.number_or_none("current_A", 5.0, 500.0, "A"),
        voltage_V=k.number_or_none("voltage_V", 5.0, 50.0, "V"),
        speed_mm_per_s=k.number_or_none("speed_mm_per_s", 0.3, 50.0, "mm/s"),
        wire_mm=k.length_or_none("wire", 0.4, 5.0),
        stitch_mm=k.length_or_none("stitch", 8.0, 500.0),
        tack_mm=k.length_or_none("tack", 3.0, 60.0),
        tack_spacing_mm=k.length_or_none("tack_spacing", 10.0, 500.0),
        interpass_C=k.number("interpass_C", base.interpass_C, 30.0, 400.0, "degC"),
        ambient_C=k.number("ambient_C", base.ambient_C, -30.0, 60.0, "degC"),
        orders=k.count("orders", base.orders, 10, 1_000_000),
        position=k.choice("position", WELD_POSITIONS, WELD_POSITIONS[0]) if k.has("position") else None,
        order=k.choice("order", WELD_ORDERS, WELD_ORDERS[0]) if k.has("order") else None,
    )
    if welding.interpass_C <= welding.ambient_C:
        k.wrong("interpass_C", say("is not above {other}", other=code("ambient_C")), say("use 100 or more"))
    k.close()
    return welding


def _paper(k: Keys) -> PaperWish:
    base = PaperWish()
    name = k.choice("size", (*SHEETS, *FREE), base.name)
    if name in SHEETS:
        width, height = size_mm(name)
    else:
        k.need("width", say("the width of the sheet or roll"))
        width = k.length("width", 210.0, 60.0, 2000.0)
        height = k.length("height", 0.0, 60.0, 2000.0) if name == "custom" else 0.0
        if name == "custom":
            k.need("height", say("the height of the sheet"))
    margin = k.length("margin", base.margin_mm, 0.0, 60.0)
    paper = PaperWish(
        name,
        width,
        height,
        margin,
        k.length("overlap", base.overlap_mm, 5.0, 60.0),
        k.text("printer", base.printer, 40),
    )
    if min(width, height or width) - 2.0 * margin < 50.0:
        k.wrong(
            "margin",
            say("leaves less than {least} of the sheet", least=mm(50.0, 0)),
            say("use a smaller margin or larger paper"),
        )
    k.close()
    return paper


def _marks(k: Keys) -> Marks:
    forward, up, left = (k.number_or_none(f"{way}_deg", -360.0, 360.0, "deg") for way in ("forward", "up", "left"))
    lines = []
    for entry in k.tables("datum", 20):
        entry.need("from", say("a datum line: {this}", this=code("from = [x, y]")))
        entry.need("to", say("a datum line: {this}", this=code("to = [x, y]")))
        lines.append((entry.point("from"), entry.point("to")))
        entry.close()
    marks = Marks(
        forward_deg=90.0 if forward is None and up is None and left is None else forward,
        up_deg=up,
        left_deg=left,
        side_out=k.text("side_out", "outside", 40),
        hand=k.choice("hand", ("", "left", "right"), ""),
        mirrored_copy=k.flag("mirrored_copy"),
        datum=tuple(lines),
    )
    k.close()
    return marks


def _wrap(k: Keys, index: int) -> TubeWrap:
    for key in ("branch", "main", "wall"):
        k.need(key, say("outside diameters of branch and main tube, and the branch's wall"))
    wrap = TubeWrap(
        name=k.text("name", f"T{index + 1}", 30),
        branch_mm=k.length("branch", 38.0, 3.0, 1000.0),
        main_mm=k.length("main", 50.0, 0.0, 2000.0),
        wall_mm=k.length("wall", 2.0, 0.2, 50.0),
        angle_deg=k.number("angle_deg", 90.0, 10.0, 90.0, "deg"),
        offset_mm=k.length("offset", 0.0, -1000.0, 1000.0),
    )
    k.close()
    return wrap


def _flange(k: Keys, index: int) -> Flange:
    flange = Flange(
        name=k.text("name", f"F{index + 1}", 30),
        legs_mm=k.lengths("legs", 1.0),
        angles_deg=k.numbers("angles_deg", 1.0, 179.0),
        width_mm=k.length("width", 50.0, 1.0),
        thickness_mm=k.length("thickness", 2.0, 0.3, 20.0),
        radius_mm=k.length("radius", 2.0, 0.1, 500.0),
        ways=k.texts("ways"),
    )
    if flange.ways and (len(flange.ways) != len(flange.angles_deg) or not {"up", "down"}.issuperset(flange.ways)):
        k.wrong(
            "ways",
            say("needs one way for each bend"),
            say("write {this}", this=code('ways = ["up", "down"]')),
        )
    if len(flange.legs_mm) < 2 or len(flange.angles_deg) != len(flange.legs_mm) - 1:
        k.wrong(
            "legs",
            say("needs two or more legs and one angle fewer"),
            say("write {this}", this=code("legs = [50, 40], angles_deg = [90]")),
        )
    k.close()
    return flange
