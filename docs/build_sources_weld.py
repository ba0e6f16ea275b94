"""Write ``docs/sources-weld.md`` from the sources that the tables name: ``python docs/build_sources_weld.py``."""

from __future__ import annotations

from pathlib import Path

from cutplan.tables.welding.weld_sources import SOURCES

HEADINGS = {
    "read": "Read at the source named",
    "second hand": "Second hand: quoted by the place named, the original not seen",
    "memory": "From memory: recalled, not seen",
    "own": "Our own reasoning, arithmetic or default",
}


def page() -> str:
    """Return the page."""
    lines = [
        "# Sources of the weld facts",
        "",
        "Sorted by how each was seen. The key in front is the one used in `cutplan.tables`. Values of these sources",
        "that our functions are held to are in `shared/weld-*.toml`. No text was taken over; facts and figures only.",
        "",
    ]
    for seen, heading in HEADINGS.items():
        lines += [f"## {heading}", ""]
        lines += [f"- `{key}`: {s.citation}" for key, s in sorted(SOURCES.items()) if s.seen == seen]
        lines.append("")
    return "\n".join(lines)


if __name__ == "__main__":
    (Path(__file__).parent / "sources-weld.md").write_text(page(), encoding="utf-8")
