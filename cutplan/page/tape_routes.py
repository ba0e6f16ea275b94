"""Tape readings: lines read, and the figure that they give so far."""

from __future__ import annotations

from typing import Any

from starlette.routing import Route

from cutplan.page.replies import asked, text_in
from cutplan.page.session import Session
from cutplan.project.desk.tape.lines import read_lines

_LONGEST = 200_000


def routes(session: Session) -> list[Route]:
    """Return the routes of the tape readings."""

    def lines(data: dict[str, Any]) -> Any:
        read, unit = session.reader, session.units_of_numbers()
        found = read_lines(text_in(data, "text", _LONGEST), unit)
        return {
            "readings": [{"from": t.a, "to": t.b, "typed": t.typed} for t in found if t.a],
            "refused": [{"line": t.line, "why": read(t.why)} for t in found if not t.a],
        }

    return [
        Route("/api/tape", asked(lambda data: session.tape(), lambda: session.reader)),
        Route("/api/tape/read", asked(lines, lambda: session.reader), methods=["POST"]),
    ]
