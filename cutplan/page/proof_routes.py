"""Inspection and trial pieces: what was measured, the verdict, and what the shop file learns."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from cutplan.errors import UsageError
from cutplan.page.paper_routes import file_reply
from cutplan.page.replies import asked, text_in
from cutplan.page.session import Session
from cutplan.page.start_routes import upload
from cutplan.project.desk.proof import AS_BUILT, MEASURED, keep, sheet, take, verdict
from cutplan.project.desk.trial import FILES, PIECES, kind_of, learnt, make_piece, trial
from cutplan.texts import Reader, say


def routes(session: Session) -> list[Route]:
    """Return the routes of inspection and trial pieces."""

    def reader() -> Reader:
        return session.reader

    def job() -> Path:
        return session.at_work().path

    def values(data: dict[str, Any], key: str) -> dict[str, Any]:
        found = data.get(key)
        if not isinstance(found, dict):
            raise UsageError(say("the request lacks something"), key)
        return found

    async def measured(request: Request) -> Response:
        return await upload(session, request, lambda fields, called, raw: take(job(), raw))

    def taught(data: dict[str, Any]) -> Any:
        kind, unit = kind_of(text_in(data, "kind")), session.units_of_numbers()
        return learnt(job(), kind, values(data, "values"), unit, session.reader)

    def beside(data: dict[str, Any]) -> Any:
        name = text_in(data, "name")
        known = {MEASURED: job().parent / MEASURED, AS_BUILT: job().parent / AS_BUILT}
        known |= {f: job().parent / PIECES / f for f in FILES.values()}
        if name not in known or not known[name].is_file():
            raise UsageError(say("there is no such document"), name)
        return file_reply(name, known[name].read_bytes(), "save" in data)

    return [
        Route("/api/proof", asked(lambda data: sheet(job(), session.reader), reader)),
        Route("/api/proof/keep", asked(lambda data: keep(job(), values(data, "values")), reader), methods=["POST"]),
        Route("/api/proof/verdict", asked(lambda data: verdict(job(), session.reader), reader), methods=["POST"]),
        Route("/api/measured", measured, methods=["POST"]),
        Route("/api/trial", asked(lambda data: trial(job(), kind_of(text_in(data, "kind")), session.reader), reader)),
        Route(
            "/api/trial/make",
            asked(lambda data: make_piece(job(), kind_of(text_in(data, "kind")), session.reader), reader),
            methods=["POST"],
        ),
        Route("/api/trial/learn", asked(taught, reader), methods=["POST"]),
        Route("/api/beside/{name}", asked(beside, reader)),
    ]
