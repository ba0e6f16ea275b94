"""The study of the steering: its state, its changes, the place it recommends with its pictures, and taking it over."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from starlette.responses import Response
from starlette.routing import Route

from cutplan.errors import UsageError
from cutplan.page.replies import asked, text_in
from cutplan.page.session import Session
from cutplan.texts import Reader, say
from cutplan.units import UnitName

_KINDS = {"map": "image/png"}


def routes(session: Session) -> list[Route]:
    """Return the routes of the study."""

    def reader() -> Reader:
        return session.reader

    def values() -> dict[str, Any]:
        found: dict[str, Any] = session.state()["data"]
        return found

    def state(data: dict[str, Any]) -> Any:
        return session.study().state(values(), session.reader)

    def after(work: Callable[[dict[str, Any]], None]) -> Callable[[dict[str, Any]], Any]:
        def done(data: dict[str, Any]) -> Any:
            work(data)
            return state(data)

        return done

    def change(data: dict[str, Any]) -> None:
        changes, shown = data.get("changes"), data.get("shown")
        if not isinstance(changes, list) or not all(isinstance(c, dict) for c in changes):
            raise UsageError(say("the request lacks something"), "changes")
        unit: UnitName | None = "in" if shown == "in" else "mm" if shown == "mm" else None
        session.study().change(values(), changes, str(data.get("label", "")), unit)

    def picture(data: dict[str, Any]) -> Any:
        name = text_in(data, "name", 20)
        found = session.study().picture(values(), name, session.reader)
        if found is None:
            return Response("there is no such picture", 404, media_type="text/plain")
        return Response(found, media_type=_KINDS.get(name, "image/svg+xml"))

    def taken(data: dict[str, Any]) -> Any:
        return session.state(session.study().take_over(values(), session.reader))

    return [
        Route("/api/study", asked(state, reader)),
        Route("/api/study/new", asked(after(lambda data: session.study().begin()), reader), methods=["POST"]),
        Route("/api/study/change", asked(after(change), reader), methods=["POST"]),
        Route("/api/study/undo", asked(after(lambda data: session.study().undo(values())), reader), methods=["POST"]),
        Route("/api/study/redo", asked(after(lambda data: session.study().redo(values())), reader), methods=["POST"]),
        Route("/api/study/placed", asked(lambda data: session.study().placed(values(), session.reader), reader)),
        Route("/api/study/picture/{name}", asked(picture, reader)),
        Route("/api/study/take", asked(taken, reader), methods=["POST"]),
    ]
