"""What the commands print for people: findings, progress on a terminal, and JSON for machines."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterable
from typing import Any

from cutplan.findings import Finding, by_severity

#: Findings of one code shown one by one before the rest is counted.
_SHOWN_OF_A_KIND = 4


def print_json(data: Any) -> None:
    """Print one JSON object on standard output and nothing else."""
    print(json.dumps(data, indent=1, sort_keys=True, ensure_ascii=False, allow_nan=False))


def print_findings(findings: Iterable[Finding], stream: Any = None, notes: bool = True) -> None:
    """Print findings, errors first; many of one kind are counted after the first few."""
    out = stream or sys.stdout
    shown: dict[str, int] = {}
    for finding in by_severity(findings):
        if finding.severity == "note" and not notes:
            continue
        shown[finding.code] = shown.get(finding.code, 0) + 1
        if shown[finding.code] > _SHOWN_OF_A_KIND:
            continue
        print(f"{finding.severity}: {finding.message}", file=out)
        if finding.where:
            print(f"  where: {finding.where}", file=out)
        if finding.fix:
            print(f"  try:   {finding.fix}" if finding.severity != "note" else f"  note:  {finding.fix}", file=out)
    for code, count in shown.items():
        if count > _SHOWN_OF_A_KIND:
            print(f"... and {count - _SHOWN_OF_A_KIND} more of the kind {code}", file=out)


class TerminalProgress:
    """Progress on standard error, only when it is a terminal."""

    def __init__(self, quiet: bool = False) -> None:
        self.on = sys.stderr.isatty() and not quiet
        self.last = ""

    def __call__(self, step: str, done: int, total: int) -> None:
        if not self.on:
            return
        text = f"[{done + 1 if done < total else total}/{total}] {step}"
        print("\r" + text.ljust(len(self.last)), end="", file=sys.stderr, flush=True)
        self.last = text

    def close(self) -> None:
        """Clear the line."""
        if self.on and self.last:
            print("\r" + " " * len(self.last) + "\r", end="", file=sys.stderr, flush=True)
