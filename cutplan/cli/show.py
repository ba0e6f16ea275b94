"""What the commands print for people, in their language and units; progress on a terminal; JSON for machines."""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Iterable
from typing import Any

from cutplan.findings import Finding, by_severity
from cutplan.texts import ENGLISH, Message, Reader, code, plural, say
from cutplan.texts.catalogue import LANGUAGES
from cutplan.texts.values import Value

#: Findings of one code shown one by one before the rest is counted.
_SHOWN_OF_A_KIND = 4
_SEVERITY = {"error": say("error"), "warning": say("warning"), "note": say("note")}


def print_json(data: Any) -> None:
    """Print one JSON object on standard output and nothing else."""
    print(json.dumps(data, indent=1, sort_keys=True, ensure_ascii=False, allow_nan=False))


def terminal() -> Reader:
    """Return who reads the help: ``CUTPLAN_LANGUAGE``, else the language of the terminal, else English."""
    for variable in ("CUTPLAN_LANGUAGE", "LC_ALL", "LC_MESSAGES", "LANG"):
        language = os.environ.get(variable, "").partition("_")[0].partition(".")[0].lower()
        if language:
            return Reader(language if language in LANGUAGES else "en")
    return ENGLISH


def said(text: Message) -> str:
    """Return a text of the help in the words of the terminal; a percent sign stays one."""
    return terminal()(text).replace("%", "%%")


def tell(text: Message | str, reader: Reader = ENGLISH, stream: Any = None, indent: str = "") -> None:
    """Print a message in the words of its reader; nothing where there is no such stream."""
    out = stream if stream is not None else sys.stdout
    if out is not None:
        print(indent + reader(text), file=out)


def complain(text: Message | str, reader: Reader = ENGLISH) -> None:
    """Print a message on standard error, if there is one."""
    if sys.stderr is not None:
        tell(text, reader, sys.stderr)


def value(text: Message | str) -> Value:
    """Return a text as a value of a message."""
    return code(text) if isinstance(text, str) else text


def as_shown(finding: Finding, reader: Reader) -> dict[str, str]:
    """Return a finding as plain data in the words of its reader."""
    return {
        "code": finding.code,
        "severity": finding.severity,
        "message": reader(finding.message),
        "where": reader(finding.where),
        "fix": reader(finding.fix),
    }


def print_findings(
    findings: Iterable[Finding], reader: Reader = ENGLISH, stream: Any = None, notes: bool = True
) -> None:
    """Print findings, errors first; many of one kind are counted after the first few."""
    shown: dict[str, int] = {}
    for finding in by_severity(findings):
        if finding.severity == "note" and not notes:
            continue
        shown[finding.code] = shown.get(finding.code, 0) + 1
        if shown[finding.code] > _SHOWN_OF_A_KIND:
            continue
        severity, message = _SEVERITY[finding.severity], value(finding.message)
        tell(say("{severity}: {message}", severity=severity, message=message), reader, stream)
        if finding.where:
            tell(say("  where: {where}", where=value(finding.where)), reader, stream)
        if finding.fix and finding.severity == "note":
            tell(say("  note:  {fix}", fix=value(finding.fix)), reader, stream)
        elif finding.fix and finding.done:
            tell(say("  done:  {fix}", fix=value(finding.fix)), reader, stream)
        elif finding.fix:
            tell(say("  try:   {fix}", fix=value(finding.fix)), reader, stream)
    for kind, count in shown.items():
        if count > _SHOWN_OF_A_KIND:
            more = plural(
                "... and one more of the kind {kind}",
                "... and {count} more of the kind {kind}",
                count - _SHOWN_OF_A_KIND,
                kind=code(kind),
            )
            tell(more, reader, stream)


class TerminalProgress:
    """Progress on standard error, only when it is a terminal."""

    def __init__(self, quiet: bool = False) -> None:
        self.on = sys.stderr is not None and sys.stderr.isatty() and not quiet
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
