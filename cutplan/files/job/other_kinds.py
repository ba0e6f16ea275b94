"""Files that are named where a job file is wanted: a drawing, a picture or a document, told from their names."""

from __future__ import annotations

from pathlib import Path

from cutplan.errors import JobError
from cutplan.texts import code, say
from cutplan.texts.command import pasted

DRAWINGS = frozenset({".dxf", ".svg"})
PICTURES = frozenset({".jpg", ".jpeg", ".png", ".tif", ".tiff", ".bmp", ".webp", ".heic"})
#: What other programs keep a drawing in, and can save as one that is read.
FOREIGN = frozenset({".dwg", ".pdf", ".step", ".stp", ".iges", ".igs", ".stl", ".ai", ".eps"})


def refuse_no_job(path: Path) -> None:
    """Raise JobError where a name is a drawing's, a picture's or a document's: with the command that begins a job.

    Parameters
    ----------
    path : Path
        File named where a job file is wanted; it need not exist.
    """
    kind = path.suffix.lower()
    if kind in DRAWINGS:
        begin = f"cutplan new {pasted(str(path.with_suffix('.toml')))} --drawing {pasted(str(path))}"
        what, hint = (
            say("this is a drawing, not a job file"),
            say("begin a job from it: {command}", command=code(begin)),
        )
    elif kind in PICTURES:
        what = say("this is a picture, not a job file")
        hint = say("a template is traced from pictures: {command} says how", command=code("cutplan trace --help"))
    elif kind in FOREIGN:
        what = say("this is no job file, and no drawing that can be read")
        hint = say("save the flat pattern as DXF or SVG, and begin a job from it: {command}",
                   command=code("cutplan new JOB.toml --drawing FILE"))  # fmt: skip
    else:
        return
    raise JobError(what, str(path), hint)
