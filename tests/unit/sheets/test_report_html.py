"""The report as a file: offline, complete, every figure with unit and source, the same order as sheet and summary."""

from __future__ import annotations

import json
import re
from base64 import b64decode
from dataclasses import replace
from html.parser import HTMLParser

import numpy as np
import pytest
from sheet_results import sample, sample_names, small, small_report

from cutplan.pattern.job import Shown
from cutplan.report.bench import bench_steps
from cutplan.report.facts import facts
from cutplan.report.report import report_html
from cutplan.report.summary import summary
from cutplan.report.welding.mesh import screen_mesh
from cutplan.report.welding.play import out_of_flat_so_far
from cutplan.sheets.results import Results
from cutplan.texts.by_id import told


class Tree(HTMLParser):
    """Tables by the id of their box, ids, and everything that could ask a network."""

    def __init__(self) -> None:
        super().__init__()
        self.tables: dict[str, list[list[str]]] = {}
        self.ids: list[str] = []
        self.asks: list[str] = []
        self.data = ""
        self._box = ""
        self._cell = False
        self._data = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        found = dict(attrs)
        if found.get("id"):
            self.ids.append(str(found["id"]))
        for name in ("src", "href", "action", "poster", "data", "xlink:href"):
            value = found.get(name)
            if value and not value.startswith(("#", "data:image/png;base64,")):  # a picture's own bytes ask nobody
                self.asks.append(f"{tag} {name}={value}")
        if "scroll" in str(found.get("class", "")).split():
            self._box = str(found.get("id") or f"table-{len(self.tables)}")
            self.tables[self._box] = []
        if tag == "tr" and self._box:
            self.tables[self._box].append([])
        if tag in ("td", "th") and self._box:
            self.tables[self._box][-1].append("")
            self._cell = True
        self._data = tag == "script" and found.get("id") == "data"

    def handle_endtag(self, tag: str) -> None:
        if tag in ("td", "th"):
            self._cell = False
        if tag == "table":
            self._box = ""
        self._data = False

    def handle_data(self, data: str) -> None:
        if self._cell and self._box:
            self.tables[self._box][-1][-1] += data
        if self._data:
            self.data += data


def tree(results: Results, lang: str = "en") -> tuple[Tree, str]:
    return read(report_html(results, lang))


def small_tree(lang: str = "en") -> tuple[Tree, str]:
    return read(small_report(lang))


def read(html: str) -> tuple[Tree, str]:
    found = Tree()
    found.feed(html)
    return found, html


def test_nothing_in_it_asks_a_network() -> None:
    found, html = small_tree()
    assert found.asks == []
    outside = set(re.findall(r"https?://[^\s\"'<>]+", html)) - {"http://www.w3.org/2000/svg"}
    assert outside == set()
    assert "@import" not in html and "url(" not in html and "fetch(" not in html and "XMLHttp" not in html


def test_the_policy_forbids_every_request_and_names_its_own_script() -> None:
    from base64 import b64encode
    from hashlib import sha256

    html = small_report()
    policy = re.search(r'Content-Security-Policy" content="([^"]+)"', html)
    assert policy is not None
    rules = policy[1].replace("&#x27;", "'")
    assert "default-src 'none'" in rules and "connect-src" not in rules and "unsafe" not in rules
    script = re.search(r"<script>(.*?)</script>", html, re.S)
    assert script is not None
    assert b64encode(sha256(script[1].encode()).digest()).decode() in rules


def test_identifiers_are_unique() -> None:
    found, _ = small_tree()
    assert len(found.ids) == len(set(found.ids))


@pytest.mark.parametrize("lang", ["en", "de"])
def test_every_figure_has_a_unit_and_a_source(lang: str) -> None:
    found, _ = small_tree(lang)
    rows = found.tables["all-figures"][1:]
    assert len(rows) == len(facts(small(), lang)) > 40
    for label, value, unit, band, source in rows:
        assert label and unit and source, (label, unit, source)
        assert re.search(r"\d", value), label
        assert band, label


def test_stiffness_is_told_as_a_ratio_with_decimals_and_braces_and_pads_in_tables() -> None:
    results = small()
    plan = results.opening
    assert plan is not None and plan.worth and plan.bracing.choices
    found, html = tree(results)
    kept = [r for r in found.tables["all-figures"] if "tiffness" in r[0]]
    assert kept and all(r[2] == "ratio" and re.fullmatch(r"\d\.\d\d", r[1]) for r in kept), kept
    braces = found.tables["braces"][1:]
    assert len(braces) == len(plan.bracing.choices) and sum(r[0].startswith("▶") for r in braces) == 1
    told = summary(results)["opening"]
    assert [c["design"] for c in told["braces"]] == [c.design for c in plan.bracing.choices]
    assert sum(c["chosen"] for c in told["braces"]) == 1
    for row, worth, plain in zip(found.tables["worth"][1:], plan.worth, told["worth"], strict=True):
        assert row[0] == worth.pad == plain["pad"]
        assert row[1].startswith(f"{100.0 * worth.flat.mid:.0f} % (")
        assert row[2].startswith(f"{100.0 * worth.bent.mid:.0f} % (")
        assert plain["in_plane"]["low"] <= plain["in_plane"]["mid"] <= plain["in_plane"]["high"]
    assert "not strength" in html


def test_predictions_of_the_weld_carry_a_band() -> None:
    by_key = {f.key: f for f in facts(small())}
    for key in ("heat", "t85", "shrink", "closing", "angle", "tendon", "flatness", "pitch", "tilt", "wire", "gas"):
        f = by_key[f"weld.{key}"]
        assert f.low is not None and f.high is not None and f.low <= f.value <= f.high


def test_the_order_is_that_of_the_summary() -> None:
    found, _ = small_tree()
    weld = summary(small())["weld"]
    names = [row[2] for row in found.tables["beads"][1:]]
    assert names == weld["tack_order"] + weld["stitch_order"]
    data = json.loads(found.data)
    played = [s["name"] for s in data["weld"] if s.get("kind")]
    assert played == names
    cuts = [row[1] for row in found.tables["cut-order"][1:]]
    assert cuts == summary(small())["cut"]["order"] == data["cut"]


def test_every_order_compared_stands_in_the_chart() -> None:
    found, _ = small_tree()
    names = [row[0].removesuffix(" ✔").removesuffix(" =") for row in found.tables["order-chart"][1:]]
    assert names == [o["name"] for o in summary(small())["weld"]["orders"]]


def test_the_last_step_shows_the_flatness_that_the_stitches_of_the_chosen_order_leave() -> None:
    results = small()
    assert results.weld is not None and results.weld.order.shape is not None
    chosen = next(o for o in results.weld.order.compared if o.chosen)
    flat = out_of_flat_so_far(results.job, results.weld.order.shape)
    assert flat[0] == pytest.approx(0.0, abs=1e-9)
    assert chosen.stitched is not None
    assert flat[-1] == pytest.approx(chosen.stitched.flatness_mm.mid, rel=0.1, abs=0.005)


def test_the_packed_shape_unpacks_to_the_lift() -> None:
    results = small()
    assert results.weld is not None and results.weld.order.shape is not None
    shape = results.weld.order.shape
    packed = json.loads(tree(results)[0].data)["shape"]
    lift = np.frombuffer(b64decode(packed["lift"]), dtype="<i2").astype(float) * packed["grain_mm"]
    kept, triangles = screen_mesh(shape)
    assert packed["count"] == len(kept)
    assert lift.reshape(-1, len(kept)) == pytest.approx(shape.lift_mm[:, kept], abs=packed["grain_mm"])
    corners = np.frombuffer(b64decode(packed["triangles"]), dtype="<i2").astype(int) + 32768
    assert (corners.reshape(-1, 3) == triangles).all()


def test_text_from_the_job_cannot_break_out() -> None:
    from dataclasses import replace

    nasty = replace(
        small(),
        job=replace(
            small().job, about=replace(small().job.about, title="</script><img src=x onerror=alert(1)>", note='"><b>')
        ),
    )
    found, html = tree(nasty)
    assert found.asks == []
    assert "<img src=x" not in html and '"><b>' not in html


def test_it_is_small_and_the_same_twice() -> None:
    first = small_report()
    assert len(first.encode()) < 3_000_000
    assert first == report_html(small())


@pytest.mark.slow
@pytest.mark.parametrize("name", sample_names())
def test_every_sample_s_report_is_small_and_complete(name: str) -> None:
    found, html = tree(sample(name))
    assert len(html.encode()) < 3_000_000
    assert found.asks == []
    for row in found.tables["all-figures"][1:]:
        assert all(row), row


def test_previews_are_pictures_of_each_drawing() -> None:
    from cutplan.drawing.png import render_png
    from cutplan.report.previews import previews

    found = previews(small())
    assert {"plate", "tiles", "path", "opening", "opening-01", "weld-order", "weld-compared", "displaced"} <= set(found)
    for name in ("plate", "displaced"):
        assert render_png(found[name], dpi=60)[:8] == b"\x89PNG\r\n\x1a\n"


def test_a_key_figure_in_inches_keeps_its_millimetres_in_one_piece() -> None:
    html = report_html(replace(small(), job=replace(small().job, shown=Shown("in"))))
    keys = html[html.index('<dl class="keys">') : html.index("</dl>")]
    assert len(re.findall(r'<span class="num">\(\d+ mm\)</span>', keys)) == 2  # cut and weld


@pytest.mark.parametrize("lang", ["en", "de"])
def test_at_the_bench_plug_welds_and_sleeves_come_after_the_stitches(lang: str) -> None:
    titles = [s["title"] for s in bench_steps(small(), lang) if s["part"] == told("report.welding", lang)]
    plug = titles.index({"en": "Plug weld H6", "de": "Lochnaht H6"}[lang])
    sleeve = next(i for i, t in enumerate(titles) if t.startswith("H4: "))
    plan = small().weld
    assert plan is not None and plan.later
    # exact: every bead of the map comes before them
    assert len(plan.tacks) + len(plan.stitches) <= plug < sleeve == len(titles) - len(plan.later)


def test_one_pad_has_no_column_for_the_distance_to_another() -> None:
    head = told("fact.weld.pitch")
    plan = small().weld
    assert plan is not None
    one = replace(small(), job=replace(small().job, pads=small().job.pads[:1]))
    chart = [re.search(r'<table class="chart">.*?</table>', report_html(r), re.S) for r in (small(), one)]
    assert [head in found[0] for found in chart if found] == [True, False]
