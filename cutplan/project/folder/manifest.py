"""The manifest of a set of documents: each with its checksum, and the checksum of what the set was made from."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from pathlib import Path, PurePosixPath

MANIFEST = "manifest.json"
#: Largest manifest that is read [bytes]: thousands of documents.
_LARGEST = 4 * 1024 * 1024
_HEX = set("0123456789abcdef")


def checksum(data: bytes) -> str:
    """Return the SHA-256 of some bytes, in hexadecimal."""
    return hashlib.sha256(data).hexdigest()


def manifest_bytes(documents: Mapping[str, bytes], inputs: str = "") -> bytes:
    """Return the manifest: every document of a set with its checksum, and the checksum of what it was made from."""
    listed = {name: checksum(data) for name, data in sorted(documents.items())}
    return (json.dumps({"documents": listed, "inputs": inputs}, indent=1, sort_keys=True) + "\n").encode()


def made_from(folder: Path) -> str:
    """Return the checksum of the inputs that the folder's set was made from; empty when unknown."""
    return _parsed(folder)[1]


def read_manifest(folder: Path) -> dict[str, str]:
    """Return the checksums that the folder's manifest holds by name; empty when there is no manifest of ours."""
    return _parsed(folder)[0]


def is_manifest(folder: Path) -> bool:
    """Return whether the folder's ``manifest.json`` is one that this program wrote."""
    return bool(_parsed(folder)[0])


def faults(folder: Path) -> list[str]:
    """Return what differs between a folder and its manifest: names of missing or changed documents."""
    return [name for name, digest in read_manifest(folder).items() if not matches(folder / name, digest)]


def matches(path: Path, digest: str) -> bool:
    """Return whether a path is a plain file, no link, with this checksum."""
    if path.is_symlink() or not path.is_file():
        return False
    try:
        return checksum(path.read_bytes()) == digest
    except OSError:
        return False


def _parsed(folder: Path) -> tuple[dict[str, str], str]:
    """Documents and inputs of a manifest of ours; a file of another form counts as none."""
    path = folder / MANIFEST
    try:
        if path.is_symlink() or path.stat().st_size > _LARGEST:
            return {}, ""
        data = json.loads(path.read_text(encoding="utf-8"))
        documents, inputs = data["documents"], data["inputs"]
    except (OSError, ValueError, KeyError, TypeError, RecursionError):
        return {}, ""
    if not isinstance(documents, dict) or not isinstance(inputs, str):
        return {}, ""
    good = all(isinstance(v, str) and len(v) == 64 and set(v) <= _HEX and plain(k) for k, v in documents.items())
    return (documents, inputs) if good else ({}, "")


def plain(name: str) -> bool:
    """Return whether a document's name stays inside its folder: ``plate.dxf`` or ``previews/plate.png``."""
    parts = PurePosixPath(name).parts
    return bool(parts) and "\\" not in name and not name.startswith("/") and ".." not in parts and name != MANIFEST
