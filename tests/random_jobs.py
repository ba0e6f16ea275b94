"""Random job files over the whole declared range: sizes, ribs, pads, walls, tools, joints, units; from a seed."""

from __future__ import annotations

import random

STEELS = ("mild", "S235", "S355", "DD11")
PROCESSES = ("air plasma", "laser", "waterjet", "oxyfuel", "cut-off disc", "jigsaw", "hacksaw")
TOOLS = ("cut-off disc", "jigsaw", "hacksaw", "hand plasma")
PAPERS = ("A4", "A3", "A2", "A1", "A0", "Letter", "Tabloid")


def random_job(seed: int, largest_mm: float = 1800.0) -> str:
    """Return the text of a job: most can be made, some are refused for good reasons; none may crash.

    Parameters
    ----------
    seed : int
        The same seed gives the same text.
    largest_mm : float
        Longest side of a plate [mm].
    """
    r = random.Random(seed)
    unit = r.choice(("mm", "mm", "in"))
    k = 1.0 if unit == "mm" else 1.0 / 25.4
    wide, high = (round(60.0 * (largest_mm / 60.0) ** r.random(), 1) for _ in range(2))
    thick, skin = r.choice((0.8, 1.5, 2.0, 3.0, 4.0, 6.0, 8.0, 12.0, 27.0)), r.choice((0.8, 1.5, 2.0, 2.5, 3.0, 5.0))

    def length(mm: float) -> str:
        return f"{mm * k:.5f}"

    def point(x: float, y: float) -> str:
        return f"[{length(x)}, {length(y)}]"

    lines = [f'units = "{unit}"', 'title = "Random"', f'language = "{r.choice(("en", "en", "de"))}"', "[plate]"]
    lines += _outline(r, wide, high, length, point)
    lines += [f'thickness = "{thick} mm"', f'steel = "{r.choice(STEELS)}"']
    for _ in range(r.choice((0, 0, 1, 2, 4, 9))):
        x, y = r.uniform(0.1, 0.9) * wide, r.uniform(0.1, 0.9) * high
        lines += ["[[plate.hole]]", f"at = {point(x, y)}", f"diameter = {length(r.choice((4, 8, 11, 13, 22, 40)))}"]
        if r.random() < 0.7:
            lines.append(f'purpose = "{r.choice(("bolt", "sleeve", "plug weld", "access", "locating"))}"')
    lines += _joint(r, length)
    lines += ["[skin]", f'thickness = "{skin} mm"', f'steel = "{r.choice(STEELS)}"']
    if r.random() < 0.4:
        lines.append(f"box_depth = {length(r.uniform(5.0, 200.0))}")
    walls = ("left", "right", "bottom", "top")
    lines += ["[skin.walls]", *(f"{w} = {length(r.choice((2, 8, 14, 30, 65, 125, 400)))}" for w in walls)]
    for _ in range(r.choice((0, 0, 1, 2, 5))):
        x = r.uniform(-0.1, 1.1) * wide
        lines += ["[[skin.rib]]", f"path = [{point(x, -40.0)}, {point(r.uniform(0.0, 1.0) * wide, high + 40.0)}]"]
        lines.append(f'knowledge = "{r.choice(("known", "suspected", "unknown"))}"')
        if r.random() < 0.5:
            lines.append(f"depth = {length(r.uniform(1.0, 80.0))}")
    for i in range(r.choice((0, 0, 1, 2, 4))):
        x, y = r.uniform(0.1, 0.9) * wide, r.uniform(0.1, 0.9) * high
        lines += ["[[pad]]", f'name = "pad {i}"', f"at = {point(x, y)}", f"diameter = {length(r.choice((20, 60, 90)))}"]
    if r.random() < 0.4:
        y = r.uniform(0.2, 0.8) * high
        lines += ["[brace]", f'kind = "{r.choice(("tube", "bar", "angle", "part"))}"']
        lines += [
            f"from = {point(-20.0, y)}",
            f"to = {point(wide + 20.0, y)}",
            f"size = {length(r.choice((20, 38, 60)))}",
        ]
    lines += ["[cutting]", f'process = "{r.choice(PROCESSES)}"', f"tabs = {r.choice((0, 0, 3))}"]
    lines += ["[opening]", f'tool = "{r.choice(TOOLS)}"', f"disc_diameter = {length(r.choice((76, 115, 125, 230)))}"]
    lines += ["[welding]", "orders = 20", f'process = "{r.choice(("GMAW", "GTAW"))}"']
    lines += ["[paper]", f'size = "{r.choice(PAPERS)}"', "[marks]", *_marks(r)]
    return "\n".join(lines) + "\n"


def _outline(r: random.Random, wide: float, high: float, length, point) -> list[str]:  # type: ignore[no-untyped-def]
    kind = r.choice(("rectangle", "rectangle", "round", "corners"))
    if kind == "round":
        return ['shape = "round"', f"diameter = {length(min(wide, high))}"]
    if kind == "rectangle":
        radius = r.choice((0.0, 3.0, 12.0, 40.0, 0.5 * min(wide, high)))
        size = [f"width = {length(wide)}", f"height = {length(high)}"]
        return ['shape = "rectangle"', *size, f"corner_radius = {length(min(radius, 0.499 * min(wide, high)))}"]
    fillet = f", fillet = {length(min(15.0, 0.1 * min(wide, high)))}"
    corners = ((0.0, 0.0), (wide, 0.0), (wide, 0.6 * high), (0.6 * wide, 0.6 * high), (0.6 * wide, high), (0.0, high))
    return ["outline = [" + ", ".join(f"{{ at = {point(x, y)}{fillet} }}" for x, y in corners) + "]"]


def _joint(r: random.Random, length) -> list[str]:  # type: ignore[no-untyped-def]
    if r.random() < 0.3:
        lines = ["[joint]", 'kind = "lap"', f"overlap = {length(r.choice((6.0, 15.0, 25.0, 40.0)))}"]
    else:
        lines = ["[joint]", f"gap = {length(r.choice((0.0, 0.6, 1.0, 2.0, 6.0)))}"]
    if r.random() < 0.3:
        lines.append(f'unwelded = ["{r.choice(("top", "left", "right", "bottom"))}"]')
    return lines


def _marks(r: random.Random) -> list[str]:
    kind = r.randrange(4)
    if kind == 0:
        return [f"forward_deg = {r.choice((0, 90, 180, 37))}"]
    turn = r.choice((0, 90, 180))
    pairs = (("left", "up"), ("up", "forward"), ("forward", "left"))
    a, b = pairs[kind - 1]
    mirrored = [f'hand = "{r.choice(("left", "right"))}"', "mirrored_copy = true"] if r.random() < 0.3 else []
    return [f"{a}_deg = {turn}", f"{b}_deg = {turn + r.choice((90, -90))}", *mirrored]
