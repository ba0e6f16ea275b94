"""Make the README's pictures from the main sample: ``python docs/build_pictures.py``."""

from __future__ import annotations

import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

from cutplan.drawing.png import render_png  # noqa: E402
from cutplan.project.planned.plans import load, plans  # noqa: E402
from cutplan.report.previews import PREVIEW_DPI, previews  # noqa: E402


def main() -> None:
    """Write tile, path and weld order as PNG."""
    job, shop = load(ROOT / "sample_parts" / "van-nose-mount")
    results = plans(job, shop)
    assert results.templates is not None
    pictures = previews(results)
    target = ROOT / "docs" / "pictures"
    target.mkdir(exist_ok=True)
    for name, page, dpi in (
        ("tile", results.templates.pages[1], 110),
        ("path", pictures["path"], PREVIEW_DPI),
        ("weld", pictures["weld-order"], PREVIEW_DPI),
    ):
        (target / f"{name}.png").write_bytes(render_png(page, dpi=dpi))


if __name__ == "__main__":
    main()
