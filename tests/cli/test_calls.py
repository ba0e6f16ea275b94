"""Commands as a user calls them: exit 0 done, 1 cannot be done, 2 wrong call; never a traceback."""

from __future__ import annotations

import json
import os
import re
import shlex
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from weld_samples import coarsely

SAMPLES = sorted(p.parent.name for p in (Path(__file__).parents[2] / "sample_parts").glob("*/job.toml"))
DRAWN = sorted(p.parent.name for p in (Path(__file__).parents[2] / "sample_parts").glob("*/plate.dxf"))


def test_help_of_every_command_names_what_it_does(call) -> None:  # type: ignore[no-untyped-def]
    top = call("--help")
    assert top.code == 0
    for command in ("demo", "new", "read", "check", "make", "coupon", "inspect", "completion"):
        assert command in top.out
        assert call(command, "--help").code == 0


@pytest.fixture
def coarse(tmp_path: Path) -> Iterator[None]:
    """Weld plans with the coarsest model: that a job can be checked does not hang on it."""
    with coarsely(tmp_path / "cache"):
        yield


@pytest.mark.parametrize(
    "args",
    [
        (),
        ("weld",),
        ("read",),
        ("read", "a.dxf", "--units", "yard"),
        ("coupon", "cheese"),
        ("make",),
        ("make", "a", "--only", "poem"),
        ("inspect", "x"),
        ("coupon", "paper", "--measured", "x"),
    ],
)
def test_wrong_calls_exit_2(call, args: tuple[str, ...]) -> None:  # type: ignore[no-untyped-def]
    done = call(*args)
    assert done.code == 2
    assert "Traceback" not in done.err and done.err.strip()


@pytest.mark.parametrize(
    "args",
    [
        ("read", "none.dxf"),
        ("read", "."),
        ("check", "none"),
        ("make", "none"),
        ("check", "."),
        ("inspect", "none", "none.csv"),
        ("coupon", "paper", "--measured", "x=100 mm", "y=100 mm"),
        ("new", "a.toml", "--drawing", "none.dxf"),
    ],
)
def test_what_cannot_be_done_exits_1_with_a_sentence(call, args: tuple[str, ...]) -> None:  # type: ignore[no-untyped-def]
    done = call(*args)
    assert done.code == 1
    assert done.err.startswith("error: ") and "Traceback" not in done.err
    assert "try:" in done.err


def test_read_prints_the_agreed_object(call, samples: Path) -> None:  # type: ignore[no-untyped-def]
    done = call("read", samples / "van-nose-mount" / "plate.dxf", "--json")
    assert done.code == 0
    found = json.loads(done.out)
    assert set(found) == {"file", "units", "parts", "findings", "account_mm"}
    assert found["units"]["mm_per_unit"] == 1.0 and found["units"]["reason"]
    part = found["parts"][0]
    assert set(part) == {"size_mm", "outer_area_mm2", "net_area_mm2", "holes"}
    assert part["size_mm"] == pytest.approx([330, 205])  # exact: as drawn
    rounds = sorted(h["diameter_mm"] for h in part["holes"] if h["kind"] == "round")
    assert rounds == pytest.approx([13, 13, 13, 13, 26, 62])
    assert sum(h["kind"] == "other" for h in part["holes"]) == 1
    for f in found["findings"]:
        assert set(f) == {"code", "severity", "message", "where", "fix"}


def test_read_json_of_a_broken_drawing_is_still_one_object(call, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    bad = tmp_path / "page.dxf"
    bad.write_text("<!DOCTYPE html><html><body>404</body></html>")
    done = call("read", bad, "--json")
    assert done.code == 1
    found = json.loads(done.out)  # a refusal has the shape of an answer
    assert set(found) == {"file", "units", "parts", "findings", "account_mm"} and found["parts"] == []
    assert [f["severity"] for f in found["findings"]] == ["error"] and "web page" in found["findings"][0]["message"]


@pytest.mark.parametrize(
    "name", [n if n == "buggy-doubler" else pytest.param(n, marks=pytest.mark.slow) for n in DRAWN]
)
def test_new_makes_a_job_that_can_be_checked(call, coarse: None, samples: Path, name: str) -> None:  # type: ignore[no-untyped-def]
    drawing = samples / name / "plate.dxf"
    unit = ("--units", "mm") if name == "trailer-spring-hanger" else ()  # an old drawing that states none
    rest = ("--thickness", "4", "--skin", "2.5", *unit)
    made = call("new", "mine/job.toml", "--drawing", drawing, *rest)
    assert made.code == 0, made.err
    assert Path("mine/plate.dxf").exists() and Path("mine/plate-reading.png").exists()
    again = call("new", "mine/job.toml")
    assert again.code == 1 and "already" in again.err
    checked = call("check", "mine", "--json")
    assert checked.code == 0, checked.out + checked.err
    assert json.loads(checked.out)["ok"] is True


def test_new_without_a_drawing(call, coarse: None) -> None:  # type: ignore[no-untyped-def]
    for units, thick in (("mm", "3"), ("in", "3/16")):
        made = call("new", f"{units}.toml", "--units", units, "--joint", "lap", "--thickness", thick, "--skin", thick)
        assert made.code == 0, made.err
    assert call("check", "in.toml").code == 0
    text = Path("in.toml").read_text()
    assert 'thickness = "3/16 in"' in text and "4.7625" not in text and '"Letter"' in text


def test_what_only_the_user_can_measure_is_never_invented(call) -> None:  # type: ignore[no-untyped-def]
    made = call("new", "a job.toml", "--paper", "A2")
    assert made.code == 0 and "still open" in made.out and 'cutplan check "a job.toml"' in made.out
    done = call("check", "a job.toml")
    assert done.code == 1 and "plate.thickness" in done.err and "skin.thickness" in done.err and "caliper" in done.err
    assert call("new", "b.toml", "--paper", "A7").code == 2


def test_help_speaks_the_language_of_the_terminal(call, coarse: None, monkeypatch: pytest.MonkeyPatch) -> None:  # type: ignore[no-untyped-def]
    for language, word in (("de", "Aufruf:"), ("en", "usage:"), ("xx", "usage:")):
        monkeypatch.setenv("CUTPLAN_LANGUAGE", language)
        for command in ((), ("new",), ("coupon",)):
            assert word in call(*command, "--help").out
    monkeypatch.delenv("CUTPLAN_LANGUAGE")
    monkeypatch.setenv("LC_ALL", "de_DE.UTF-8")
    assert "die Platte" in call("new", "--help").out
    made = call("new", "job.toml", "--thickness", "4", "--skin", "2", "--language", "de")
    assert made.code == 0 and "wie die Platte geschnitten wird" in Path("job.toml").read_text(encoding="utf-8")
    assert call("check", "job.toml").code == 0


def test_completion_names_every_command_and_flag(call) -> None:  # type: ignore[no-untyped-def]
    for shell in ("bash", "zsh", "fish"):
        done = call("completion", shell)
        assert done.code == 0 and "inspect" in done.out and "measured" in done.out
    script = call("completion", "bash").out
    probe = script + '\nCOMP_WORDS=(cutplan make --o); COMP_CWORD=2; _cutplan; echo "${COMPREPLY[@]}"\n'
    if os.path.exists("/bin/bash"):
        assert "--only" in subprocess.run(["/bin/bash", "-c", probe], capture_output=True, text=True, check=True).stdout


def test_running_the_module_prints_no_traceback(tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "cutplan", "read", str(tmp_path / "none.dxf")],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 1 and done.stderr.startswith("error:") and "Traceback" not in done.stderr


def test_coupon_paper_teaches_the_shop_file(call, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    assert call("coupon", "paper", "-o", "out").code == 0
    assert Path("out/coupon-paper.pdf").read_bytes().startswith(b"%PDF")
    done = call("coupon", "paper", "--measured", "x=179.1", "y=261.3", "--json")
    assert done.code == 0, done.err
    learnt = json.loads(done.out)["learnt"]
    # exact: nominal over measured, A4 sheet with 10 mm border has a rectangle of 180 x 260 mm
    assert learnt["correction"]["x"] == pytest.approx(180 / 179.1)
    assert learnt["correction"]["y"] == pytest.approx(260 / 261.3)
    assert (tmp_path / "config" / "shop.toml").exists()


def test_printed_next_steps_work_when_pasted(call) -> None:  # type: ignore[no-untyped-def]
    made = call("new", "two words/job.toml", "--thickness", "4", "--skin", "2.5", "--paper", "A3")
    pasted = [made.out.strip().splitlines()[-1].partition("next: read it through, then")[2]]
    for process in ("air plasma", "jigsaw"):
        job = Path("two words/job.toml")
        text = re.sub(
            r'^process = ".*?"', f'process = "{process}"', job.read_text(encoding="utf-8"), count=1, flags=re.M
        )
        job.write_text(text, encoding="utf-8")
        done = call("make", "two words", "-o", process, "--only", "plate-path")
        assert done.code == 0, done.err
        pasted += re.findall(r"cut a trial piece and measure it: (cutplan .*)", done.err + done.out)
        # a saw led by hand has no trial piece: none is asked for
        assert ("feeler gauge" in done.err + done.out) == (process == "jigsaw")
    text = re.sub(r'^process = ".*?"', 'process = "laser"', job.read_text(encoding="utf-8"), count=1, flags=re.M)
    job.write_text(text, encoding="utf-8")
    for words in (("kerf", "--job", "two words"), ("paper", "--paper", "A3", "--printer", "office laser")):
        said = call("coupon", *words).out
        drawn = {n: float(v) for n, v in re.findall(r"(\w+): .*?\((?:drawn|gezeichnet) ([\d.]+) mm", said)}
        # exact: a cut of 0.25 mm on the drawn lines; a printer that is true
        read = {n: v + (0.25 if n.startswith("slot") else -0.25) for n, v in drawn.items()}
        read |= {"x": 260.0, "y": 390.0, "d1": 468.7, "d2": 468.7}
        then = said.partition("then: ")[2].splitlines()[0]
        pasted.append(" ".join(f"{n}={read[n]}" if v == "..." else n for n, _, v in _pairs(then)))
    assert len(pasted) == 4 and '"two words"' in pasted[2] and '"office laser"' in pasted[3]
    assert Path(shlex.split(pasted[0])[2]).is_file()  # check itself plans the weld: too slow to be run here
    for command in pasted[1:]:
        words = shlex.split(command)
        assert words[0] == "cutplan" and call(*words[1:]).code == 0, command


def _pairs(command: str) -> list[tuple[str, str, str]]:
    """The words of a command, each parted where it asks for a reading."""
    return [w.partition("=") for w in command.split(" ")]


def test_coupon_kerf_and_weld_keep_what_the_shop_file_held(call, samples: Path) -> None:  # type: ignore[no-untyped-def]
    job = ("--job", samples / "van-nose-mount", "--shop", "shop.toml")
    assert call("coupon", "kerf", "-o", "out", *job[:2]).code == 0
    kerf = call("coupon", "kerf", *job, "--measured", "outside_x=98.5", "outside_y=98.4", "--json")
    assert kerf.code == 0, kerf.err
    # exact: an uncompensated 100 mm square comes out one kerf small
    assert json.loads(kerf.out)["learnt"]["x_mm"] == pytest.approx(1.5, abs=0.06)
    assert call("coupon", "weld", "-o", "out", *job[:2]).code == 0
    readings = [f"{what}{i}={v}" for i in (1, 2, 3) for what, v in (("before", 51.2), ("after", 50.9), ("rise", 0.3))]
    weld = call("coupon", "weld", *job, "--measured", *readings)
    assert weld.code == 0, weld.err
    text = Path("shop.toml").read_text()
    assert "[[kerf]]" in text and "[[weld]]" in text


def test_a_blank_form_is_called_for_alone(call, samples: Path) -> None:  # type: ignore[no-untyped-def]
    for more in (("-o", "as-built.pdf"), ("measured.csv",)):
        said = call("inspect", samples / "van-nose-mount", *more, "--form", "form.csv")
        assert said.code == 2 and "blank form" in said.err and not Path("form.csv").exists()
