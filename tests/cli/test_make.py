"""The whole job: every document of the contract, the same bytes every time, no network, nothing kept that is stale."""

from __future__ import annotations

import json
import os
import socket
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from cutplan.project.folder.manifest import faults
from cutplan.project.make import make

ROOT = Path(__file__).parents[2]
SAMPLES = sorted(p.parent for p in (ROOT / "sample_parts").glob("*/job.toml"))
DOCUMENTS = {
    "summary.json",
    "templates.pdf",
    "plate-net.dxf",
    "plate-path.dxf",
    "opening.dxf",
    "job-sheet.pdf",
    "report.html",
}


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Iterator[dict[str, Path]]:
    """All samples made once."""
    base = tmp_path_factory.mktemp("made")
    out = {}
    for job in SAMPLES:
        make(job, base / job.name)
        out[job.name] = base / job.name
    yield out


@pytest.mark.slow
@pytest.mark.parametrize("name", [p.name for p in SAMPLES])
def test_every_document_is_there_and_whole(made: dict[str, Path], name: str) -> None:
    names = {p.name for p in made[name].iterdir()}
    assert names >= DOCUMENTS | {"previews", "manifest.json"}
    assert faults(made[name]) == []
    assert list((made[name] / "previews").glob("*.png"))


@pytest.mark.slow
@pytest.mark.parametrize("name", [p.name for p in SAMPLES])
def test_summary_holds_what_the_contract_asks(made: dict[str, Path], name: str) -> None:
    text = (made[name] / "summary.json").read_text(encoding="utf-8")
    s = json.loads(text)
    assert set(s) >= {
        "job",
        "units",
        "versions",
        "shop",
        "plate",
        "templates",
        "cut",
        "opening",
        "weld",
        "cautions",
        "findings",
    }
    assert set(s["plate"]) >= {"area_mm2", "net_area_mm2", "mass_kg", "holes", "perimeter_mm"}
    assert set(s["templates"]) >= {"paper", "pages", "overlap_mm", "seams_through_holes", "scale"}
    assert set(s["cut"]) >= {"process", "kerf_mm", "path_length_mm", "rapid_length_mm", "pierces", "drilled_not_cut"}
    assert set(s["opening"]) >= {"perimeter_mm", "sections", "order"}
    assert set(s["weld"]) >= {
        "length_mm",
        "tacks",
        "stitches",
        "metal_kg",
        "wire_kg",
        "heat_input_J_per_mm",
        "orders",
        "chosen",
        "brace",
        "wait_s",
    }
    for order in s["weld"]["orders"]:
        assert order["flatness_mm"]["low"] <= order["flatness_mm"]["mid"] <= order["flatness_mm"]["high"]
    assert s["weld"]["chosen"] in {o["name"] for o in s["weld"]["orders"]}
    assert len(s["cautions"]) >= 8
    assert text == json.dumps(s, indent=1, sort_keys=True, ensure_ascii=False) + "\n"


@pytest.mark.slow
def test_weld_length_is_the_length_of_the_joint(made: dict[str, Path]) -> None:
    """Exact: butt all round along the plate's own edge, arcs included; an unwelded stretch is left out."""
    from cutplan.files.job.read import read_job

    van = json.loads((made["van-nose-mount"] / "summary.json").read_text())
    outline = read_job(ROOT / "sample_parts" / "van-nose-mount").plate.outline
    assert van["weld"]["length_mm"] == pytest.approx(outline.length, rel=0.01)
    buggy_job = read_job(ROOT / "sample_parts" / "buggy-doubler")
    buggy = json.loads((made["buggy-doubler"] / "summary.json").read_text())
    left_out = sum((s.end_mm - s.start_mm) % buggy_job.plate.outline.length for s in buggy_job.joint.unwelded)
    assert buggy["weld"]["length_mm"] == pytest.approx(buggy_job.plate.outline.length - left_out, rel=0.01)


@pytest.mark.slow
def test_same_bytes_in_another_process_with_another_hash_seed(made: dict[str, Path], tmp_path: Path) -> None:
    for seed in ("1", "77"):
        out = tmp_path / seed
        env = {
            **os.environ,
            "CUTPLAN_CACHE": "off",
            "PYTHONHASHSEED": seed,
            "CUTPLAN_CONFIG": str(tmp_path / "config"),
            "TZ": "Asia/Tokyo",
        }
        subprocess.run(
            [sys.executable, "-m", "cutplan", "make", str(ROOT / "sample_parts" / "van-nose-mount"), "-o", str(out)],
            check=True,
            capture_output=True,
            env=env,
            cwd=tmp_path,
        )
        first = made["van-nose-mount"]
        for path in sorted(p for p in first.rglob("*") if p.is_file()):
            other = out / path.relative_to(first)
            assert other.read_bytes() == path.read_bytes(), f"{path.name} differs"


@pytest.mark.slow
def test_a_full_make_opens_no_socket(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*args: object, **kwargs: object) -> None:
        raise AssertionError("the program opened a socket")

    monkeypatch.setattr(socket, "socket", refuse)
    monkeypatch.setattr(socket, "create_connection", refuse)
    monkeypatch.setattr(socket, "getaddrinfo", refuse)
    make(ROOT / "sample_parts" / "trailer-spring-hanger", tmp_path / "out")


@pytest.mark.slow
def test_only_some_documents_keep_the_rest_while_the_inputs_are_the_same(tmp_path: Path) -> None:
    job = tmp_path / "job"
    job.mkdir()
    for name in ("job.toml", "plate.dxf"):
        (job / name).write_bytes((ROOT / "sample_parts" / "trailer-spring-hanger" / name).read_bytes())
    out = tmp_path / "out"
    make(job, out, ["plate-net", "templates.pdf"])
    assert {p.name for p in out.iterdir()} == {"plate-net.dxf", "templates.pdf", "manifest.json"}
    second = make(job, out, ["plate-path"])
    assert set(second.kept) == {"plate-net.dxf", "templates.pdf"}
    text = (job / "job.toml").read_text().replace('revision = "A"', 'revision = "B"')
    (job / "job.toml").write_text(text)
    third = make(job, out, ["plate-path"])
    assert third.kept == () and {p.name for p in out.iterdir()} == {"plate-path.dxf", "manifest.json"}


@pytest.mark.slow
def test_a_batch_goes_on_past_a_failed_job(call, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    bad = tmp_path / "bad.toml"
    bad.write_text('units = "mm"\n')
    done = call(
        "make",
        bad,
        ROOT / "sample_parts" / "trailer-spring-hanger",
        ROOT / "sample_parts" / "buggy-doubler",
        "-o",
        "out",
        "--only",
        "plate-net,templates",
        "--json",
    )
    assert done.code == 1
    jobs = {Path(j["job"]).name: j for j in map(json.loads, done.out.splitlines())}
    assert {n: j["state"] for n, j in jobs.items()} == {
        "bad.toml": "failed",
        "trailer-spring-hanger": "made",
        "buggy-doubler": "made",
    }
    assert "title" in jobs["bad.toml"]["error"]
    assert Path("out/buggy-doubler/plate-net.dxf").exists()


@pytest.mark.slow
def test_a_job_with_errors_writes_nothing(call, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    job = tmp_path / "job.toml"
    job.write_text(
        'units = "mm"\ntitle = "x"\n[plate]\nshape = "rectangle"\nwidth = 200\nheight = 100\nthickness = 4\n'
        "[skin]\nthickness = 2.5\n[[pad]]\nat = [900, 900]\n[[skin.rib]]\npath = [[5000, 0], [5000, 9]]\n"
    )
    done = call("make", job, "-o", "out")
    assert done.code == 1 and not Path("out").exists()
    assert "pad lies outside" in done.err and "rib lies outside" in done.err


@pytest.mark.slow
def test_inspect_from_form_to_verdict(call, samples: Path) -> None:  # type: ignore[no-untyped-def]
    job = samples / "van-nose-mount"
    assert call("inspect", job, "--form", "form.csv").code == 0
    assert call("inspect", job, "--form", "form.csv").code == 1  # never overwritten
    blank = call("inspect", job, "form.csv")
    assert blank.code == 1 and "no reading" in blank.err
    import csv

    rows = list(csv.reader(Path("form.csv").read_text(encoding="utf-8").splitlines()))
    head = rows[0]
    plan, measured = head.index("plan"), head.index("measured")
    for row in rows[1:]:
        row[measured] = row[plan]
    with Path("done.csv").open("w", encoding="utf-8", newline="") as stream:
        csv.writer(stream).writerows(rows)
    good = call("inspect", job, "done.csv", "-o", "as-built.pdf", "--json")
    assert good.code == 0, good.out + good.err
    assert json.loads(good.out)["verdict"] == "pass"
    assert Path("as-built.pdf").read_bytes().startswith(b"%PDF")
