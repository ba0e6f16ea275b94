"""Random openings planned and proved: how many pass, cut length over its lower bound, tools and braces, time for each.

Run ``python benchmarks/opening_plan.py [COUNT [SEED [other]]]``; ``other`` takes the second list of shapes. Every
figure is measured in this run.
"""

from __future__ import annotations

import random
import sys
import time
from collections import Counter
from math import cos, pi, sin

from cutplan.errors import CutplanError
from cutplan.geometry.contour import Contour, circle_contour, polygon, polyline, rectangle
from cutplan.geometry.vector import Point
from cutplan.opening.brace.choose import ALIKE
from cutplan.opening.model import OpeningPlan
from cutplan.opening.plan import plan_opening
from cutplan.pattern.job import About, Job
from cutplan.pattern.joint import Joint
from cutplan.pattern.pads import Brace, Pad
from cutplan.pattern.plate import Plate
from cutplan.pattern.shop import Shop
from cutplan.pattern.skin import Rib, Skin, Walls
from cutplan.pattern.wishes import OpeningWork

SHAPES = ("rounded", "sharp", "convex", "L", "U", "T", "slot", "circle", "curved", "notched", "small", "soup")
#: Shapes that the first list has no like of: long and narrow, as large as a whole floor, uneven arms, points, steps.
OTHER_SHAPES = ("thin", "large", "uneven L", "uneven T", "uneven U", "triangle", "trapezium", "cross", "steps")


def random_outline(rng: random.Random, shape: str) -> Contour:
    """Return a random plate outline of a named shape, 15 to 700 mm [mm]."""
    w, h = rng.uniform(80, 600), rng.uniform(60, 400)
    turn = rng.choice((0.0, 0.0, rng.uniform(-1.5, 1.5)))
    if shape == "rounded":
        c = rectangle(0, 0, w, h, rng.uniform(2, 0.45 * min(w, h)))
    elif shape == "sharp":
        c = rectangle(0, 0, w, h)
    elif shape == "convex":
        n = rng.randint(3, 8)
        angles = sorted(rng.uniform(0, 2 * pi) for _ in range(n))
        gaps = [(b - a) % (2 * pi) for a, b in zip(angles, angles[1:] + angles[:1], strict=True)]
        if max(gaps) > 0.9 * pi or min(gaps) < 0.25:
            angles = [2 * pi * k / n for k in range(n)]
        c = polygon([(0.5 * w * cos(a), 0.5 * h * sin(a)) for a in angles])
    elif shape == "L":
        a, b = rng.uniform(0.3, 0.7) * w, rng.uniform(0.3, 0.7) * h
        c = polygon([(0, 0), (w, 0), (w, b), (a, b), (a, h), (0, h)])
    elif shape == "U":
        a, b = 0.3 * w, rng.uniform(0.3, 0.6) * h
        c = polygon([(0, 0), (w, 0), (w, h), (w - a, h), (w - a, b), (a, b), (a, h), (0, h)])
    elif shape == "T":
        a, b = 0.3 * w, 0.5 * h
        c = polygon([(a, 0), (w - a, 0), (w - a, b), (w, b), (w, h), (0, h), (0, b), (a, b)])
    elif shape == "slot":
        w = max(w, 1.3 * h)
        c = rectangle(0, 0, w, h, 0.5 * h)
    elif shape == "circle":
        c = circle_contour(Point(0, 0), rng.uniform(15, 220))
    elif shape == "curved":
        b = [rng.uniform(-0.12, 0.25) for _ in range(4)]
        c = polyline([(0, 0, b[0]), (w, 0, b[1]), (w, h, b[2]), (0, h, b[3])])
    elif shape == "notched":
        r = rng.uniform(0.1, 0.3) * min(w, h)
        a, b = 0.5 * w + r, 0.5 * w - r
        c = polyline([(0, 0, 0.0), (w, 0, 0.0), (w, h, 0.0), (a, h, -1.0), (b, h, 0.0), (0, h, 0.0)])
    elif shape == "small":
        c = rectangle(0, 0, rng.uniform(15, 60), rng.uniform(12, 60), rng.uniform(0.5, 5))
    elif shape in OTHER_SHAPES:
        c = _other(rng, shape, w, h)
    else:
        n = rng.randint(24, 90)
        c = polygon([(0.5 * w * cos(2 * pi * k / n), 0.5 * h * sin(2 * pi * k / n)) for k in range(n)])
    return c.turned(turn)


def _other(rng: random.Random, shape: str, w: float, h: float) -> Contour:
    a, e, b = rng.uniform(0.12, 0.4) * w, rng.uniform(0.6, 0.88) * w, rng.uniform(0.2, 0.8) * h
    if shape == "thin":
        h = rng.uniform(16, 70)
        return rectangle(0, 0, 2.0 * w, h, rng.choice((0.0, rng.uniform(1.0, 0.45 * h))))
    if shape == "large":
        return rectangle(0, 0, w + 400.0, h + 400.0, rng.uniform(0, 100))
    if shape == "uneven L":
        return polygon([(0, 0), (w, 0), (w, b), (a, b), (a, h), (0, h)])
    if shape == "uneven T":
        return polygon([(a, 0), (e, 0), (e, b), (w, b), (w, h), (0, h), (0, b), (a, b)])
    if shape == "uneven U":
        return polygon(
            [(0, 0), (w, 0), (w, h), (e, h), (e, b), (a, b), (a, b + rng.uniform(0.3, 1.0) * (h - b)), (0, h)]
        )
    if shape == "triangle":
        return polygon([(0, 0), (w, 0), (rng.uniform(0, w), h)])
    if shape == "trapezium":
        return polygon([(0, 0), (w, 0), (rng.uniform(0.5, 1.2) * w, h), (rng.uniform(-0.2, 0.4) * w, h)])
    if shape == "cross":
        return polygon(
            [
                (a, 0),
                (w - a, 0),
                (w - a, 0.3 * h),
                (w, 0.3 * h),
                (w, 0.7 * h),
                (w - a, 0.7 * h),
                (w - a, h),
                (a, h),
                (a, 0.7 * h),
                (0, 0.7 * h),
                (0, 0.3 * h),
                (a, 0.3 * h),
            ]
        )
    return polygon(
        [(0, 0), (w, 0), (w, h / 3), (2 * w / 3, h / 3), (2 * w / 3, 2 * h / 3), (w / 3, 2 * h / 3), (w / 3, h), (0, h)]
    )


def random_job(rng: random.Random, shape: str, **work: object) -> Job:
    """Return a random job with 0 to 6 ribs; ``work`` overrides wishes for the opening."""
    outline = random_outline(rng, shape)
    box = outline.box
    ribs = []
    for k in range(rng.randint(0, 6)):
        points = [
            Point(rng.uniform(box.xmin - 40, box.xmax + 40), rng.uniform(box.ymin - 40, box.ymax + 40))
            for _ in range(rng.choice((2, 2, 3)))
        ]
        if rng.random() < 0.6:  # across the opening, as ribs usually run
            x = rng.uniform(box.xmin, box.xmax)
            points = [Point(x, box.ymin - 50), Point(x + rng.uniform(-30, 30), box.ymax + 50)]
        knowledge = rng.choice(("known", "known", "suspected", "unknown"))
        depth = rng.uniform(10, 80) if knowledge == "known" or rng.random() < 0.4 else None
        ribs.append(Rib(f"R{k + 1}", tuple(points), knowledge, depth, rng.uniform(1.0, 3.0), rng.random() < 0.8))
    thickness = rng.choice((1.5, 2.0, 2.5, 3.0, 4.0))
    walls = Walls(*(rng.uniform(20, 90) for _ in range(4)))
    skin = Skin(thickness, "mild", walls, rng.choice((None, rng.uniform(25, 120))), tuple(ribs))
    centre = box.centre
    pads = tuple(Pad(f"P{k + 1}", Point(centre.x + (k - 0.5) * 0.5 * box.width, centre.y)) for k in range(2))
    brace = rng.choice((None, Brace("tube", 38.1, 3.0, Point(box.xmin, centre.y), Point(box.xmax, centre.y))))
    joint = Joint("butt", rng.choice((0.0, 1.0, 1.5)))
    return Job(
        About(f"random {shape}"), Plate(outline, (), thickness), joint, skin, pads, brace, opening=OpeningWork(**work)
    )  # type: ignore[arg-type]


def other_brace(plan: OpeningPlan) -> bool:
    """Whether another brace would have been taken if every tool got past all of them."""
    able = [c for c in plan.bracing.choices if c.brace is not None and c.design != "flush"]
    if not able:
        return False
    best = max(c.score for c in able)
    alike = [c for c in able if c.score >= (1.0 - ALIKE) * best]
    return not min(alike, key=lambda c: (c.tacks, -round(c.score, 6))).chosen


def not_stiffest(plan: OpeningPlan) -> bool:
    """Whether some other brace with room on the skin, none flat over the cuts, keeps the skin stiffer than the one taken."""
    taken = next((c.score for c in plan.bracing.choices if c.chosen), 0.0)
    able = [c.score for c in plan.bracing.choices if c.brace is not None and c.design != "flush"]
    return bool(able) and max(able) > taken + 1e-6


def other_tools(plan: OpeningPlan) -> set[str]:
    """Tools that cut besides the one wished for."""
    return {c.tool for s in plan.steps for c in s.cuts} - {plan.tools.main}


def main(count: int = 200, seed: int = 1, shapes: tuple[str, ...] = SHAPES, **work: object) -> dict[str, float]:
    """Plan ``count`` random openings, print and return the figures."""
    times: list[float] = []
    cpu: list[float] = []
    ratios: list[tuple[float, int, str]] = []
    failed: list[tuple[int, str, list[str]]] = []
    refused: list[tuple[int, str, str]] = []
    codes: Counter[str] = Counter()
    braces = rows = others = beside = bare = soft = 0
    for k in range(count):
        rng = random.Random(seed * 100_003 + k)
        shape = shapes[k % len(shapes)]
        job = random_job(rng, shape, **work)
        start, busy = time.perf_counter(), time.process_time()
        try:
            plan = plan_opening(job, Shop())
        except CutplanError as error:
            refused.append((k, shape, str(error.message)))
            continue
        times.append(time.perf_counter() - start)
        cpu.append(time.process_time() - busy)
        ratios.append((plan.effort.ratio, k, shape))
        braces += other_brace(plan)
        soft += not_stiffest(plan)
        others += bool(other_tools(plan))
        beside += any(f.code == "brace-beside-cuts" for f in plan.findings)
        bare += not any(b.on == "marked" for b in plan.bracing.fitted)
        rows += "drilled row" in other_tools(plan)
        codes.update(f.code for f in plan.findings)
        bad = [str(f.message) for f in plan.findings if f.code == "plan-not-proved"]
        if bad:
            failed.append((k, shape, bad))
    ratios.sort(reverse=True)
    print(f"openings {count}, planned {len(times)}, refused {len(refused)}, simulation failed {len(failed)}")
    for item in refused[:10] + failed[:12]:
        print("  ", *item)
    share = 100.0 / max(1, len(times))
    print(
        f"a stiffer brace passed over: {soft} of {len(times)}, for a tool's sake: {braces}; slower tools beside the brace: {beside}; no brace: "
        f"{bare}; some cut by another tool than the one "
        f"wished for: {others * share:.0f} %, by a row of drilled holes: {rows * share:.0f} %"
    )
    over = [r for r in ratios if r[0] > 1.15]
    print(
        f"cut length over bound: largest {ratios[0][0]:.3f}, mean {sum(r[0] for r in ratios) / len(ratios):.3f}, "
        f"above 1.15: {len(over)}"
    )
    for r in over[:12]:
        print("  ", f"{r[0]:.3f}", *r[1:])
    times.sort()
    cpu.sort()
    print(
        f"time: median {times[len(times) // 2]:.3f} s, largest {times[-1]:.3f} s; "
        f"processor: median {cpu[len(cpu) // 2]:.3f} s, largest {cpu[-1]:.3f} s"
    )
    print("findings:", dict(sorted(codes.items())))
    return {
        "count": count,
        "failed": len(failed),
        "refused": len(refused),
        "worst_ratio": ratios[0][0],
        "over": len(over),
        "slowest_s": times[-1],
        "slowest_cpu_s": cpu[-1],
        "other_brace": braces,
        "beside_brace": beside,
        "no_brace": bare,
        "other_tool": others,
        "drilled_row": rows,
    }


if __name__ == "__main__":
    main(
        int(sys.argv[1]) if len(sys.argv) > 1 else 200,
        int(sys.argv[2]) if len(sys.argv) > 2 else 1,
        OTHER_SHAPES if sys.argv[3:] == ["other"] else SHAPES,
    )
