"""Random jobs over the whole declared range: outlines, ribs, pads, walls, tools, joints, papers, units; from a seed.

Even seeds are tidy: what is asked for is what a shop would ask for. In odd ones some parts of the job draw every value
on its own, so that some are refused for good reasons. None may end in a fault of the program.
"""

from __future__ import annotations

import random

from random_outlines import Drawn, Writer, holes, outline

STEELS = ("mild", "S235", "S355", "DD11")
PROCESSES = ("air plasma", "laser", "waterjet", "oxyfuel", "cut-off disc", "jigsaw", "hacksaw")
TOOLS = ("cut-off disc", "jigsaw", "reciprocating saw", "hacksaw", "hand plasma")
PAPERS = ("A4", "A3", "A2", "A1", "A0", "Letter", "Tabloid")
BRACES = ("pair", "single", "frame", "across", "flush")
POSITIONS = ("PA", "PC", "PF", "PG", "PE")
ORDERS = ("opposite pairs", "sectors", "skip", "once round, back-step", "once round", "ends last", "computed order")
WALLS = ("left", "right", "bottom", "top")


def random_job(seed: int, largest_mm: float = 1800.0) -> dict[str, bytes]:
    """Return the files of a job by name, ``job.toml`` among them.

    Parameters
    ----------
    seed : int
        The same seed gives the same files.
    largest_mm : float
        Longest side of a plate [mm].
    """
    r = random.Random(seed)

    def tidy() -> bool:
        return seed % 2 == 0 or r.random() < 0.7

    unit = r.choice(("mm", "mm", "in"))
    w = Writer(unit)
    least = 90.0 if tidy() else 60.0
    most = largest_mm if r.random() < 0.25 else min(600.0, largest_mm)  # large plates are rare, and slow
    wide, high = (round(least * (most / least) ** r.random(), 1) for _ in range(2))
    drawn = outline(r, w, wide, high)
    thick = r.choice((2.0, 3.0, 4.0, 6.0, 8.0) if tidy() else (0.8, 1.5, 2.0, 3.0, 4.0, 6.0, 8.0, 12.0, 27.0))
    lines = [f'units = "{unit}"', 'title = "Random"', f'language = "{r.choice(("en", "en", "de"))}"']
    lines += [f'weld_symbols = "{r.choice(("ISO", "AWS"))}"', "[plate]", *drawn.lines]
    lines += [f'thickness = "{thick} mm"', f'steel = "{r.choice(STEELS)}"', f"quantity = {r.choice((1, 1, 4))}"]
    lines += [*holes(r, w, drawn, tidy()), *drawn.after]
    lines += _joint(r, w, tidy(), thick)
    lines += _skin(r, w, drawn, tidy())
    lines += _pads(r, w, drawn, tidy())
    lines += _brace(r, w, drawn)
    lines += _work(r, w, tidy())
    lines += _welding(r, tidy())
    lines += _paper(r, w)
    lines += ["[marks]", *_marks(r)]
    lines += _others(r, w)
    files = {"job.toml": ("\n".join(lines) + "\n").encode(), **drawn.files}
    return files | ({"shop.toml": _shop(r).encode()} if r.random() < 0.25 else {})


def _joint(r: random.Random, w: Writer, tidy: bool, thick: float) -> list[str]:
    if r.random() < 0.3:
        overlap = max(25.0, 5.0 * thick) if tidy else r.choice((6.0, 15.0, 25.0, 40.0))
        lines = ["[joint]", 'kind = "lap"', f"overlap = {w.length(overlap)}"]
    else:
        gaps = (0.6, 1.0, 1.5, 2.0) if tidy else (0.0, 0.6, 1.0, 2.0, 6.0)
        lines = ["[joint]", f"gap = {w.length(r.choice(gaps))}"]
    if r.random() < 0.3:
        lines.append(f'unwelded = ["{r.choice(("top", "left", "right", "bottom"))}"]')
    return lines


def _skin(r: random.Random, w: Writer, drawn: Drawn, tidy: bool) -> list[str]:
    skin = r.choice((2.0, 2.5, 3.0) if tidy else (0.8, 1.5, 2.0, 2.5, 3.0, 5.0))
    lines = ["[skin]", f'thickness = "{skin} mm"', f'steel = "{r.choice(STEELS)}"']
    if r.random() < 0.4:
        lines.append(f"box_depth = {w.length(r.uniform(50.0 if tidy else 5.0, 200.0))}")
    walls = (30, 45, 65, 125) if tidy else (2, 8, 14, 30, 65, 125, 400)
    lines += ["[skin.walls]", *(f"{side} = {w.length(r.choice(walls))}" for side in WALLS)]
    for i in range(r.choice((0, 0, 1, 2) if tidy else (0, 0, 1, 2, 5))):
        if tidy:
            a = b = drawn.x + drawn.wide * (i + 1) / 3.0
        else:
            a, b = (drawn.x + r.uniform(-0.1, 1.1) * drawn.wide for _ in range(2))
        ends = f"{w.point(a, drawn.y - 40.0)}, {w.point(b, drawn.y + drawn.high + 40.0)}"
        lines += ["[[skin.rib]]", f"path = [{ends}]"]
        lines.append(f'knowledge = "{r.choice(("known", "suspected", "unknown"))}"')
        if r.random() < 0.5:
            lines.append(f"depth = {w.length(r.uniform(15.0 if tidy else 1.0, 80.0))}")
        if r.random() < 0.3:
            lines.append("joined = false")
    return lines


def _pads(r: random.Random, w: Writer, drawn: Drawn, tidy: bool) -> list[str]:
    lines: list[str] = []
    most = 0.15 * min(drawn.wide, drawn.high)
    for i in range(r.choice((0, 0, 1, 2, 4))):
        x, y = (r.uniform(0.3, 0.7) if tidy else r.uniform(0.1, 0.9) for _ in range(2))
        across = r.choice((20.0, 60.0, 90.0))
        lines += ["[[pad]]", f'name = "pad {i}"', f"at = {w.point(drawn.x + x * drawn.wide, drawn.y + y * drawn.high)}"]
        lines += [f"diameter = {w.length(max(2.0, min(across, most)) if tidy else across)}"]
        if r.random() < 0.3:
            lines += [f"flatness = {w.length(r.choice((0.05, 0.3, 1.0)))}", f"pitch = {w.length(r.choice((0.2, 0.5)))}"]
    return lines


def _brace(r: random.Random, w: Writer, drawn: Drawn) -> list[str]:
    if r.random() >= 0.4:
        return []
    y = drawn.y + r.uniform(0.3, 0.7) * drawn.high
    ends = [f"from = {w.point(drawn.x - 20.0, y)}", f"to = {w.point(drawn.x + drawn.wide + 20.0, y)}"]
    lines = ["[brace]", f'kind = "{r.choice(("tube", "bar", "angle", "part"))}"', *ends]
    lines.append(f"size = {w.length(r.choice((20, 38, 60)))}")
    return [*lines, f'design = "{r.choice(BRACES)}"'] if r.random() < 0.4 else lines


def _work(r: random.Random, w: Writer, tidy: bool) -> list[str]:
    lines = ["[cutting]", f'process = "{r.choice(PROCESSES)}"', f"tabs = {r.choice((0, 0, 3))}"]
    if not tidy and r.random() < 0.3:
        lines += [f"kerf = {w.length(r.choice((0.05, 0.8, 1.6, 3.2, 8.0)))}", "kerf_sure = true"]
    lines += [key for key in ("cut_bolt_holes = true", "reversed_swirl = true", "torch_on = true") if r.random() < 0.15]
    lines += ["reference_square = true"] if r.random() < 0.2 else []
    lines += ['dxf_version = "R12"'] if r.random() < 0.3 else []
    lines += ["[opening]", f'tool = "{r.choice(TOOLS)}"']
    if r.random() < 0.5:
        lines.append(f"disc_diameter = {w.length(r.choice((76, 115, 125, 230)))}")
    if r.random() < 0.3:
        lines.append(f"longest_section = {w.length(r.choice((60, 150, 400, 1500)))}")
    if r.random() < 0.3:
        lines.append(f"corner_drill = {w.length(r.choice((4, 8, 12)))}")
    if r.random() < 0.15:
        lines += ["[[opening.own_tool]]", f'name = "{r.choice(("jigsaw", "hacksaw"))}"', f"blade = {w.length(60)}"]
    return lines


def _welding(r: random.Random, tidy: bool) -> list[str]:
    lines = ["[welding]", "orders = 20", f'process = "{r.choice(("GMAW", "GTAW"))}"']
    if r.random() < 0.2:
        lines.append(f'position = "{r.choice(POSITIONS)}"')
    if r.random() < 0.2:
        lines.append(f'order = "{r.choice(ORDERS)}"')
    if not tidy and r.random() < 0.3:
        amps, volts, speed = r.choice(((60.0, 16.0, 5.0), (120.0, 19.0, 7.0), (300.0, 30.0, 1.0), (20.0, 12.0, 20.0)))
        lines += [f"current_A = {amps}", f"voltage_V = {volts}", f"speed_mm_per_s = {speed}"]
    if not tidy and r.random() < 0.3:
        lines += [f'stitch = "{r.choice((8, 15, 40, 120, 500))} mm"', f'tack_spacing = "{r.choice((10, 60, 500))} mm"']
    if r.random() < 0.2:
        lines += [f"interpass_C = {r.choice((80, 150, 250))}", f"ambient_C = {r.choice((-20, 5, 40))}"]
    return lines


def _paper(r: random.Random, w: Writer) -> list[str]:
    kind = r.random()
    if kind < 0.8:
        return ["[paper]", f'size = "{r.choice(PAPERS)}"']
    if kind < 0.9:
        return ["[paper]", 'size = "roll"', f"width = {w.length(r.choice((420, 610, 914)))}"]
    size = [f"width = {w.length(r.uniform(150.0, 900.0))}", f"height = {w.length(r.uniform(150.0, 900.0))}"]
    return ["[paper]", 'size = "custom"', *size, f"margin = {w.length(r.choice((0.0, 5.0, 15.0)))}"]


def _marks(r: random.Random) -> list[str]:
    kind = r.randrange(4)
    if kind == 0:
        return [f"forward_deg = {r.choice((0, 90, 180, 37))}"]
    turn = r.choice((0, 90, 180))
    pairs = (("left", "up"), ("up", "forward"), ("forward", "left"))
    a, b = pairs[kind - 1]
    mirrored = [f'hand = "{r.choice(("left", "right"))}"', "mirrored_copy = true"] if r.random() < 0.3 else []
    return [f"{a}_deg = {turn}", f"{b}_deg = {turn + r.choice((90, -90))}", *mirrored]


def _others(r: random.Random, w: Writer) -> list[str]:
    """Further parts, tubes with a notch, bent strips."""
    lines: list[str] = []
    for _ in range(r.choice((0, 0, 0, 1, 3))):
        lines += ["[[piece]]", 'shape = "rectangle"', f"width = {w.length(r.uniform(20, 300))}"]
        lines += [f"height = {w.length(r.uniform(20, 300))}", f"quantity = {r.choice((1, 2, 5))}"]
        lines += ["mirrored = true"] if r.random() < 0.3 else []
    if r.random() < 0.2:
        branch = r.choice((20.0, 38.0, 60.0))
        lines += [
            "[[tube]]",
            f"branch = {w.length(branch)}",
            f"main = {w.length(branch + r.choice((0.0, 12.0, 60.0)))}",
        ]
        lines += [f"wall = {w.length(r.choice((1.5, 2.0, 4.0)))}", f"angle_deg = {r.choice((30, 45, 60, 90))}"]
        lines += ["offset = 0.1"] if r.random() < 0.3 else []
    if r.random() < 0.25:
        legs = [w.length(r.uniform(12.0, 200.0)) for _ in range(r.randint(2, 5))]
        lines += ["[[flange]]", f"legs = [{', '.join(legs)}]", f"width = {w.length(r.uniform(20.0, 400.0))}"]
        lines += [f"angles_deg = [{', '.join(str(r.choice((45, 90, 120, 135, 170))) for _ in legs[1:])}]"]
        ways = ", ".join(f'"{r.choice(("up", "down"))}"' for _ in legs[1:])
        lines += [f"thickness = {w.length(r.choice((1.5, 3.0, 6.0)))}", f"ways = [{ways}]"]
    return lines


def _shop(r: random.Random) -> str:
    """A shop that measured its printer, its kerf and its weld."""
    process, thick = r.choice(PROCESSES), r.choice((2.0, 3.0, 4.0, 6.0))
    return "\n".join((
        'units = "mm"', "[[printer]]", 'name = "default"', f"x = {r.uniform(0.98, 1.02):.4f}",
        f"y = {r.uniform(0.98, 1.02):.4f}", f"skew_rad = {r.uniform(-0.002, 0.002):.5f}", "length = 180.0",
        "[[kerf]]", f'process = "{process}"', f"thickness = {thick}", "x = 1.2", "y = 1.25",
        "[[weld]]", f'process = "{r.choice(("GMAW", "GTAW"))}"', f"thickness = {thick}", "shrink = 1.2", "angle = 0.8", "",
    ))  # fmt: skip
