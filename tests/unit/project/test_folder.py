"""The output folder holds the old set or the new one, and always what is the user's, whatever happens in between."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from folder_kills import a_set, killed_at, marks, put_users_things, users_things_are_there

from cutplan.errors import OutputError
from cutplan.project.folder import stage, swap
from cutplan.project.folder.lock import lock_path, locked
from cutplan.project.folder.manifest import MANIFEST, faults, made_from, manifest_bytes, read_manifest
from cutplan.project.folder.write import write_file, write_set

linux = pytest.mark.skipif(not sys.platform.startswith("linux"), reason="folders change places on Linux only")


@pytest.fixture(params=["swap", "in place"])
def way(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> str:
    if request.param == "in place":
        monkeypatch.setattr(swap, "_may_move", lambda folder: False)
    elif not sys.platform.startswith("linux"):
        pytest.skip("folders change places on Linux only")
    return str(request.param)


def _beside(out: Path) -> list[str]:
    return sorted(p.name for p in out.parent.iterdir() if p.name not in ("elsewhere", lock_path(out).name))


def test_writes_and_replaces_a_set(tmp_path: Path, way: str) -> None:
    out = tmp_path / "deep" / "out"
    write_set(out, a_set("old", 3), "abc")
    assert made_from(out) == "abc" and faults(out) == [] and len(read_manifest(out)) == 6
    put_users_things(out)
    write_set(out, a_set("new"))
    assert marks(out) == {"new"} and faults(out) == [] and not (out / "more-1.bin").exists()
    assert users_things_are_there(out)
    assert _beside(out) == ["out"]  # nothing but the lock is left beside it
    assert {p.name for p in out.iterdir()} >= {"photos", "empty", MANIFEST} and not (out / ".new-set").exists()


def test_a_changed_document_is_found(tmp_path: Path) -> None:
    write_set(tmp_path / "out", a_set("old"))
    (tmp_path / "out" / "summary.json").write_bytes(b"x")
    (tmp_path / "out" / "templates.pdf").unlink()
    assert faults(tmp_path / "out") == ["summary.json", "templates.pdf"]


@pytest.mark.parametrize("name", ["summary.json", "previews/plate.png", "previews", MANIFEST])
def test_a_file_that_no_manifest_lists_is_never_replaced(tmp_path: Path, way: str, name: str) -> None:
    out = tmp_path / "out"
    (out / name).parent.mkdir(parents=True)
    (out / name).write_text('{"documents": {}, "mine": true}')
    with pytest.raises(OutputError) as told:
        write_set(out, a_set("new"))
    assert (out / name).read_text() == '{"documents": {}, "mine": true}'
    assert name in str(told.value) and "-o" in str(told.value.hint) and "out-2" in str(told.value.hint)
    assert not (out / "templates.pdf").exists() and _beside(out) == ["out"]


def test_a_document_that_was_edited_is_never_replaced_nor_removed(tmp_path: Path, way: str) -> None:
    out = tmp_path / "out"
    write_set(out, a_set("old", 1))
    (out / "summary.json").write_text("edited")
    with pytest.raises(OutputError, match="changed since"):
        write_set(out, a_set("new"))
    assert (out / "summary.json").read_text() == "edited" and (out / "templates.pdf").read_text().startswith("old")
    write_set(out, {"report.html": b"new"})  # another set, in which that name is not written
    assert (out / "summary.json").read_text() == "edited" and not (out / "templates.pdf").exists()


def test_an_input_of_the_run_is_never_written(tmp_path: Path, way: str) -> None:
    out = tmp_path / "out"
    write_set(out, a_set("old"))  # even one that we wrote: a drawing of an earlier run
    link = tmp_path / "link.json"
    link.symlink_to(out / "summary.json")
    with pytest.raises(OutputError, match="input of this run"):
        write_set(out, a_set("new"), inputs=[link])
    assert marks(out) == {"old"}
    with pytest.raises(OutputError, match="input of the run"):
        write_file(tmp_path / "link.json", b"x", inputs=[out / "summary.json"])


def test_a_failure_while_writing_leaves_the_old_set(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, way: str) -> None:
    out = tmp_path / "out"
    real = stage.write
    calls = 0

    def full_disk(path: Path, data: bytes) -> None:
        nonlocal calls
        calls += 1
        if calls == 4:
            path.write_bytes(data[:5])
            raise OSError(28, "No space left on device")
        real(path, data)

    for first in (True, False):
        calls = 0
        monkeypatch.setattr(stage, "write", full_disk)
        with pytest.raises(OutputError, match="disk is full"):
            write_set(out, a_set("new"))
        assert [p for p in tmp_path.rglob("*") if "new" in p.name] == []  # nothing that fills the disk
        assert first or (marks(out) == {"old"} and faults(out) == [])
        monkeypatch.setattr(stage, "write", real)
        write_set(out, a_set("old"))


@linux
def test_the_folder_keeps_mode_and_group(tmp_path: Path) -> None:
    out = tmp_path / "out"
    write_set(out, a_set("old"))
    (out / "photos").mkdir(mode=0o700)
    out.chmod(0o2775)
    write_set(out, a_set("new"))
    assert out.stat().st_mode & 0o7777 == 0o2775 and (out / "photos").stat().st_mode & 0o7777 == 0o700


def test_the_current_folder_and_a_link_to_a_folder_are_written_to(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    out = tmp_path / "out"
    out.mkdir()
    monkeypatch.chdir(out)
    before = out.stat().st_ino
    write_set(Path("."), a_set("old"))
    write_set(Path("."), a_set("new"))
    assert out.stat().st_ino == before and marks(out) == {"new"} and faults(out) == []
    (tmp_path / "link").symlink_to(out)
    write_set(tmp_path / "link", a_set("newer"))
    assert (tmp_path / "link").is_symlink() and marks(out) == {"newer"}
    (tmp_path / "file").write_text("mine")
    with pytest.raises(OutputError, match="a file, not a folder"):
        write_set(tmp_path / "file", a_set("x"))


# killed at every operation -------------------------------------------------------------------------------------------


@linux
@pytest.mark.filterwarnings("ignore:.*fork.*:DeprecationWarning")
@pytest.mark.parametrize("step", [5, pytest.param(1, marks=pytest.mark.slow)])
def test_killed_at_every_operation_the_user_keeps_everything(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, way: str, step: int
) -> None:
    monkeypatch.setattr(os, "fsync", lambda stream: None)  # a killed process loses nothing that it wrote
    kills = mixtures = 0
    for nth in range(1, 2000, step):
        out = tmp_path / f"n{nth}" / "out"
        out.parent.mkdir()
        write_set(out, a_set("old", 2))
        put_users_things(out)
        if not killed_at(lambda out=out: write_set(out, a_set("new")), nth, tmp_path):  # type: ignore[misc]
            break
        kills += 1
        assert users_things_are_there(out), nth
        mixtures += len(marks(out)) != 1 or bool(faults(out))
        if nth % 3 == 0:  # meanwhile the user works on
            (out / "summary.json").write_text("edited")
        elif nth % 3 == 1 and way == "swap":
            (out / MANIFEST).unlink(missing_ok=True)
        try:
            write_set(out, a_set("newest"))
        except OutputError:
            assert nth % 3 != 2
        assert users_things_are_there(out), nth
        assert nth % 3 or (out / "summary.json").read_text() == "edited"
        assert [n for n in _beside(out) if n != "out"] == []
    assert kills > 40 / step
    assert mixtures == 0 or way == "in place"


_WRITER = """
import sys
from pathlib import Path
from cutplan.errors import OutputError
from cutplan.project.folder.write import write_set
out, mark, enough = Path(sys.argv[1]), sys.argv[2], Path(sys.argv[3])
n = 0
while n < 20 or not enough.exists():
    n += 1
    try:
        write_set(out, {f"doc-{i}.bin": (f"{mark}-{n} " + "x" * 2000).encode() for i in range(6)})
    except OutputError as error:
        assert "another run" in str(error), error
"""


@pytest.mark.slow
def test_six_writers_never_mix_their_sets(tmp_path: Path) -> None:
    out, enough = tmp_path / "out", tmp_path / "enough"
    writers = [subprocess.Popen([sys.executable, "-c", _WRITER, str(out), f"w{k}", str(enough)]) for k in range(6)]
    seen: set[str] = set()
    while any(w.poll() is None for w in writers):
        if len(seen) > 60:  # they go on until so many sets were looked at, however busy the machine is
            enough.touch()
        try:
            held = os.open(out, os.O_RDONLY)  # one set, whatever takes its place meanwhile
        except OSError:
            continue
        try:
            found_marks = set()
            for i in range(6):
                found = os.open(f"doc-{i}.bin", os.O_RDONLY, dir_fd=held)
                found_marks.add(os.read(found, 40).split(b" ")[0].decode())
                os.close(found)
            assert len(found_marks) == 1
            seen |= found_marks
        except FileNotFoundError:
            pass  # an old set, being taken apart
        finally:
            os.close(held)
    assert [w.returncode for w in writers] == [0] * 6
    assert faults(out) == [] and len(read_manifest(out)) == 6 and len(seen) > 60


def test_a_second_run_is_refused_and_the_lock_stays(tmp_path: Path) -> None:
    out = tmp_path / "out"
    with locked(out), pytest.raises(OutputError, match="another run"):
        write_set(out, a_set("new"))
    lock = lock_path(out).stat().st_ino
    write_set(out, a_set("new"))
    assert lock_path(out).stat().st_ino == lock


def test_one_file_is_whole_or_untouched(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "shop.toml"
    write_file(path, b"old")
    path.chmod(0o640)

    def broken(path: Path, data: bytes) -> None:
        path.write_bytes(b"half")
        raise OSError(5, "Input/output error")

    monkeypatch.setattr(stage, "write", broken)
    with pytest.raises(OutputError):
        write_file(path, b"new")
    assert path.read_bytes() == b"old" and [p.name for p in tmp_path.iterdir()] == ["shop.toml"]
    monkeypatch.undo()
    (tmp_path / "link.toml").symlink_to(path)
    write_file(tmp_path / "link.toml", b"new")
    assert path.read_bytes() == b"new" and path.stat().st_mode & 0o777 == 0o640


def test_a_manifest_of_another_form_lists_nothing(tmp_path: Path) -> None:
    good = json.loads(manifest_bytes({"a.pdf": b"1"}, "x"))
    for bad in (
        {**good, "documents": {"../a.pdf": "0" * 64}},
        {**good, "documents": {"/a.pdf": "0" * 64}},
        {**good, "documents": {"a.pdf": "zz"}},
        {**good, "documents": ["a.pdf"]},
        {"documents": good["documents"]},
        [],
    ):
        (tmp_path / MANIFEST).write_text(json.dumps(bad))
        assert read_manifest(tmp_path) == {}
    (tmp_path / MANIFEST).write_text(json.dumps(good))
    assert list(read_manifest(tmp_path)) == ["a.pdf"]
