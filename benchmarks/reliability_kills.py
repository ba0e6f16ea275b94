"""Writers and whole runs that are killed, and writers that race for one folder: what the reliability table counts.

The writer is killed before every one of its operations on files, one kill for each, and at random moments; whole runs of
``cutplan make`` at random moments. After each kill the user's own files must be as they were, there and after the next
run, and the folder must hold one whole set.
"""

from __future__ import annotations

import os
import random
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from folder_kills import a_set, killed_at, marks, put_users_things, users_things_are_there

from cutplan.errors import OutputError
from cutplan.project.folder import swap
from cutplan.project.folder.manifest import faults
from cutplan.project.folder.write import write_set

ROOT = Path(__file__).resolve().parent.parent
#: A row of the table: what, kills or rounds, folders that were a mixture, times that something of the user's was lost.
Row = tuple[str, int, int, int]
_WRITER = """
import sys
from pathlib import Path
from cutplan.project.folder.write import write_set
out, n = Path(sys.argv[1]), 0
print("ready", flush=True)
while True:
    n += 1
    write_set(out, {f"doc-{i}.bin": (f"run{n} " + "x" * 20000).encode() for i in range(12)})
"""


@contextmanager
def _way(in_place: bool) -> Iterator[None]:
    """Write by folders changing places, or document by document; not flushed: a killed process loses nothing written."""
    may_move, flush = swap._may_move, os.fsync
    os.fsync = lambda stream: None
    if in_place:
        swap._may_move = lambda folder: False
    try:
        yield
    finally:
        swap._may_move, os.fsync = may_move, flush


def every_operation(name: str, in_place: bool, folder: Path) -> Row:
    """Kill the writer before each of its operations on files; a new set is then written over what is left.

    In place the documents of two sets may lie together until the next run has finished the killed one's work: a mixture
    is counted after that run there, and at once where folders change places.
    """
    mixed = lost = 0
    with _way(in_place):
        for nth in range(1, 5000):
            out = folder / f"{'in-place' if in_place else 'swap'}-{nth}" / "out"
            out.parent.mkdir()
            write_set(out, a_set("old", 2))
            put_users_things(out)
            if not killed_at(lambda out=out: write_set(out, a_set("new")), nth, folder):  # type: ignore[misc]
                return name, nth - 1, mixed, lost
            lost += not users_things_are_there(out)
            mixed += not in_place and (len(marks(out)) != 1 or bool(faults(out)))
            write_set(out, a_set("newest"))
            lost += not users_things_are_there(out)
            mixed += marks(out) != {"newest"} or bool(faults(out))
    raise AssertionError("the writer does not end")


def racing_writers(writers: int, rounds: int, folder: Path) -> Row:
    """Let several processes write their sets into one folder, again and again; each set seen must be of one writer."""
    out = folder / "raced"
    mixed = seen = 0
    children = []
    for k in range(writers):
        child = os.fork()
        if child == 0:
            os._exit(_write_often(out, f"w{k}", rounds))
        children.append(child)
    codes: list[int] = []
    while len(codes) < len(children):
        done, status = os.waitpid(-1, os.WNOHANG)
        codes += [os.waitstatus_to_exitcode(status)] if done else []
        found = _looked_at(out)
        seen += found > 0
        mixed += found > 1
    mixed += bool(faults(out)) + sum(code != 0 for code in codes)
    return f"{writers} writers at once, each of them writing {rounds} times (looked at {seen} times)", rounds, mixed, 0


def _write_often(out: Path, mark: str, rounds: int) -> int:
    """Write a set so many times; a folder that another is writing is waited for."""
    for n in range(rounds):
        while True:
            try:
                write_set(out, {f"doc-{i}.bin": (f"{mark}-{n} " + "x" * 2000).encode() for i in range(6)})
                break
            except OutputError as error:
                if "another run" not in str(error):
                    return 1
                time.sleep(0.001)
    return 0


def _looked_at(out: Path) -> int:
    """How many sets the documents of a folder belong to; 0 while it is being taken apart."""
    try:
        held = os.open(out, os.O_RDONLY)
    except OSError:
        return 0
    try:
        found = set()
        for i in range(6):
            document = os.open(f"doc-{i}.bin", os.O_RDONLY, dir_fd=held)
            found.add(os.read(document, 40).split(b" ")[0])
            os.close(document)
        return len(found)
    except FileNotFoundError:
        return 0
    finally:
        os.close(held)


def writer_at_random(count: int, folder: Path) -> Row:
    """Kill a process that writes set after set, at random moments."""
    out, chance = folder / "out", random.Random(11)
    mixed = lost = 0
    mine = b"my own notes " * 100
    for _ in range(count):
        process = subprocess.Popen([sys.executable, "-c", _WRITER, str(out)], stdout=subprocess.PIPE, cwd=ROOT)
        assert process.stdout is not None
        process.stdout.readline()
        time.sleep(chance.uniform(0.0, 0.15))
        process.kill()
        process.wait()
        process.stdout.close()
        if out.exists():
            found = {p.read_bytes().split(b" ", 1)[0] for p in out.glob("doc-*.bin")}
            mixed += bool(faults(out)) or len(found) != 1
            note = out / "notes.txt"
            lost += note.exists() and note.read_bytes() != mine
            note.write_bytes(mine)
    return "a set of documents, again and again, at random moments", count, mixed, lost


def make_at_random(count: int, folder: Path) -> Row:
    """Kill a whole run over a finished set at random moments, half of them near the end."""
    out, chance = folder / "made", random.Random(12)
    sample = ROOT / "sample_parts" / "trailer-spring-hanger"
    (folder / "mine").mkdir()
    job, text = folder / "mine" / "job.toml", (sample / "job.toml").read_text()
    (folder / "mine" / "plate.dxf").write_bytes((sample / "plate.dxf").read_bytes())
    command = [sys.executable, "-m", "cutplan", "make", str(job), "-o", str(out)]
    # plans are remembered, so that most of a run is drawing and writing
    env = {**os.environ, "CUTPLAN_CACHE": str(folder / "remembered")}
    took = []
    for k in range(3):
        job.write_text(f'note = "first {k}"\n{text}')
        start = time.perf_counter()
        subprocess.run(command, check=True, cwd=ROOT, capture_output=True, env=env)
        took.append(time.perf_counter() - start)
    whole = min(took[1:])
    note = out / "notes.txt"
    note.write_bytes(b"mine")
    mixed = lost = 0
    for k in range(count):
        # another note each time: an unchanged job would be passed over
        job.write_text(f'note = "{k}"\n{text}')
        after = chance.uniform(0.0, whole) if k % 2 else chance.uniform(0.85 * whole, 1.1 * whole)
        process = subprocess.Popen(command, cwd=ROOT, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, env=env)
        time.sleep(after)
        process.kill()
        process.wait()
        mixed += bool(faults(out)) or not (out / "manifest.json").exists()
        lost += not note.exists() or note.read_bytes() != b"mine"
    return "a whole `cutplan make`, at random moments", count, mixed, lost


def kill_rows(few: bool, runs: int, folder: Path) -> list[Row]:
    """Return the rows of all kills and races.

    Parameters
    ----------
    few : bool
        A short run.
    runs : int
        Kills of a whole run [1].
    folder : Path
        Empty folder to work in.
    """
    return [
        every_operation("the writer, before each of its operations on files (folders change places)", False, folder),
        every_operation("each document renamed in place (a mount point), before each operation", True, folder),
        racing_writers(6, 20 if few else 200, folder),
        writer_at_random(8 if few else 50, folder),
        make_at_random(runs, folder),
    ]
