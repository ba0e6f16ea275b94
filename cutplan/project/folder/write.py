"""A set of documents into a folder, which then holds the whole old set or the whole new one, and all that was the user's."""

from __future__ import annotations

import contextlib
import errno
import os
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path

from cutplan.errors import OutputError
from cutplan.project.folder import stage
from cutplan.project.folder.guard import refuse_foreign, same_file
from cutplan.project.folder.inplace import finish_in_place, write_in_place
from cutplan.project.folder.lock import locked
from cutplan.project.folder.swap import CannotSwap, recover, swap_in
from cutplan.texts import Message, code, name, say


def write_set(folder: Path, documents: Mapping[str, bytes], made_of: str = "", inputs: Iterable[Path] = ()) -> None:
    """Replace the documents in a folder by a new set, all or nothing, under the folder's lock.

    Parameters
    ----------
    folder : Path
        Output folder; made when missing.
    documents : mapping of str to bytes
        Contents by name; a name may have one folder before it (``previews/plate.png``).
    made_of : str
        Checksum of what the set was made from, kept in the manifest.
    inputs : iterable of Path
        Files that this run reads and must never write.

    Raises
    ------
    OutputError
        When the set cannot be written; what was there before is untouched.
    """
    with locked(folder):
        replace_set(folder, documents, made_of, inputs)


def prepare(folder: Path, names: Iterable[str], inputs: Iterable[Path] = ()) -> Path:
    """Mend what a killed run left, see that nothing of the user's is in the way, and return the folder's real path.

    Raises
    ------
    OutputError
        When the output is a file, or holds files of these names that are not ours.
    """
    folder = Path(os.path.realpath(folder))
    if folder.exists() and not folder.is_dir():
        raise OutputError(
            say("the output is a file, not a folder"),
            str(folder),
            say("name another folder with {option}", option=code("-o")),
        )
    with _told(folder):
        recover(folder)
        if folder.is_dir():
            finish_in_place(folder)
    refuse_foreign(folder, names, inputs)
    return folder


def replace_set(folder: Path, documents: Mapping[str, bytes], made_of: str = "", inputs: Iterable[Path] = ()) -> None:
    """Do what :func:`write_set` does, for a caller who holds the lock."""
    inputs = tuple(inputs)
    folder = prepare(folder, documents, inputs)
    with _told(folder):
        folder.parent.mkdir(parents=True, exist_ok=True)
        try:
            swap_in(folder, documents, made_of)
        except CannotSwap:
            write_in_place(folder, documents, made_of)


def write_file(path: Path, data: bytes, inputs: Iterable[Path] = ()) -> None:
    """Write one file through a temporary one and a rename, so that it is the old or the new one whole.

    Parameters
    ----------
    path : Path
        File to write; through a link, the file that it leads to.
    data : bytes
        Its content.
    inputs : iterable of Path
        Files that this run reads and must never write.

    Raises
    ------
    OutputError
        When it cannot be written, is no file or is an input; what was there before is untouched.
    """
    hit = next((p for p in inputs if same_file(path, p)), None)
    if hit is not None:
        raise OutputError(
            say("this file is an input of the run and is not replaced"), str(hit), say("choose another name")
        )
    path = Path(os.path.realpath(path))
    if path.exists() and not path.is_file():
        raise OutputError(
            say("a folder, a pipe or a device stands there: it is not replaced"),
            str(path),
            say("choose the name of a file"),
        )
    temporary = path.with_name(f".{path.name}.{os.getpid()}.new")
    with _told(path, say("check the folder and free space")):
        path.parent.mkdir(parents=True, exist_ok=True)
        try:
            stage.write(temporary, data)
            if path.exists():
                os.chmod(temporary, path.stat().st_mode & 0o7777)
            os.replace(temporary, path)
        finally:
            with contextlib.suppress(OSError):
                temporary.unlink()


@contextlib.contextmanager
def _told(path: Path, hint: Message | None = None) -> Iterator[None]:
    """Turn an error of the system into one of ours."""
    try:
        yield
    except OutputError:
        raise
    except OSError as error:
        full = error.errno == errno.ENOSPC
        reason = say("the disk is full") if full else name(error.strerror or str(error))
        other = say("free space, close programs that hold the files, or name another folder with {o}", o=code("-o"))
        what = say("it could not be written ({reason}); what was there before is unchanged", reason=reason)
        raise OutputError(what, str(path), hint or other) from None
