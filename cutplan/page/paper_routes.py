"""Long work with progress and cancel, its pictures, and the documents one by one or in a zip."""

from __future__ import annotations

from typing import Any

from starlette.responses import Response
from starlette.routing import Route

from cutplan.errors import UsageError
from cutplan.page.replies import asked, text_in
from cutplan.page.session import Session
from cutplan.project.desk.work.papers import document, documents_folder, listing, zipped
from cutplan.texts import Reader, say

_KINDS = {
    ".pdf": "application/pdf",
    ".html": "text/html; charset=utf-8",
    ".dxf": "image/vnd.dxf",
    ".json": "application/json",
    ".png": "image/png",
    ".csv": "text/csv; charset=utf-8",
}
#: The report runs on its own, without the page's cookie and without a way to the page.
_ALONE = "sandbox allow-scripts allow-downloads allow-modals; frame-ancestors 'none'"


def routes(session: Session) -> list[Route]:
    """Return the routes of the long work and the documents."""

    def reader() -> Reader:
        return session.reader

    def start(data: dict[str, Any]) -> Any:
        desk, task = session.at_work(), text_in(data, "task")
        if task not in ("look", "documents"):
            raise UsageError(say("the request lacks something"), "task")
        sheet = desk.sheet()
        session.worker.start(
            "documents" if task == "documents" else "look",
            desk.path,
            documents_folder(desk.path),
            sheet.version,
            session.reader,
        )
        return session.worker.state()

    def cancel(data: dict[str, Any]) -> Any:
        session.worker.cancel()
        return session.worker.state()

    def picture(data: dict[str, Any]) -> Any:
        found = session.worker.picture(text_in(data, "name"))
        if found is None:
            return Response("there is no such picture", 404, media_type="text/plain")
        return Response(found, media_type="image/svg+xml")

    def paper(data: dict[str, Any]) -> Any:
        name = text_in(data, "name")
        return file_reply(name, document(session.at_work().path, name), "save" in data)

    def whole(data: dict[str, Any]) -> Any:
        path = session.at_work().path
        return file_reply(f"{path.parent.name}.zip", zipped(path), True)

    return [
        Route("/api/work", asked(lambda data: session.worker.state(), reader)),
        Route("/api/work/start", asked(start, reader), methods=["POST"]),
        Route("/api/work/cancel", asked(cancel, reader), methods=["POST"]),
        Route("/api/picture/{name}", asked(picture, reader)),
        Route("/api/papers", asked(lambda data: listing(session.at_work().path), reader)),
        Route("/api/paper/{name}", asked(paper, reader)),
        Route("/api/set.zip", asked(whole, reader)),
    ]


def file_reply(name: str, data: bytes, save: bool) -> Response:
    """A document to look at or to save; a name of ours or of a folder of ours, so it is plain."""
    suffix = "." + name.rsplit(".", 1)[-1]
    headers = {"content-disposition": f'{"attachment" if save else "inline"}; filename="{name}"'}
    if suffix == ".html":
        # its own policy, inside the file, names the style and script that may run
        headers["content-security-policy"] = _ALONE
    return Response(data, media_type=_KINDS.get(suffix, "application/octet-stream"), headers=headers)
