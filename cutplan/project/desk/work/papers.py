"""The documents in a job's folder: which there are, whether they are of the job as it is now, and all of them in a zip."""

from __future__ import annotations

import io
import zipfile
from pathlib import Path
from typing import Any

from cutplan.errors import UsageError
from cutplan.project.folder.manifest import faults, made_from, read_manifest
from cutplan.project.planned.fingerprint import checksum_of
from cutplan.project.run.documents import MAKERS, PREVIEWS
from cutplan.project.run.inputs import content, input_files
from cutplan.texts import say

#: Folder of the documents, inside the job's own.
DOCUMENTS = "documents"
#: Endings of what a job is made from.
_SOURCES = (".toml", ".dxf", ".svg", ".errors.json")
#: Time stamp in the zip: the same documents give the same bytes.
_ALWAYS = (1980, 1, 1, 0, 0, 0)


def documents_folder(job: Path) -> Path:
    """Return where the page puts a job's documents."""
    return job.parent / DOCUMENTS


def listing(job: Path) -> dict[str, Any]:
    """Return the documents there are: names with their size, and whether they are of the job as it is now."""
    folder = documents_folder(job)
    names = read_manifest(folder)
    order = {m.name: i for i, m in enumerate(MAKERS)}
    found = [
        {"name": name, "bytes": (folder / name).stat().st_size}
        for name in sorted(names, key=lambda n: (order.get(n, len(order)), n))
        if not name.startswith(PREVIEWS) and (folder / name).is_file()
    ]
    return {
        "documents": found,
        "fresh": bool(found) and _fresh(job, folder),
        "changed": faults(folder) if found else [],
    }


def _fresh(job: Path, folder: Path) -> bool:
    read = input_files(job)
    return made_from(folder).endswith(checksum_of(*(content(path) for path in read)))


def document(job: Path, name: str) -> bytes:
    """Return one document of the set.

    Raises
    ------
    UsageError
        When the set has none of that name.
    """
    folder = documents_folder(job)
    if name not in read_manifest(folder) or not (folder / name).is_file():
        raise UsageError(say("there is no such document"), name, say("make the set first"))
    return (folder / name).read_bytes()


def zipped(job: Path) -> bytes:
    """Return the whole set as a zip, the job file and its drawing with it.

    Raises
    ------
    UsageError
        When there is no set yet.
    """
    folder = documents_folder(job)
    names = [n for n in sorted(read_manifest(folder)) if (folder / n).is_file()]
    if not names:
        raise UsageError(say("there is no such document"), "", say("make the set first"))
    sources = [p for p in sorted(job.parent.iterdir()) if p.is_file() and p.name.endswith(_SOURCES)]
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name in names:
            archive.writestr(zipfile.ZipInfo(name, _ALWAYS), (folder / name).read_bytes(), zipfile.ZIP_DEFLATED)
        for path in sources:
            archive.writestr(zipfile.ZipInfo(f"job/{path.name}", _ALWAYS), path.read_bytes(), zipfile.ZIP_DEFLATED)
    return out.getvalue()
