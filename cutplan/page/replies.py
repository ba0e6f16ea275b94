"""Answers of the page: JSON, errors in words with their status, and a request's body checked before use."""

from __future__ import annotations

import json
from collections.abc import Awaitable, Callable
from functools import wraps
from typing import Any

from anyio import to_thread
from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from cutplan.errors import CutplanError, OutputError, UsageError
from cutplan.project.desk.editing.edit import Conflict
from cutplan.texts import ENGLISH, Reader, say

Work = Callable[[dict[str, Any]], Any]
#: Most levels of a request's JSON.
_DEEPEST = 12


def error_reply(error: CutplanError, read: Reader = ENGLISH) -> Response:
    """Return an error as the command line's ``--json`` does, with a status in the body that tells its kind.

    A request that was understood is answered, so the answer itself is 200: a job that is not right yet is no fault of
    the page that would belong into a browser's list of faults.
    """
    status = 409 if isinstance(error, Conflict) else 500 if isinstance(error, OutputError) else 422
    body = {"message": read(error.message), "where": read(error.where), "try": read(error.hint)}
    return JSONResponse({"error": body, "status": 400 if isinstance(error, UsageError) else status})


async def body_of(request: Request) -> dict[str, Any]:
    """Return the JSON object that a request carries.

    Raises
    ------
    UsageError
        When it carries none.
    """
    if not request.headers.get("content-type", "").startswith("application/json"):
        raise UsageError(say("the request is not JSON"))
    try:
        data = json.loads(await request.body())
    except (ValueError, RecursionError):
        raise UsageError(say("the request is not JSON")) from None
    if not isinstance(data, dict) or not _shallow(data, _DEEPEST):
        raise UsageError(say("the request is not JSON"))
    return data


def _shallow(value: Any, levels: int) -> bool:
    if isinstance(value, dict):
        value = list(value.values())
    if isinstance(value, list):
        return levels > 0 and all(_shallow(v, levels - 1) for v in value)
    return not (isinstance(value, float) and (value != value or value in (float("inf"), float("-inf"))))


def asked(work: Work, reader: Callable[[], Reader] = lambda: ENGLISH) -> Callable[[Request], Awaitable[Response]]:
    """Return an endpoint that gives a request's JSON (or its query) to a function in a thread of its own."""

    @wraps(work)
    async def endpoint(request: Request) -> Response:
        try:
            data = dict(request.query_params) if request.method in ("GET", "HEAD") else await body_of(request)
            data.update({k: str(v) for k, v in request.path_params.items()})
            answer = await to_thread.run_sync(work, data)
        except CutplanError as error:
            return error_reply(error, reader())
        return answer if isinstance(answer, Response) else JSONResponse(answer)

    return endpoint


def text_in(data: dict[str, Any], key: str, longest: int = 200) -> str:
    """Return a text of a request.

    Raises
    ------
    UsageError
        When it is missing or no text.
    """
    value = data.get(key)
    if not isinstance(value, str) or len(value) > longest:
        raise UsageError(say("the request lacks something"), key)
    return value
