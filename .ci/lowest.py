"""Print the lowest version allowed of every library that the package runs on, one ``name==version`` a line."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path


def lowest(lines: list[str]) -> list[str]:
    """Return ``name==version`` for each requirement ``name>=version``."""
    return [re.sub(r">=\s*", "==", line.split(",")[0]) for line in lines if ">=" in line]


if __name__ == "__main__":
    project = tomllib.loads((Path(__file__).parents[1] / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    print("\n".join(lowest(project["dependencies"])))
