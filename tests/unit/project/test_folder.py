"""The output folder holds the old set or the new one, whatever happens in between."""

from __future__ import annotations

import json
import os
import random
import subprocess
import sys
import time
from pathlib import Path

import pytest

from cutplan.errors import OutputError
from cutplan.project import folder as module
from cutplan.project.folder import faults, made_from, read_manifest, write_file, write_set


def _set(mark: str, extra: int = 0) -> dict[str, bytes]:
    names = ["summary.json", "templates.pdf", "previews/plate.png", *[f"more-{i}.bin" for i in range(extra)]]
    return {name: (f"{mark} {name} " * 200).encode() for name in names}


def _mark(folder: Path) -> set[str]:
    return {p.read_text().split(" ", 1)[0] for p in folder.rglob("*") if p.is_file() and p.name != "manifest.json"}


def test_writes_and_replaces_a_set(tmp_path: Path) -> None:
    out = tmp_path / "deep" / "out"
    write_set(out, _set("old", 3), "abc")
    assert made_from(out) == "abc" and faults(out) == [] and len(read_manifest(out)) == 6
    write_set(out, _set("new"))
    assert _mark(out) == {"new"} and faults(out) == []
    assert sorted(p.name for p in out.parent.iterdir()) == ["out"]  # nothing left beside it


def test_the_users_own_files_stay(tmp_path: Path) -> None:
    out = tmp_path / "out"
    write_set(out, _set("old"))
    (out / "notes.txt").write_text("mine")
    (out / "photos").mkdir()
    (out / "photos" / "a.jpg").write_text("mine")
    (out / "previews" / "mine.png").write_text("mine")
    write_set(out, _set("new"))
    for name in ("notes.txt", "photos/a.jpg", "previews/mine.png"):
        assert (out / name).read_text() == "mine"
    assert faults(out) == []
    (out / "previews" / "mine.png").unlink()
    (out / "notes.txt").unlink()
    (out / "photos" / "a.jpg").unlink()
    assert _mark(out) == {"new"}


def test_a_changed_document_is_found(tmp_path: Path) -> None:
    write_set(tmp_path / "out", _set("old"))
    (tmp_path / "out" / "summary.json").write_bytes(b"x")
    (tmp_path / "out" / "templates.pdf").unlink()
    assert faults(tmp_path / "out") == ["summary.json", "templates.pdf"]


@pytest.mark.parametrize("exchange", [True, False])
def test_a_failure_while_writing_leaves_the_old_set(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, exchange: bool
) -> None:
    out = tmp_path / "out"
    write_set(out, _set("old"))
    if not exchange:
        monkeypatch.setattr(module, "_exchange", lambda a, b: False)
    real = module._write
    calls = 0

    def full_disk(path: Path, data: bytes) -> None:
        nonlocal calls
        calls += 1
        if calls == 3:
            raise OSError(28, "No space left on device")
        real(path, data)

    monkeypatch.setattr(module, "_write", full_disk)
    with pytest.raises(OutputError, match="disk is full"):
        write_set(out, _set("new"))
    assert _mark(out) == {"old"} and faults(out) == []
    assert [p.name for p in tmp_path.iterdir()] == ["out"]
    monkeypatch.setattr(module, "_write", real)
    write_set(out, _set("new"))
    assert _mark(out) == {"new"}


def test_a_second_run_is_refused(tmp_path: Path) -> None:
    out = tmp_path / "out"
    with module._locked(out), pytest.raises(OutputError, match="another run"):
        write_set(out, _set("new"))


@pytest.mark.parametrize("what", ["link", "file", "here"])
def test_places_that_are_no_output_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, what: str) -> None:
    out = tmp_path / "out"
    if what == "link":
        (tmp_path / "real").mkdir()
        out.symlink_to(tmp_path / "real")
    elif what == "file":
        out.write_text("mine")
    else:
        out.mkdir()
        monkeypatch.chdir(out)
    with pytest.raises(OutputError):
        write_set(out, _set("new"))
    assert what != "file" or out.read_text() == "mine"


def test_one_file_is_whole_or_untouched(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "shop.toml"
    write_file(path, b"old")

    def broken(path: Path, data: bytes) -> None:
        path.write_bytes(b"half")
        raise OSError(5, "Input/output error")

    monkeypatch.setattr(module, "_write", broken)
    with pytest.raises(OutputError):
        write_file(path, b"new")
    assert path.read_bytes() == b"old" and [p.name for p in tmp_path.iterdir()] == ["shop.toml"]


_WRITER = """
import sys
from pathlib import Path
from cutplan.project.folder import write_set
out, n = Path(sys.argv[1]), 0
print("ready", flush=True)
while True:
    n += 1
    mark = f"run{n}"
    write_set(out, {f"doc-{i}.bin": (f"{mark} " + "x" * 20000).encode() for i in range(12)})
"""


@pytest.mark.slow
@pytest.mark.skipif(sys.platform == "win32", reason="kills by signal")
def test_killed_at_fifty_random_times_it_is_never_a_mixture(tmp_path: Path) -> None:
    out = tmp_path / "out"
    chance = random.Random(7)
    kinds = set()
    for _ in range(50):
        process = subprocess.Popen(
            [sys.executable, "-c", _WRITER, str(out)], stdout=subprocess.PIPE, env={**os.environ}
        )
        assert process.stdout is not None
        process.stdout.readline()
        time.sleep(chance.uniform(0.0, 0.12))
        process.kill()
        process.wait()
        process.stdout.close()
        if out.exists():
            assert faults(out) == []
            assert len(_mark(out)) == 1
            assert len(json.loads((out / "manifest.json").read_text())["documents"]) == 12
            kinds.add(_mark(out).pop())
    assert len(kinds) > 3  # the kills fell at different moments
    write_set(out, _set("new"))
    assert _mark(out) == {"new"}
    assert [p.name for p in tmp_path.iterdir()] == ["out"]
