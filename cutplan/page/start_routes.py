"""The choice of beginnings: a shape, tape readings, a drawing, a sample, or a job that is there already."""

from __future__ import annotations

from typing import Any

from anyio import to_thread
from starlette.datastructures import UploadFile
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from cutplan.errors import CutplanError, UsageError
from cutplan.page.replies import asked, error_reply, text_in
from cutplan.page.session import Session
from cutplan.project.desk.start import Kind, begin, begin_sample, jobs_in, put_drawing, samples
from cutplan.texts import say
from cutplan.units import UnitName

#: Paths that take a file.
UPLOADS = ("/api/begin/drawing", "/api/drawing", "/api/measured", "/api/pictures")


def units_of(value: object) -> UnitName:
    """Return the unit that a request names; millimetres unless it says inches."""
    return "in" if value == "in" else "mm"


def routes(session: Session) -> list[Route]:
    """Return the routes of the choice of beginnings."""

    def choice(data: dict[str, Any]) -> Any:
        return {"jobs": jobs_in(session.room), "samples": list(samples()), "room": str(session.room)}

    def begun(data: dict[str, Any]) -> Any:
        kind = text_in(data, "kind")
        if kind == "sample":
            session.open(begin_sample(session.room, text_in(data, "name")))
        elif kind in ("shape", "tape"):
            beginning: Kind = "tape" if kind == "tape" else "shape"
            title, unit = text_in(data, "title"), units_of(data.get("units"))
            plate, skin = text_in(data, "plate"), text_in(data, "skin")
            session.open(begin(session.room, beginning, title, unit, plate=plate, skin=skin))
        else:
            raise UsageError(say("there is no such beginning"), kind)
        return session.state()

    def opened(data: dict[str, Any]) -> Any:
        name = text_in(data, "folder")
        if name not in {j["folder"] for j in jobs_in(session.room)}:
            raise UsageError(say("there is no such job here"), name)
        session.open(session.room / name / "job.toml")
        return session.state()

    def left(data: dict[str, Any]) -> Any:
        session.close()
        return {"job": ""}

    async def from_drawing(request: Request) -> Response:
        def work(fields: dict[str, str], name: str, raw: bytes) -> Any:
            drawing = (name, raw)
            title = fields.get("title") or name.rsplit(".", 1)[0]
            unit = units_of(fields.get("units"))
            plate, skin = fields.get("plate", ""), fields.get("skin", "")
            session.open(begin(session.room, "drawing", title, unit, drawing, plate=plate, skin=skin))
            return session.state()

        return await upload(session, request, work)

    async def drawing(request: Request) -> Response:
        def work(fields: dict[str, str], name: str, raw: bytes) -> Any:
            return {"name": put_drawing(session.at_work().folder, name, raw)}

        return await upload(session, request, work)

    return [
        Route("/api/start", asked(choice, lambda: session.reader)),
        Route("/api/begin", asked(begun, lambda: session.reader), methods=["POST"]),
        Route("/api/open", asked(opened, lambda: session.reader), methods=["POST"]),
        Route("/api/leave", asked(left, lambda: session.reader), methods=["POST"]),
        Route("/api/begin/drawing", from_drawing, methods=["POST"]),
        Route("/api/drawing", drawing, methods=["POST"]),
    ]


async def upload(session: Session, request: Request, work: Any) -> Response:
    """Take one file and a few texts out of a form and give them to a function in a thread of its own."""
    try:
        if not request.headers.get("content-type", "").startswith("multipart/form-data"):
            raise UsageError(say("the request carries no file"))
        async with request.form(max_files=1, max_fields=8) as form:
            file = form.get("file")
            if not isinstance(file, UploadFile):
                raise UsageError(say("the request carries no file"))
            fields = {k: v for k, v in form.items() if isinstance(v, str)}
            raw = await file.read()
            return JSONResponse(await to_thread.run_sync(work, fields, file.filename or "plate.dxf", raw))
    except CutplanError as error:
        return error_reply(error, session.reader)
