"""An output folder with things of the user's in it, and runs that die before any of their operations on files."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable
from pathlib import Path

_USERS = {"notes.txt": "mine", "photos/a.jpg": "mine too", "photos/deep/b.jpg": "and mine", "previews/own.png": "mine"}
#: Events of the interpreter that touch files.
_OPERATIONS = ("open", "os.", "ctypes.dlsym", "shutil.")


def a_set(mark: str, extra: int = 0) -> dict[str, bytes]:
    """Return documents that all begin with a mark."""
    names = ["summary.json", "templates.pdf", "previews/plate.png", *[f"more-{i}.bin" for i in range(extra)]]
    return {name: (f"{mark} {name} " * 200).encode() for name in names}


def marks(folder: Path) -> set[str]:
    """Return the marks that the documents of a folder begin with: one when they are of one set."""
    return {(folder / name).read_text().split(" ", 1)[0] for name in a_set("x") if (folder / name).exists()}


def put_users_things(out: Path) -> None:
    """Put files, folders and a link of the user's into a folder."""
    for name, text in _USERS.items():
        (out / name).parent.mkdir(parents=True, exist_ok=True)
        (out / name).write_text(text)
    (out / "empty").mkdir()
    elsewhere = out.parent / "elsewhere"
    elsewhere.mkdir(exist_ok=True)
    (elsewhere / "far.txt").write_text("far")
    (out / "linked").symlink_to(elsewhere)


def users_things_are_there(out: Path) -> bool:
    """Return whether all of them are in their places, as they were."""
    good = all((out / name).is_file() and (out / name).read_text() == text for name, text in _USERS.items())
    return good and (out / "empty").is_dir() and (out / "linked").is_symlink() and (out / "linked/far.txt").exists()


def killed_at(work: Callable[[], None], nth: int, within: Path) -> bool:
    """Run a work in a child that dies before its n-th operation on files; return whether it died."""
    child = os.fork()
    if child == 0:
        count = 0

        def hook(event: str, args: tuple[object, ...]) -> None:
            nonlocal count
            if event.startswith(_OPERATIONS) and (event == "ctypes.dlsym" or str(within) in repr(args)):
                count += 1
                if count == nth:
                    os._exit(9)

        sys.addaudithook(hook)
        try:
            work()
        except BaseException:
            os._exit(3)
        os._exit(0)
    code = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
    assert code in (0, 9)
    return code == 9
