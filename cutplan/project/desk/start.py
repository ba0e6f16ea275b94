"""Begin a job in a folder of its own: from a basic shape, from tape readings, from a drawing, or from a sample."""

from __future__ import annotations

import re
import shutil
import unicodedata
from collections.abc import Mapping, Sequence
from pathlib import Path
from types import MappingProxyType
from typing import Any, Literal

import cutplan
from cutplan.errors import OutputError, UsageError
from cutplan.project.demo import demo_job
from cutplan.project.desk.editing.edit import edited
from cutplan.project.folder.write import write_file
from cutplan.project.new.job import Wanted, new_job
from cutplan.project.new.thickness import thickness_mm
from cutplan.texts import code, listed, name, say
from cutplan.units import UnitName

Kind = Literal["shape", "tape", "drawing"]
#: What a drawing may be called in the job's folder.
_SUFFIXES = (".dxf", ".svg")
#: Files of a sample that belong to it.
_SAMPLE_FILES = ("*.toml", "*.dxf", "*.svg", "*.md", "*.jpg", "*.png", "*.csv")
_MOST_JOBS = 60


def begin(
    room: Path,
    kind: Kind,
    title: str,
    units: UnitName,
    drawing: tuple[str, bytes] | None = None,
    *,
    plate: str,
    skin: str,
    beside: Mapping[str, bytes] = MappingProxyType({}),
    more: Sequence[Mapping[str, Any]] = (),
) -> Path:
    """Write a new job into a folder of its own and return its job file.

    Parameters
    ----------
    room : Path
        Folder that gets the job's folder.
    kind : {"shape", "tape", "drawing"}
        What the plate comes from.
    title : str
        What is made; the folder is named after it.
    units : {"mm", "in"}
        Unit of the job file.
    drawing : (str, bytes) or None
        Name and contents of a drawing.
    plate, skin : str
        Thickness of the plate and of the skin, as measured: a length such as ``4`` or ``3/16 in``.
    beside : mapping of str to bytes
        Further files of the job, by name.
    more : sequence of mapping
        Further changes of the job file, as :func:`cutplan.project.desk.editing.edit.edited` takes them.

    Raises
    ------
    CutplanError
        When it cannot be written.
    """
    title = " ".join(title.split())[:120]
    if not title or not title.isprintable():
        raise UsageError(say("the job needs a name"), "title", say("say in a few words what is made"))
    thickness = thickness_mm(plate, units, "plate", "plate.thickness")
    wall = thickness_mm(skin, units, "skin", "skin.thickness")
    folder = free_folder(room, title)
    target = folder / "job.toml"
    text = new_job(target, None, Wanted(title=title, units=units, thickness_mm=thickness, skin_mm=wall)).text
    if kind != "shape":
        drop = [{"do": "drop", "at": ["plate", key]} for key in ("shape", "width", "height", "corner_radius", "hole")]
        text = edited(text, drop)
    try:
        folder.mkdir(parents=True)
    except OSError as error:
        raise OutputError(
            say("the job's folder could not be made ({why})", why=name(error.strerror or error)),
            str(folder),
            say("start in another folder"),
        ) from None
    if drawing is not None:
        text = edited(text, [{"do": "set", "at": ["plate", "drawing"], "value": put_drawing(folder, *drawing)}])
    for called, data in beside.items():
        write_file(folder / called, data)
    text = edited(text, more)
    write_file(target, text.encode())
    return target


def free_folder(room: Path, title: str) -> Path:
    """Return a folder that is not there yet, named after a title in plain letters."""
    plain = unicodedata.normalize("NFKD", title.replace("ß", "ss")).encode("ascii", "ignore").decode().lower()
    stem = re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:48] or "job"
    found, number = room / stem, 2
    while found.exists():
        found, number = room / f"{stem}-{number}", number + 1
    return found


def put_drawing(folder: Path, called: str, data: bytes) -> str:
    """Write a drawing beside the job under a safe name, never over another file, and return that name."""
    stem, suffix = Path(called.replace("\\", "/")).stem, Path(called).suffix.lower()
    if suffix not in _SUFFIXES:
        head = data[:4096].lstrip().lower()
        suffix = ".svg" if head.startswith(b"<") else ".dxf"
    stem = re.sub(r"[^A-Za-z0-9_-]+", "-", stem).strip("-")[:48] or "plate"
    safe, number = f"{stem}{suffix}", 2
    while (folder / safe).exists() and (folder / safe).read_bytes() != data:
        safe, number = f"{stem}-{number}{suffix}", number + 1
    write_file(folder / safe, data)
    return safe


def samples() -> dict[str, Path]:
    """Return the samples there are, by name: the main one, and all of them in a checkout of the repository."""
    found = {"van-nose-mount": demo_job()}
    beside = Path(cutplan.__file__).parent.parent / "sample_parts"
    if beside.is_dir():
        found |= {j.parent.name: j for j in sorted(beside.glob("*/job.toml"))}
    return found


def begin_sample(room: Path, sample: str) -> Path:
    """Copy a sample into a folder of its own and return its job file.

    Raises
    ------
    CutplanError
        When there is no such sample or it cannot be copied.
    """
    job = samples().get(sample)
    if job is None:
        raise UsageError(
            say("there is no such sample"), sample, say("one of {known}", known=listed(code(s) for s in samples()))
        )
    folder = free_folder(room, sample)
    try:
        folder.mkdir(parents=True)
        for pattern in _SAMPLE_FILES:
            for path in sorted(job.parent.glob(pattern)):
                shutil.copyfile(path, folder / path.name)
    except OSError as error:
        raise OutputError(
            say("the sample could not be copied ({why})", why=name(error.strerror or error)),
            str(folder),
            say("start in another folder"),
        ) from None
    return folder / "job.toml"


def jobs_in(room: Path) -> list[dict[str, Any]]:
    """Return the jobs in the folders of a room, the one changed last first: folder and title."""
    found = []
    for path in list(room.glob("*/job.toml"))[: 20 * _MOST_JOBS]:
        try:
            stat = path.stat()
            with path.open(encoding="utf-8") as stream:
                head = stream.read(4000)
        except (OSError, UnicodeDecodeError):
            continue
        title = re.search(r'^title\s*=\s*"([^"\n]{1,120})"', head, re.M)
        found.append((stat.st_mtime_ns, {"folder": path.parent.name, "title": title[1] if title else path.parent.name}))
    return [job for _, job in sorted(found, key=lambda f: -f[0])[:_MOST_JOBS]]
