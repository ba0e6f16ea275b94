"""Bad surroundings end in a sentence, never in a traceback: closed streams, full disks, folders that are gone."""

from __future__ import annotations

import hashlib
import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from cutplan.errors import CutplanError
from cutplan.files.traced import account_path

ROOT = Path(__file__).parents[2]
pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="streams and folders of a Unix system")
CALL = f'"{sys.executable}" -m cutplan'


def shell(line: str, cwd: Path, **env: str) -> subprocess.CompletedProcess[str]:
    whole = {**os.environ, "PYTHONPATH": str(ROOT), **env}
    return subprocess.run(["/bin/sh", "-c", line], capture_output=True, text=True, cwd=cwd, env=whole, check=False)


@pytest.mark.parametrize(
    "line",
    [
        f"{CALL} read none.dxf 2>&-",
        f"{CALL} completion bash >&-",
        f"{CALL} completion bash >/dev/full",
        f"{CALL} read none.dxf --json >/dev/full 2>/dev/full",
        f"{CALL} completion fish | head -c 10",
        f"mkdir gone && cd gone && rmdir ../gone && {CALL} check job.toml",
        f"mkdir gone && cd gone && rmdir ../gone && {CALL} new job.toml --thickness 3 --skin 2",
        f"{CALL} coupon paper --measured x=180 y=99999999999999999999999999999999999999",
        f"{CALL} check \"$(printf 'a%.0s' $(seq 300))\"",
    ],
)
def test_no_surroundings_end_in_a_traceback(tmp_path: Path, line: str) -> None:
    if "/dev/full" in line and not Path("/dev/full").exists():
        pytest.skip("this system has no /dev/full")
    done = shell(line, tmp_path, CUTPLAN_CONFIG=str(tmp_path / "config"))
    assert "Traceback" not in done.stderr + done.stdout and "Exception ignored" not in done.stderr
    assert done.returncode in (0, 1, 2), (done.returncode, done.stderr)
    assert "head" in line or ">&-" in line or done.returncode != 0


def test_a_home_that_cannot_be_entered_is_no_hindrance(tmp_path: Path) -> None:
    (tmp_path / "job.toml").write_text('units = "mm"\n')
    env = {"HOME": "/proc/1/root/none", "XDG_CONFIG_HOME": "", "XDG_CACHE_HOME": "", "CUTPLAN_CACHE": ""}
    done = shell(f"unset CUTPLAN_CONFIG; {CALL} check job.toml", tmp_path, **env)
    assert done.returncode == 1 and "title" in done.stderr and "Traceback" not in done.stderr


def test_readings_with_an_endless_cell_are_refused(call, samples: Path) -> None:  # type: ignore[no-untyped-def]
    Path("m.csv").write_text("kind,name,to,plan,measured,unit,note\ndistance,A,B,1,2,mm," + "x" * 140_000 + "\n")
    done = call("inspect", samples / "trailer-spring-hanger", "m.csv")
    assert done.code == 1 and "longer than" in done.err


def test_no_name_of_the_users_is_a_formula_in_the_form(tmp_path: Path) -> None:
    import csv

    from cutplan.files.job.read import read_job
    from cutplan.inspection.form import form_csv
    from cutplan.inspection.readings import read_readings

    names = ["=cmd|' /C calc'!A0", "+1", "-1", "@SUM(A1)", "'=x"]
    pads = "".join(f'[[pad]]\nname = "{n}"\nat = [{40 * i + 40}, 60]\n' for i, n in enumerate(names))
    text = 'units = "mm"\ntitle = "t"\n[plate]\nshape = "rectangle"\nwidth = 300\nheight = 120\nthickness = 3\n'
    (tmp_path / "job.toml").write_text(text + "[skin]\nthickness = 2\n" + pads)
    form = form_csv(read_job(tmp_path))
    rows = list(csv.reader(form.splitlines()))
    assert not [c for row in rows for c in row if c.startswith(("=", "+", "@", "-"))]
    measured = rows[0].index("measured")
    for row in rows[1:]:
        row[measured] = "0.1"
    filled = "\n".join(",".join(f'"{c}"' for c in row) for row in rows)
    found = {r.name for r in read_readings(filled)} | {r.to for r in read_readings(filled)}
    assert set(names) <= found  # read back as they are


@pytest.mark.slow
def test_an_input_is_never_the_output_of_inspect(call, samples: Path) -> None:  # type: ignore[no-untyped-def]
    job = samples / "trailer-spring-hanger"
    assert call("inspect", job, "--form", "m.csv").code == 0
    mine = Path("m.csv").read_bytes()
    text = mine.decode().replace(",,mm,", ",1.0,mm,")
    Path("m.csv").write_text(text)
    done = call("inspect", job, "m.csv", "-o", "m.csv")
    assert Path("m.csv").read_text() == text and "not replaced" in done.err
    Path("other.pdf").write_text("mine")
    done = call("inspect", job, "m.csv", "-o", "other.pdf")
    assert Path("other.pdf").read_text() == "mine" and "not replaced" in done.err


@pytest.mark.parametrize("name", ["/", ".", "..", "//", "/dev/zero", "a" * 300 + ".dxf", "a.dxf/b.dxf"])
def test_an_odd_name_of_a_drawing_is_told(tmp_path: Path, name: str) -> None:
    from cutplan.files.job.read import read_job
    from cutplan.project.run.inputs import input_files

    text = f'units = "mm"\ntitle = "x"\n[plate]\ndrawing = "{name}"\nthickness = 3\n[skin]\nthickness = 2\n'
    (tmp_path / "job.toml").write_text(text)
    with pytest.raises(CutplanError):
        read_job(tmp_path / "job.toml")
    assert tmp_path / "job.toml" in input_files(tmp_path)


def test_a_pipe_with_a_name_is_not_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "job.toml")
    done = subprocess.run(
        [sys.executable, "-m", "cutplan", "check", "job.toml"],
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert done.returncode == 1 and "no name of a file" in done.stderr


@pytest.mark.parametrize("line", [["marks", "-o", "mine.png"], ["read", "plate.dxf", "--picture", "mine.png"]])
def test_no_file_of_the_users_is_replaced_by_one_that_is_asked_for(call, samples: Path, line: list[str]) -> None:  # type: ignore[no-untyped-def]
    Path("plate.dxf").write_bytes((samples / "trailer-spring-hanger" / "plate.dxf").read_bytes())
    options = ["--units", "mm"] if line[0] == "read" else []
    Path("mine.png").write_text("mine")
    done = call(*line, *options)
    assert done.code == 1 and "not replaced" in done.err and Path("mine.png").read_text() == "mine"
    Path("mine.png").unlink()
    assert call(*line, *options).code == 0
    assert call(*line, *options).code == 0  # our own is made anew
    made = Path("mine.png").read_bytes()
    Path("mine.png").write_bytes(made + b" ")
    assert call(*line, *options).code == 1 and Path("mine.png").read_bytes() == made + b" "


@pytest.mark.parametrize("call_it", [["marks", "-o"], ["coupon", "paper", "-o"]])
def test_a_pipe_or_a_device_is_never_replaced(call, call_it: list[str]) -> None:  # type: ignore[no-untyped-def]
    os.mkfifo("pipe")
    done = call(*call_it, "pipe")
    assert done.code == 1 and not Path("pipe").is_file()
    assert sorted(p.name for p in Path().iterdir()) == ["pipe"]


def test_a_drawing_of_the_users_is_not_replaced_by_a_tracing(call) -> None:  # type: ignore[no-untyped-def]
    from cutplan.project.trace_files import refuse_before

    Path("plate.dxf").write_text("mine")
    with pytest.raises(CutplanError, match="not replaced"):
        refuse_before(Path("plate.dxf"))
    digest = hashlib.sha256(b"traced").hexdigest()
    account_path(Path("plate.dxf")).write_text(json.dumps({"drawing_sha256": digest, "request": {}}))
    with pytest.raises(CutplanError, match="not replaced"):
        refuse_before(Path("plate.dxf"))  # changed since it was traced
    Path("plate.dxf").write_bytes(b"traced")
    refuse_before(Path("plate.dxf"))
    account_path(Path("plate.dxf")).write_text("notes of mine")
    with pytest.raises(CutplanError, match="not replaced"):
        refuse_before(Path("plate.dxf"))


@pytest.mark.parametrize(
    "line", [["check"], ["make"], ["place"], ["inspect", "job.toml"], ["trace", "--thickness", "3"]]
)
@pytest.mark.parametrize("file", ["/dev/zero", "pipe"])
def test_what_has_no_end_is_not_read_on(call, monkeypatch: pytest.MonkeyPatch, line: list[str], file: str) -> None:  # type: ignore[no-untyped-def]
    from cutplan.photo import picture

    monkeypatch.setattr(picture, "MOST_BYTES", 1_000_000)
    text = 'units = "mm"\ntitle = "x"\n[plate]\nshape = "rectangle"\nwidth = 90\nheight = 90\nthickness = 3\n'
    Path("job.toml").write_text(text + "[skin]\nthickness = 2\n")
    os.mkfifo("pipe")
    done = call(*line, file)
    assert done.code == 1 and len(done.err) < 2000


def test_a_job_whose_name_is_no_text_gets_a_title(call) -> None:  # type: ignore[no-untyped-def]
    done = call("new", "\udcffx.toml", "--thickness", "3", "--skin", "2")
    assert done.code == 0 and 'title = "?x"' in Path("\udcffx.toml").read_text(encoding="utf-8")
