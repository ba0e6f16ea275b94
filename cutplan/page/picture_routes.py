"""A plate from pictures: photographs taken one by one, traced beside, looked at, counted, and only then a job."""

from __future__ import annotations

from typing import Any

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from cutplan.errors import UsageError
from cutplan.page.paper_routes import file_reply
from cutplan.page.replies import asked, text_in
from cutplan.page.session import Session
from cutplan.page.start_routes import units_of, upload
from cutplan.project.desk.photos.kept import clear, drop_picture, listed, put_picture
from cutplan.project.desk.photos.tracing import marks_to_print
from cutplan.texts import say

#: Most holes that a card is said to have.
_MOST_HOLES = 500


def routes(session: Session) -> list[Route]:
    """Return the routes of the pictures."""
    room, tracer = session.room, session.tracer

    async def picture(request: Request) -> Response:
        def work(fields: dict[str, str], called: str, raw: bytes) -> Any:
            tracer.cancel()
            return {"name": put_picture(room, called, raw), "pictures": listed(room)}

        return await upload(session, request, work)

    def dropped(data: dict[str, Any]) -> Any:
        tracer.forget()
        if data.get("name") is None:
            clear(room)
        else:
            drop_picture(room, text_in(data, "name"))
        return {"pictures": listed(room)}

    def started(data: dict[str, Any]) -> Any:
        tracer.start(data, units_of(data.get("units")), session.reader)
        return tracer.state()

    def cancelled(data: dict[str, Any]) -> Any:
        tracer.cancel()
        return tracer.state()

    def seen(data: dict[str, Any]) -> Any:
        found = tracer.picture()
        if found is None:
            return Response("there is no such picture", 404, media_type="text/plain")
        return Response(found, media_type="image/png")

    def begun(data: dict[str, Any]) -> Any:
        holes = data.get("holes")
        if isinstance(holes, bool) or not isinstance(holes, int) or not 0 <= holes <= _MOST_HOLES:
            raise UsageError(say("say how many holes the card has"), "", say("count them on the card itself"))
        session.open(tracer.begin_job(data, units_of(data.get("units")), holes))
        return session.state()

    def marks(data: dict[str, Any]) -> Any:
        return file_reply("marks.pdf", marks_to_print(text_in(data, "paper"), session.reader), False)

    def reader() -> Any:
        return session.reader

    return [
        Route("/api/pictures", picture, methods=["POST"]),
        Route("/api/pictures/kept", asked(lambda data: {"pictures": listed(room)}, reader)),
        Route("/api/pictures/drop", asked(dropped, reader), methods=["POST"]),
        Route("/api/marks.pdf", asked(marks, reader)),
        Route("/api/trace", asked(lambda data: tracer.state(), reader)),
        Route("/api/trace/start", asked(started, reader), methods=["POST"]),
        Route("/api/trace/cancel", asked(cancelled, reader), methods=["POST"]),
        Route("/api/trace/picture", asked(seen, reader)),
        Route("/api/trace/begin", asked(begun, reader), methods=["POST"]),
    ]
