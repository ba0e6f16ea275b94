"""Serve the page on this machine only, until Ctrl-C or a request to end."""

from __future__ import annotations

import asyncio
import contextlib
import secrets
import signal
import socket
from collections.abc import Callable, Iterator
from pathlib import Path

import uvicorn

from cutplan.errors import UsageError
from cutplan.page.app import build_app
from cutplan.page.session import Session
from cutplan.texts import name, say


class _Server(uvicorn.Server):
    """A server that ends cleanly on a signal instead of dying of it."""

    @contextlib.contextmanager
    def capture_signals(self) -> Iterator[None]:
        loop = asyncio.get_running_loop()
        caught = []
        for number in (signal.SIGINT, signal.SIGTERM):
            with contextlib.suppress(NotImplementedError, RuntimeError, ValueError):
                loop.add_signal_handler(number, self._end)
                caught.append(number)
        try:
            yield
        finally:
            for number in caught:
                loop.remove_signal_handler(number)

    def _end(self) -> None:
        self.should_exit = True


def loopback(port: int) -> socket.socket:
    """Return a socket that listens on this machine only.

    Raises
    ------
    UsageError
        When the port is taken.
    """
    listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listener.bind(("127.0.0.1", port))
        # From here on who comes waits instead of being refused: the address is told before the server runs.
        listener.listen()
    except OSError as error:
        listener.close()
        raise UsageError(
            say("the port cannot be used ({why})", why=name(error.strerror or error)),
            f"--port {port}",
            say("leave --port away: a free one is found"),
        ) from None
    return listener


def serve(job: Path | None, room: Path, port: int, ready: Callable[[str], None]) -> None:
    """Serve the page until it is told to end.

    Parameters
    ----------
    job : Path or None
        Job to open; None: the page begins with its choice of beginnings.
    room : Path
        Folder in which new jobs are begun.
    port : int
        Port to use; 0: any that is free.
    ready : callable
        Called with the whole address, secret included, when the page can be opened.

    Raises
    ------
    CutplanError
        When the job cannot be opened or the port is taken.
    """
    session = Session(room)
    if job is not None:
        session.open(job)
    listener = loopback(port)
    used = listener.getsockname()[1]
    secret = secrets.token_urlsafe(24)
    config = uvicorn.Config(
        build_app(session, secret, used),
        log_level="warning",
        access_log=False,
        server_header=False,
        lifespan="off",
        ws="none",
        timeout_graceful_shutdown=1,
        limit_concurrency=64,
        h11_max_incomplete_event_size=32 * 1024,
    )
    ready(f"http://127.0.0.1:{used}/open?key={secret}")
    try:
        _Server(config).run(sockets=[listener])
    finally:
        session.close()
        listener.close()
