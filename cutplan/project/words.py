"""Small pieces of messages that several use cases share."""

from __future__ import annotations

from collections.abc import Sequence

from cutplan.errors import JobError
from cutplan.findings import Finding, errors
from cutplan.texts import Message, code, every, name, say
from cutplan.texts.values import Value

#: Most errors that are told in full; the rest is counted.
MOST_TOLD = 20


def value(text: Message | str) -> Value:
    """Return a text as a value of a message: a plain string is somebody's own words."""
    return name(text) if isinstance(text, str) else text


def refuse(findings: Sequence[Finding], source: str) -> None:
    """Raise one error that names every error finding, or do nothing.

    Parameters
    ----------
    findings : sequence of Finding
        Of a job and its plans.
    source : str
        Name of the job file.

    Raises
    ------
    JobError
        With at most twenty errors in full, the rest counted.
    """
    bad = errors(findings)
    if not bad:
        return
    if len(bad) == 1:
        where = say("{file}, {place}", file=name(source), place=value(bad[0].where)) if bad[0].where else source
        raise JobError(bad[0].message, where, bad[0].fix)
    lines: list[Value] = [_line(f) for f in bad[:MOST_TOLD]]
    if len(bad) > MOST_TOLD:
        lines.append(say("- and {count} more", count=len(bad) - MOST_TOLD))
    raise JobError(
        say("{count} errors stop this job\n{all}", count=len(bad), all=every(lines, "\n")),
        source,
        say("mend them in the job file or the drawing ({command} shows all)", command=code("cutplan check")),
    )


def _line(f: Finding) -> Message:
    what, where = value(f.message), value(f.where or "-")
    if not f.fix:
        return say("- {what} ({where})", what=what, where=where)
    return say("- {what} ({where}); try: {fix}", what=what, where=where, fix=value(f.fix))
