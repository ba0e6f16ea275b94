"""Make the README's pictures from the main sample: ``python docs/build_pictures.py``."""

from __future__ import annotations

import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

from cutplan.drawing.png import render_png  # noqa: E402
from cutplan.project.plans import load, plans  # noqa: E402
from cutplan.sheets.previews import previews  # noqa: E402


def main() -> None:
    """Write tile, path and weld order as PNG."""
    job, shop = load(ROOT / "sample_parts" / "van-nose-mount")
    results = plans(job, shop)
    assert results.templates is not None
    pictures = previews(results)
    target = ROOT / "docs" / "pictures"
    target.mkdir(exist_ok=True)
    for name, page in (
        ("tile", results.templates.pages[1]), ("path", pictures["path"]), ("weld", pictures["weld-order"]),
    ):
        (target / f"{name}.png").write_bytes(render_png(page, dpi=110))


if __name__ == "__main__":
    main()
