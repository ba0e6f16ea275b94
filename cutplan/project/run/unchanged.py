"""Whether a folder holds the very set that a run would make: told from checksums alone, nothing is planned or read twice."""

from __future__ import annotations

import json
from collections.abc import Iterable
from pathlib import Path

from cutplan.findings import Finding
from cutplan.project.folder.lock import locked
from cutplan.project.folder.manifest import faults, made_from, read_manifest
from cutplan.project.folder.write import prepare
from cutplan.project.run.figures import figures
from cutplan.project.run.made import Made


def unchanged(folder: Path, names: Iterable[str], made_of: str, inputs: Iterable[Path] = ()) -> Made | None:
    """Return what the folder holds when it is the very set that would be made, else None.

    Parameters
    ----------
    folder : Path
        Output folder.
    names : iterable of str
        Documents wanted; one that ends in a stroke is a folder of them.
    made_of : str
        Checksum of the program and of everything that the set depends on.
    inputs : iterable of Path
        Files that the run reads and must never write.

    Raises
    ------
    OutputError
        When another run writes the folder, or a file of the user's has the name of a document.
    """
    if made_from(folder) != made_of:  # the common case, without a lock
        return None
    names = tuple(names)
    with locked(folder):
        folder = prepare(folder, [n for n in names if not n.endswith("/")], inputs)
        return _held(folder, names, made_of)


def _held(folder: Path, names: Iterable[str], made_of: str) -> Made | None:
    listed = read_manifest(folder)
    wanted = all(any(doc.startswith(n) if n.endswith("/") else doc == n for doc in listed) for n in names)
    if not wanted or made_from(folder) != made_of or faults(folder):
        return None
    try:
        told = json.loads((folder / "summary.json").read_text(encoding="utf-8"))
        findings = tuple(Finding(**f) for f in told["findings"])
        return Made(folder, (), tuple(listed), figures(told), findings, None)
    except (OSError, ValueError, KeyError, TypeError):
        return None
