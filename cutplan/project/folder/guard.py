"""Which files may be replaced: only what a manifest lists with its checksum, and never an input of the run."""

from __future__ import annotations

import os
from collections.abc import Iterable
from pathlib import Path

from cutplan.errors import OutputError
from cutplan.project.folder.manifest import MANIFEST, is_manifest, matches, read_manifest
from cutplan.texts import Message, code, listed, say


def refuse_foreign(folder: Path, names: Iterable[str], inputs: Iterable[Path] = ()) -> None:
    """Raise an error when writing documents of these names would touch a file that is not ours, or an input.

    Parameters
    ----------
    folder : Path
        Output folder; may be missing.
    names : iterable of str
        Documents to be written.
    inputs : iterable of Path
        What this run reads: job file, drawing, shop file, readings.

    Raises
    ------
    OutputError
        Naming the file, and what to call instead.
    """
    names = list(names)
    for name in [*names, MANIFEST]:
        hit = next((path for path in inputs if same_file(folder / name, path)), None)
        if hit is not None:
            raise OutputError(
                say("{file} would replace an input of this run", file=code(name)), str(hit), _elsewhere(folder)
            )
    foreign = not_ours(folder, names)
    if foreign:
        raise OutputError(
            say(
                "{file} is there and no run of this program wrote it, or it was changed since: it is not replaced",
                file=listed([code(n) for n in foreign[:5]]),
            ),
            str(folder / foreign[0]),
            say("move or rename it; or {elsewhere}", elsewhere=_elsewhere(folder)),
        )


def _elsewhere(folder: Path) -> Message:
    return say("name another folder: {option}", option=code(f"-o {other(folder)}"))


def not_ours(folder: Path, names: Iterable[str]) -> list[str]:
    """Return the names under which something stands in the folder that no manifest lists with its checksum."""
    if not folder.is_dir():
        return []
    known = read_manifest(folder)
    found = []
    for name in names:
        path = folder / name
        above = _taken_above(folder, name)
        if above:
            found.append(above)
        elif os.path.lexists(path) and not (name in known and matches(path, known[name])):
            found.append(name)
    if os.path.lexists(folder / MANIFEST) and not is_manifest(folder):
        found.append(MANIFEST)
    return list(dict.fromkeys(found))


def _taken_above(folder: Path, name: str) -> str:
    """Return the folder of a name that is a file or a link, or an empty text."""
    parts = name.split("/")[:-1]
    for i in range(len(parts)):
        path = folder / "/".join(parts[: i + 1])
        if path.is_symlink() or (path.exists() and not path.is_dir()):
            return "/".join(parts[: i + 1])
    return ""


def same_file(a: Path, b: Path) -> bool:
    """Return whether two paths lead to one file, through links and spelling too."""
    try:
        return a.samefile(b)
    except OSError:
        return os.path.realpath(a) == os.path.realpath(b)


def other(folder: Path) -> Path:
    """Return the name of a folder beside this one that is free."""
    n = 2
    while os.path.lexists(folder.with_name(f"{folder.name}-{n}")):
        n += 1
    return folder.with_name(f"{folder.name}-{n}")
