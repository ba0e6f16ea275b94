"""Write the tables of ``job-file.md``, ``shop-file.md`` and ``study-file.md`` anew from the declarations of their keys: ``python docs/build_keys.py``."""

from __future__ import annotations

import re
from math import isinf
from pathlib import Path

from cutplan.files.job.declared.job import JOB
from cutplan.files.job.declared.key import FARTHEST_MM, Key
from cutplan.files.job.declared.shop import SHOP
from cutplan.linkage.declared import STUDY

#: Each page with the file that it tells of.
PAGES = {
    Path(__file__).parent / f"{name}-file.md": key for name, key in (("job", JOB), ("shop", SHOP), ("study", STUDY))
}
PAGE = next(iter(PAGES))
_BLOCK = re.compile(r"(<!-- keys of (?P<name>\S+) -->\n).*?(<!-- end of keys -->)", re.S)
_TAKES = {
    "text": "text of at most {most} characters",
    "date": "text or date",
    "flag": "`true` or `false`",
    "lengths": "list of lengths",
    "numbers": "list of numbers",
    "texts": "list of words",
    "point": "`[x, y]`",
    "points": "`[[x, y], [x, y], ...]`",
    "names": "list of names",
    "reading": "`[x, y, z]`, or `{{ at = [x, y, z], error = 2 }}`",
    "spans": "list",
}
_UNITS = {"degC": "°C", "deg": "°", "1": ""}


def tables(file: Key = JOB) -> list[Key]:
    """Return the tables of a file in their order, the top itself first."""
    inner = [k for k in file.keys if k.kind in ("table", "tables")]
    return [file, *(k for i, k in enumerate(inner) if k.keys not in [e.keys for e in inner[:i]])]


def takes(key: Key) -> str:
    """Return what a key takes, in words of the page."""
    if key.kind == "choice":
        return ", ".join(f'`"{w}"`' for w in key.words if w)
    if key.kind in ("length", "number", "count"):
        low, high = key.limits
        unit = _UNITS.get(key.unit, key.unit)
        what = {"length": "length", "number": "number", "count": "whole number"}[key.kind]
        if key.kind == "length" and high >= FARTHEST_MM:
            return what if low in (0.0, -FARTHEST_MM) else f"{what} from {low:g} {unit}"
        return what if isinf(high) else f"{what} from {low:g} to {high:,.6g} {unit}".rstrip()
    if key.kind == "inline":
        unit = _UNITS.get(key.keys[0].unit, key.keys[0].unit)
        return "`{ " + " = ..., ".join(k.name for k in key.keys) + f" = ... }}` {unit}".rstrip()
    return _TAKES[key.kind].format(most=key.most)


def left_out(key: Key) -> str:
    """Return what stands for a key that is left out."""
    if key.usual is not None:
        return str(key.usual)
    if key.need is not None:
        return "must be given"
    if key.default is None:
        return ""
    if isinstance(key.default, bool):
        return f"`{str(key.default).lower()}`"
    if isinstance(key.default, (int, float)):
        return f"{key.default:g} {_UNITS.get(key.unit, key.unit)}".rstrip()
    return f'`"{key.default}"`' if key.default else ""


def reference(key: Key, path: str = "") -> str:
    """Return the tables of one table of the job file and of those in it."""
    lines = ["", "| key | what it is | takes | left out |", "| --- | --- | --- | --- |"]
    shared = JOB["plate"].keys if key.name == "piece" else ()  # a piece's other keys stand with the plate
    plain = [k for k in key.keys if k.kind not in ("table", "tables") and k not in shared]
    lines += [f"| `{k.name}` | {str(k.help).replace('|', '/')} | {takes(k)} | {left_out(k)} |" for k in plain]
    out = "\n".join(lines) + "\n"
    for inner in key.keys:
        if path and inner not in shared and inner.kind in ("table", "tables"):
            below = f"{path}.{inner.name}"
            head = f"`[[{below}]]`" if inner.kind == "tables" else f"`[{below}]`"
            out += f"\n{head}: {inner.help}.\n{reference(inner, below)}"
    return out


def page(text: str, file: Key = JOB) -> str:
    """Return the page of a file with its tables written anew.

    Raises
    ------
    KeyError
        When a table has no place in the page.
    """
    by_name = {k.name or "top": k for k in tables(file)}
    found = [m["name"] for m in _BLOCK.finditer(text)]
    if missing := [n for n in by_name if n not in found]:
        raise KeyError(f"the page has no place for {missing}")
    return _BLOCK.sub(lambda m: m[1] + reference(by_name[m["name"]], by_name[m["name"]].name) + "\n" + m[3], text)


if __name__ == "__main__":
    for path, file in PAGES.items():
        path.write_text(page(path.read_text(encoding="utf-8"), file), encoding="utf-8")
