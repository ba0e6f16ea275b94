"""The page put together: its files, its routes, and the guard in front of them."""

from __future__ import annotations

from functools import cache
from importlib.resources import files
from typing import Any

from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from cutplan.page import (
    job_routes,
    paper_routes,
    picture_routes,
    proof_routes,
    start_routes,
    study_routes,
    tape_routes,
)
from cutplan.page.replies import asked
from cutplan.page.security import Guard
from cutplan.page.session import Session
from cutplan.page.words import words

_KINDS = {
    "html": "text/html; charset=utf-8",
    "js": "text/javascript; charset=utf-8",
    "css": "text/css; charset=utf-8",
    "svg": "image/svg+xml",
}


@cache
def page_files() -> dict[str, bytes]:
    """Return the page's own files by name: read once, so that no name in a request is ever looked up on disk."""
    folder = files("cutplan.page").joinpath("static")
    return {f.name: f.read_bytes() for f in folder.iterdir() if f.name.split(".")[-1] in _KINDS}


async def _file(request: Request) -> Response:
    name = request.path_params.get("name", "index.html")
    found = page_files().get(name)
    if found is None:
        return Response("there is no such file", 404, media_type="text/plain")
    return Response(found, media_type=_KINDS[name.split(".")[-1]])


def _spoken(session: Session, lang: str) -> dict[str, Any]:
    found = words(lang)
    session.speak(lang)
    return found


def build_app(session: Session, secret: str, port: int) -> Guard:
    """Return the page as an ASGI application.

    Parameters
    ----------
    session : Session
        What it works on.
    secret : str
        What the address must carry.
    port : int
        Port that it is served at.
    """
    inner = Starlette(
        routes=[
            Route("/", _file),
            Route("/files/{name}", _file),
            Route("/api/words", asked(lambda data: _spoken(session, str(data.get("lang", "en"))))),
            *start_routes.routes(session),
            *picture_routes.routes(session),
            *job_routes.routes(session),
            *tape_routes.routes(session),
            *study_routes.routes(session),
            *paper_routes.routes(session),
            *proof_routes.routes(session),
        ]
    )
    return Guard(inner, secret, port, uploads=start_routes.UPLOADS)
