"""The lines of a new job whose drawing was traced: what it comes from, and the files that go beside it."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import Any

from cutplan.errors import OutputError
from cutplan.files.job.begin import Answer
from cutplan.files.traced import account_path, request_of_drawing
from cutplan.texts import name, say


def traced_by(drawing: Path) -> dict[str, Any]:
    """Return the answer of table ``[traced]``, or none where the drawing was not traced or was changed since."""
    request = request_of_drawing(drawing)
    return {"traced": {key: Answer(value) for key, value in request.items()}} if request else {}


def copy_traced(drawing: Path, folder: Path) -> None:
    """Copy the account of a traced drawing, and its pictures, beside the job; nothing that is there is overwritten.

    Raises
    ------
    OutputError
        When a file cannot be copied.
    """
    request = request_of_drawing(drawing)
    if request is None or drawing.resolve().parent == folder.resolve():
        return
    pictures = [drawing.parent / Path(str(p)).name for p in request.get("pictures", ())]
    for path in (account_path(drawing), *pictures):
        target = folder / path.name
        if path.is_file() and not target.exists():
            try:
                shutil.copyfile(path, target)
            except OSError as error:
                raise OutputError(
                    say(
                        "the account of the tracing could not be copied ({reason})",
                        reason=name(error.strerror or error),
                    ),
                    str(target),
                    say("copy it by hand"),
                ) from None
