"""Habits of other people's drawings: overlapping arcs, frames, headers that cannot be, styles that move and hide."""

from __future__ import annotations

import contextlib
import gzip
import time
from math import cos, pi, sin
from pathlib import Path

import pytest
from drawing_help import arc, box, circle, dxf, entity, line, polyline, save, svg

from cutplan.errors import LimitError
from cutplan.files.drawing_in import Drawing, read_drawing


def read(tmp_path: Path, text: str, name: str = "plate.dxf") -> Drawing:
    return read_drawing(save(tmp_path, text, name))


def codes(drawing: Drawing, severity: str = "") -> list[str]:
    return [f.code for f in drawing.findings if not severity or f.severity == severity]


# ---- arcs on arcs -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "arcs",
    [
        [(0, 200), (180, 360)],  # one overlap, one common end
        [(0, 250), (200, 20)],  # overlap at both ends, over the zero angle
        [(300, 100), (90, 200), (180, 310)],
        [(10, 130), (100, 250), (240, 360), (350, 20)],
    ],
)
def test_overlapping_arcs_that_go_round_are_a_circle(tmp_path: Path, arcs: list[tuple[int, int]]) -> None:
    drawing = read(tmp_path, dxf(box(0, 0, 200, 100), *[arc(50, 50, 10, a, b) for a, b in arcs]))
    assert drawing.sound and "overlap-removed" in codes(drawing, "warning")
    (hole,) = drawing.as_dict()["parts"][0]["holes"]
    assert hole["diameter_mm"] == pytest.approx(20.0, abs=1e-9)  # exact


@pytest.mark.parametrize("second", [(120, 180), (90, 160), (100, 170), (90, 180)])
def test_overlapping_arcs_of_a_corner_are_one(tmp_path: Path, second: tuple[int, int]) -> None:
    sides = line(0, 0, 200, 0) + line(0, 0, 0, 80) + line(20, 100, 200, 100) + line(200, 100, 200, 0)
    drawing = read(tmp_path, dxf(sides, arc(20, 80, 20, 90, 180), arc(20, 80, 20, *second)))
    assert drawing.sound, drawing.findings
    assert drawing.parts[0].region.area == pytest.approx(20000 - (1 - pi / 4) * 400)  # exact


def test_two_arcs_that_make_one_only_together(tmp_path: Path) -> None:
    sides = line(0, 0, 200, 0) + line(0, 0, 0, 80) + line(20, 100, 200, 100) + line(200, 100, 200, 0)
    drawing = read(tmp_path, dxf(sides, arc(20, 80, 20, 90, 150), arc(20, 80, 20, 120, 180)))
    assert drawing.sound, drawing.findings
    assert drawing.parts[0].region.area == pytest.approx(20000 - (1 - pi / 4) * 400)  # exact


def test_overlapping_arcs_over_the_zero_angle_are_one(tmp_path: Path) -> None:
    text = dxf(line(0, -50, 0, 50), arc(0, 0, 50, 270, 20), arc(0, 0, 50, 10, 90))
    drawing = read(tmp_path, text)
    assert drawing.sound and "overlap-removed" in codes(drawing, "warning")
    assert drawing.parts[0].region.area == pytest.approx(1250 * pi)  # exact: half a disc


def test_arcs_that_only_meet_stay_two(tmp_path: Path) -> None:
    drawing = read(tmp_path, dxf(box(0, 0, 200, 100), arc(50, 50, 10, 0, 180), arc(50, 50, 10, 180, 360)))
    assert drawing.sound and "overlap-removed" not in codes(drawing)


# ---- a frame or a plate with windows ------------------------------------------------------------------------------


def test_a_plain_rectangle_around_a_plate_is_asked_about(tmp_path: Path) -> None:
    drawing = read(tmp_path, dxf(box(-20, -60, 300, 200), box(0, 0, 240, 120), circle(30, 30, 4)))
    assert "frame-or-plate" in codes(drawing, "error")
    plain = read(tmp_path, dxf(box(0, 0, 240, 120), circle(30, 30, 4), circle(60, 60, 20)))
    assert "parts-in-openings" not in codes(plain)


@pytest.mark.parametrize(("w", "h", "layer"), [(297.0, 210.0, "0"), (250.0, 150.0, "FRAME"), (279.4, 215.9, "0")])
def test_a_plate_of_paper_size_with_words_on_it_stays_a_plate(tmp_path: Path, w: float, h: float, layer: str) -> None:
    words = "".join(entity("TEXT", (10, 50), (20, y), (40, 3), (1, "x")) for y in (30, 60, 90))
    holes = [circle(x, y, 4, layer) for x in (20, w - 20) for y in (20, h - 20)]
    drawing = read(tmp_path, dxf(box(0, 0, w, h, layer), *holes, box(100, 50, 40, 30, layer), words))
    assert drawing.sound and "border-or-plate" in codes(drawing, "warning")
    (part,) = drawing.parts
    assert part.region.area == pytest.approx(w * h - 4 * 16 * pi - 1200.0)  # exact


# ---- headers that cannot be ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("code", "size", "hole", "mm", "finding"),
    [
        # exact: the sizes stated; what is usual is common practice
        (1, 200.0, 4.5, 1.0, "units-contradict-header"),  # else 5 m with 114 mm holes
        (1, 80.0, 4.5, 1.0, "units-contradict-header"),  # else 2 m with 114 mm holes
        (1, 50.0, 3.0, 25.4, "units-questionable"),
        (4, 8.0, 0.5, 25.4, "units-contradict-header"),  # else 8 mm with 0.5 mm holes
        (4, 24.0, 0.375, 25.4, "units-contradict-header"),  # three eighths of an inch
        (4, 24.0, 0.6, 1.0, "units-questionable"),
        (6, 4.0, 0.5, 25.4, "units-contradict-header"),  # else 4 m with 500 mm holes
        (6, 0.3, 0.0085, 1000.0, "units-from-header"),
        (1, 24.0, 0.375, 25.4, "units-from-header"),
        (4, 24.0, 3.2, 1.0, "units-from-header"),
        (4, 2400.0, 9.0, 1.0, "units-from-header"),
    ],
)
def test_header_weighed_by_bolt_holes(
    tmp_path: Path, code: int, size: float, hole: float, mm: float, finding: str
) -> None:
    x, y = 0.1 * size, 0.4 * size
    holes = [circle(u, v, hole / 2) for u in (x, size - x) for v in (x, y)]
    header = f"9\n$INSUNITS\n70\n{code}\n"
    drawing = read(tmp_path, dxf(box(0, 0, size, size / 2), *holes, header=header))
    assert [c for c in codes(drawing) if c.startswith("units-")] == [finding]
    assert drawing.units.mm_per_unit == mm
    severity = "note" if finding == "units-from-header" else "warning"
    assert finding in codes(drawing, severity)


# ---- SVG styles ---------------------------------------------------------------------------------------------------

PLATE = '<rect x="10" y="10" width="160" height="60"/>'


def net(tmp_path: Path, body: str, size: str = 'width="200mm" height="100mm" viewBox="0 0 200 100"') -> float:
    drawing = read(tmp_path, svg(body, size), "plate.svg")
    assert drawing.sound, drawing.findings
    return sum(p.region.area for p in drawing.parts)


@pytest.mark.parametrize(
    ("body", "expected"),
    [
        # exact areas [mm2]
        ('<g style="transform: translate(10px, 5px) rotate(90deg) scale(0.5)"><rect width="60" height="40"/></g>',
         600.0),
        ('<style>.k{transform:scale(2)}</style><rect class="k" width="60" height="40"/>', 9600.0),
        ('<rect width="60" height="40" transform="scale(1)" style="transform:scale(0.5)"/>', 600.0),
        ('<rect width="60" height="40" style="transform:rotate(0.25turn);transform-origin:30px 20px"/>', 2400.0),
        ('<style>rect{width:30px;height:20px}</style><rect width="60" height="40"/>', 600.0),
        ('<circle cx="50" cy="50" style="r:5"/>', 25 * pi),
        (f"<style>@media print{{.a{{display:none}}}}</style>{PLATE}<circle class='a' cx='50' cy='50' r='5'/>",
         9600 - 25 * pi),
        (f"<style>@media screen{{.a{{display:none}}}}</style>{PLATE}<circle class='a' cx='50' cy='50' r='5'/>", 9600.0),
        (f"<style>@import url(x); .a{{display:none}}</style>{PLATE}<circle class='a' cx='50' cy='50' r='5'/>", 9600.0),
        (f'<switch><foreignObject requiredExtensions="x"/><g>{PLATE}</g></switch>', 9600.0),
        (f'<switch><foreignObject/><g>{PLATE}</g></switch>', 9600.0),
        (f'<switch><g systemLanguage="de"><circle r="5"/></g><g>{PLATE}</g></switch>', 9600.0),
    ],
)  # fmt: skip
def test_styles_that_move_size_and_choose(tmp_path: Path, body: str, expected: float) -> None:
    assert net(tmp_path, body) == pytest.approx(expected)


def test_page_size_by_style(tmp_path: Path) -> None:
    assert net(tmp_path, PLATE, 'style="width:400mm;height:200mm" viewBox="0 0 200 100"') == pytest.approx(4 * 9600.0)
    assert net(tmp_path, PLATE, 'width="200mm" style="width:100%" viewBox="0 0 200 100"') == pytest.approx(9600.0)


def test_a_transform_about_an_unknown_origin_is_refused(tmp_path: Path) -> None:
    body = f'{PLATE}<circle r="5" style="transform:scale(2);transform-origin:center"/>'
    assert "entity-unreadable" in codes(read(tmp_path, svg(body), "plate.svg"), "error")


def test_rules_about_relations_are_followed_and_others_that_hide_refused(tmp_path: Path) -> None:
    aux = '<g class="aux"><g><circle cx="50" cy="50" r="5"/></g></g>'
    for rule in ("g circle", ".aux circle", "g.aux > g > circle", "svg .aux g circle"):
        body = f"<style>{rule}{{display:none}}</style>{PLATE}{aux}"
        assert net(tmp_path, body) == pytest.approx(9600.0)  # exact: the circle is not shown
    for rule in ("g.aux > circle", ".other circle"):
        body = f"<style>{rule}{{display:none}}</style>{PLATE}{aux}"
        assert net(tmp_path, body) < 9600.0
    body = f'<style>g[class="aux"] circle{{display:none}}</style>{PLATE}{aux}'
    assert "style-left-out" in codes(read(tmp_path, svg(body), "plate.svg"), "error")


def test_the_program_that_names_itself_is_believed(tmp_path: Path) -> None:
    # exact: 90 px an inch by the version; 486 px are 137.16 mm, no round number of anything
    size = 'width="972" height="486" xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape" ' + (
        'inkscape:version="0.48.4 r9939"'
    )
    body = '<rect width="972" height="486"/>' + "".join(
        f'<circle cx="{x}" cy="{y}" r="20.25"/>' for x in (81, 891) for y in (81, 405)
    )
    body += '<circle cx="486" cy="243" r="13.5"/><circle cx="300" cy="243" r="9"/><circle cx="600" cy="243" r="15"/>'
    drawing = read(tmp_path, svg(body, size), "plate.svg")
    assert drawing.units.mm_per_unit == pytest.approx(25.4 / 90.0)


# ---- hostile ------------------------------------------------------------------------------------------------------


def _seconds(tmp_path: Path, data: str | bytes, name: str = "plate.dxf") -> float:
    path = save(tmp_path, data, name)
    begin = time.process_time()
    with contextlib.suppress(LimitError):
        read_drawing(path)
    return time.process_time() - begin


def test_lines_that_need_a_closer_look_cost_no_more_each_when_there_are_many(tmp_path: Path) -> None:
    # exact: four times as many may take four times as long; a look at all the rest for each would take sixteen times
    row = line(0, 0, 1, 1).replace("11\n1\n", "11\n1,5\n")
    few, many = (_seconds(tmp_path, dxf(row * n)) for n in (2000, 8000))
    assert many < 10.0 * max(few, 0.02)


def test_lines_from_one_point_cost_no_more_each_when_there_are_many(tmp_path: Path) -> None:
    def star(n: int) -> str:
        return dxf(*[line(0, 0, round(9 * cos(k), 4), round((9 + k / n) * sin(k), 4)) for k in range(n)])

    # exact: four times as many may take four times as long; each looking at all others would take sixteen times
    few, many = (_seconds(tmp_path, star(n)) for n in (1000, 4000))
    assert many < 10.0 * max(few, 0.02)


@pytest.mark.slow
def test_many_words_and_many_boxes_in_a_border(tmp_path: Path) -> None:
    sheet = box(0, 0, 420, 297) + box(5, 5, 410, 287)
    boxes = "".join(
        polyline([(x, y), (x + 1, y), (x + 1, y + 1)]) for x in range(10, 400, 5) for y in range(10, 280, 5)
    )
    boxes += "".join(box(x + 2, y + 2, 1, 1) for x in range(10, 400, 5) for y in range(10, 280, 5))
    words = entity("TEXT", (10, 1), (20, 1), (1, "x")) * 5000
    assert _seconds(tmp_path, dxf(sheet, boxes, words)) < 8.0


_BIG = 300_000


@pytest.mark.parametrize(
    "body",
    [
        "<style>" + "/*" * _BIG + "</style>",
        "<style>" + "a" * _BIG + "</style>",
        "<style>" + "@a" * _BIG + "</style>",
        '<g transform="' + "a" * 90_000 + '"/>',
        '<g transform="' + "translate(" * 9_000 + '"/>',
        '<g transform="' + "1" * 90_000 + '"/>',
        '<rect x="' + "1" * _BIG + '!" width="5" height="5"/>',
        '<g stroke="red" stroke-dasharray="' + "1 " * _BIG + '">' + '<path d="M0 0h1"/>' * 5000 + "</g>",
        '<defs><g id="a">' + "<text/>" * 2000 + "</g></defs>" + '<use href="#a"/>' * 2000,
        '<defs><text id="a" x="' + "1," * _BIG + '">a</text></defs>' + '<use href="#a"/>' * 2000,
        pytest.param(
            '<defs><path id="a" style="' + "a:b;" * _BIG + '" d="M0 0"/></defs>' + '<use href="#a"/>' * 2000,
            marks=pytest.mark.slow,
        ),
    ],
    ids=["comment", "word", "at-rule", "name", "open-call", "digits", "length", "dashes", "texts", "text", "style"],
)
def test_odd_texts_are_not_gone_through_again_and_again(tmp_path: Path, body: str) -> None:
    assert _seconds(tmp_path, svg(PLATE + body), "plate.svg") < 4.0


@pytest.mark.parametrize(
    ("inner", "tables"),
    [
        (entity("CIRCLE", (10, 0), (20, 0), (40, 1), layer="x" * _BIG), ""),
        (entity("INSERT", (2, "C"), *[(1, "x")] * _BIG), ""),
        (entity("POLYLINE") + entity("VERTEX", (10, "x"), (20, 1)) * 3000, ""),
        (entity("POLYLINE", layer="H") + entity("VERTEX", (10, 1), (20, 1)) * 3000,
         "0\nLAYER\n2\nH\n70\n1\n62\n7\n"),
    ],
    ids=["layer-name", "tags", "unreadable", "hidden"],
)  # fmt: skip
def test_a_block_costs_no_more_than_it_draws(tmp_path: Path, inner: str, tables: str) -> None:
    def block(name: str, body: str) -> str:
        return f"0\nBLOCK\n8\n0\n2\n{name}\n70\n0\n10\n0\n20\n0\n{body}0\nENDBLK\n8\n0\n"

    insert = entity("INSERT", (2, "B"), (70, 100), (71, 60), (44, 3), (45, 3))
    text = dxf(insert, blocks=block("B", inner) + block("C", circle(0, 0, 1)), tables=tables)
    assert _seconds(tmp_path, text) < 6.0
    if "VERTEX" in inner:  # what is not drawn counts all the same
        with pytest.raises(LimitError):
            read(tmp_path, text)


def test_attributes_used_again_count_each_time(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    body = (
        f'{PLATE}<defs><circle id="a" cx="50" cy="50" r="5" data-note="{"x" * 300}"/></defs>' + '<use href="#a"/>' * 5
    )
    assert read(tmp_path, svg(body), "plate.svg").sound
    monkeypatch.setattr("cutplan.files.svg.read.MAX_BYTES", 1000)
    with pytest.raises(LimitError, match="used again"):
        read(tmp_path, svg(body), "plate.svg")


@pytest.mark.slow
def test_a_packed_file_that_grows_is_stopped_soon(tmp_path: Path) -> None:
    data = gzip.compress(b'<svg xmlns="http://www.w3.org/2000/svg">' + b"<g/>" * 10_000_000, 1)
    assert _seconds(tmp_path, data, "plate.svgz") < 5.0


def test_a_long_list_of_classes_is_not_taken_apart(tmp_path: Path) -> None:
    body = f'<style>.c{{fill:red}}</style><rect class="{"c " * 3_000_000}" width="50" height="50"/>'
    assert _seconds(tmp_path, svg(body), "plate.svg") < 2.0


def test_too_many_loose_arcs_are_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("cutplan.files.outline.gather.MAX_LOOSE_ARCS", 3)
    with pytest.raises(LimitError, match="arcs"):
        read(tmp_path, dxf(*[arc(20 * k, 0, 5, 0, 90) for k in range(4)]))


def test_too_many_arcs_of_all_outlines_are_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("cutplan.files.outline.gather.MAX_ARCS", 5)
    with pytest.raises(LimitError, match="arcs"):
        read(tmp_path, dxf(polyline([(k, 0, 0.1) for k in range(6)])))


def test_too_many_values_of_a_binary_file_are_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("cutplan.files.dxf.tags.MAX_LINES", 20)
    data = b"AutoCAD Binary DXF\r\n\x1a\x00" + b"\x00\x00SECTION\x00" * 11
    with pytest.raises(LimitError, match="values"):
        read_drawing(save(tmp_path, data))


def test_an_open_outline_of_very_many_pieces_is_still_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("cutplan.files.outline.loose.tangles._PIECES", 10)
    ring = [(50 * cos(0.1 * k), 50 * sin(0.1 * k)) for k in range(60)]
    assert "open-outline" in codes(read(tmp_path, dxf(polyline(ring, closed=False))), "error")


# ---- repeats with rounding ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("shift", [0.0, 3e-4, 1e-3])
@pytest.mark.parametrize("turn", [0.0, pi / 2, 0.6])
def test_lines_and_circles_drawn_again_with_rounding(tmp_path: Path, shift: float, turn: float) -> None:
    k, s = cos(turn), sin(turn)

    def at(x: float, y: float, off: float) -> tuple[float, float]:
        return k * x - s * y + off, s * x + k * y + off

    corners = [(0, 0), (100, 0), (100, 50), (0, 50)]
    drawn = []
    for off in (0.0, shift):
        p = [at(*c, off) for c in corners]
        drawn += [line(*p[i], *p[(i + 1) % 4]) for i in range(4)] + [circle(*at(30, 20, off), 5)]
    drawing = read(tmp_path, dxf(*drawn))
    assert drawing.sound, drawing.findings
    (part,) = drawing.parts
    assert part.region.area == pytest.approx(5000 - 25 * pi, rel=1e-4)  # exact but for the shift
    assert len(part.region.holes) == 1


@pytest.mark.parametrize("turn", [0.0, pi / 2, pi, 2.0])
def test_overlapping_lines_in_any_direction_with_rounding(tmp_path: Path, turn: float) -> None:
    k, s = cos(turn), sin(turn)

    def at(x: float, y: float) -> tuple[float, float]:
        return round(k * x - s * y, 4), round(s * x + k * y, 4)

    pairs = [((0, 0), (60, 0)), ((100, 0), (40, 0)), ((100, 0), (100, 50)), ((0, 50), (100, 50)), ((0, 50), (0, 20)),
             ((0, 0), (0, 30))]  # fmt: skip
    drawing = read(tmp_path, dxf(*[line(*at(*a), *at(*b)) for a, b in pairs]))
    assert drawing.sound, drawing.findings
    assert drawing.parts[0].region.area == pytest.approx(5000.0, rel=1e-5)  # exact but for the rounding


def test_a_plate_that_stands_only_on_a_layout_is_told_so(tmp_path: Path) -> None:
    on_paper = polyline([(0, 0), (200, 0), (200, 100), (0, 100)]).replace("8\n0\n", "67\n1\n8\n0\n", 1)
    drawing = read(tmp_path, dxf(on_paper))
    (fault,) = [f for f in drawing.findings if f.severity == "error"]
    assert fault.code == "no-outline" and "paper space" in str(fault.message) and "model space" in str(fault.fix)
    assert not [f for f in drawing.findings if "over all" in str(f.message)]  # what is not read has no size


def test_a_single_thing_is_told_in_the_singular(tmp_path: Path) -> None:
    ring = [box(-150, -150, 300, 300), circle(0, 0, 100), box(-40, -40, 80, 80), line(5, 5, 5, 5)]
    said = [str(f.message) for f in read(tmp_path, dxf(*ring)).findings]
    assert any("lies around a plain outline" in s for s in said), said
    assert "1 drawn thing without length was dropped" in said
