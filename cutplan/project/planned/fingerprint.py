"""What a result depends on, as one checksum: this program's own sources, its libraries, and the inputs."""

from __future__ import annotations

import hashlib
import sys
from functools import cache
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path

import cutplan

#: Libraries whose version can change a byte of a document.
LIBRARIES = ("numpy", "scipy", "shapely", "ezdxf", "reportlab", "matplotlib", "pillow")
#: Sources that a result may depend on.
_SOURCES = (".py", ".po", ".js", ".css", ".toml", ".ttf")


@cache
def program() -> str:
    """Return the checksum of this program: every source of the package, the libraries' versions and Python's."""
    digest = hashlib.sha256(sys.version.encode())
    top = Path(cutplan.__file__).parent
    for path in sorted(p for p in top.rglob("*") if p.suffix in _SOURCES):
        digest.update(path.relative_to(top).as_posix().encode())
        digest.update(path.read_bytes())
    for library in LIBRARIES:
        try:
            digest.update(f"{library} {version(library)}".encode())
        except PackageNotFoundError:
            digest.update(library.encode())
    return digest.hexdigest()


def checksum_of(*parts: bytes) -> str:
    """Return one checksum over this program and some inputs, each with its length, so that none runs into the next."""
    digest = hashlib.sha256(program().encode())
    for part in parts:
        digest.update(len(part).to_bytes(8, "big") + part)
    return digest.hexdigest()
