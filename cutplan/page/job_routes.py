"""The job on the desk: its state, its changes, undo and redo."""

from __future__ import annotations

from typing import Any

from starlette.routing import Route

from cutplan.errors import UsageError
from cutplan.page.replies import asked
from cutplan.page.session import Session
from cutplan.project.desk.choices import choices
from cutplan.texts import Reader, say
from cutplan.units import UnitName


def routes(session: Session) -> list[Route]:
    """Return the routes of the job on the desk."""

    def state(data: dict[str, Any]) -> Any:
        return session.state() if session.desk else {"job": ""}

    def look(data: dict[str, Any]) -> Any:
        if session.desk is None:
            return {"same": True}
        sheet = session.desk.look(str(data.get("version", "")))
        return {"same": True} if sheet is None else session.state(sheet)

    def change(data: dict[str, Any]) -> Any:
        changes, shown = data.get("changes"), data.get("shown")
        if not isinstance(changes, list) or not all(isinstance(c, dict) for c in changes):
            raise UsageError(say("the request lacks something"), "changes")
        unit: UnitName | None = "in" if shown == "in" else "mm" if shown == "mm" else None
        return session.state(session.at_work().change(changes, str(data.get("label", "")), unit))

    def reader() -> Reader:
        return session.reader

    return [
        Route("/api/state", asked(state, reader)),
        Route("/api/look", asked(look, reader)),
        Route("/api/choices", asked(lambda data: choices())),
        Route("/api/figures", asked(lambda data: session.figures(), reader)),
        Route("/api/drawn", asked(lambda data: session.drawing(), reader)),
        Route("/api/change", asked(change, reader), methods=["POST"]),
        Route("/api/undo", asked(lambda data: session.state(session.at_work().undo()), reader), methods=["POST"]),
        Route("/api/redo", asked(lambda data: session.state(session.at_work().redo()), reader), methods=["POST"]),
    ]
