"""The files that a run on a job reads, which it must never write, and their content for a checksum."""

from __future__ import annotations

import os
from pathlib import Path

from cutplan.errors import CutplanError
from cutplan.files.job.shop.place import find_shop
from cutplan.files.job.toml import read_toml
from cutplan.files.traced import account_path

#: Largest drawing or job that the checksum of the inputs reads [bytes]; the readers refuse larger ones anyway.
_LARGEST_INPUT = 256 * 1024 * 1024


def shop_file(job_path: Path, shop_path: Path | None = None) -> Path | None:
    """Return the shop file that a job uses: the one named, else beside the job, else the user's; None: none."""
    job_path = Path(job_path)
    return shop_path or find_shop(job_path if job_path.is_dir() else job_path.parent)


def input_files(job_path: Path, shop_path: Path | None = None) -> tuple[Path, ...]:
    """Return the files that a run reads: job file, drawings with accounts of tracings, study of the steering, shop file.

    They are named from the job file as it is written, before anything is checked: what is wrong there is told when
    the job is read.
    """
    job_path = Path(job_path)
    job_file = job_path / "job.toml" if job_path.is_dir() else job_path
    drawn = [job_file.parent / name for name in _named(job_file)]
    accounts = [account for account in map(account_path, drawn) if os.path.isfile(account)]
    named = [job_file, *drawn, *accounts, shop_file(job_path, shop_path)]
    return tuple(dict.fromkeys(p for p in named if p is not None))


def _named(job_file: Path) -> list[str]:
    """The names of files that a job file holds, as they stand; none where it cannot be read."""
    try:
        data = read_toml(job_file)
    except CutplanError:
        return []
    pieces = data.get("piece")
    holders = [(data.get("plate"), "drawing"), (data.get("moved"), "study")]
    holders += [(piece, "drawing") for piece in (pieces if isinstance(pieces, list) else [])]
    found = [holder.get(key) for holder, key in holders if isinstance(holder, dict)]
    return [name for name in found if isinstance(name, str) and "\x00" not in name and Path(name).name]


def content(path: Path) -> bytes:
    """Return the bytes of an input; none when it is not there."""
    try:
        return path.read_bytes() if path.is_file() and path.stat().st_size < _LARGEST_INPUT else b""
    except OSError:
        return b""
