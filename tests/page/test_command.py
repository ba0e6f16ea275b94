"""``cutplan page`` as a process: the address it prints, who may use it, and a clean end."""

from __future__ import annotations

import signal
import socket
import subprocess
import sys
from pathlib import Path

import httpx
import pytest
from page_server import PageServer

from cutplan.page.serve import loopback


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_it_answers_this_machine_with_the_secret_and_ends_cleanly(tmp_path: Path, number: int) -> None:
    with PageServer(tmp_path) as server:
        assert httpx.get(server.home).status_code == 403
        with httpx.Client(follow_redirects=True) as client:
            page = client.get(server.address)
            assert page.status_code == 200 and "cutplan" in page.text
            assert client.get(f"{server.home}/api/start").json()["jobs"] == []
        with socket.create_connection(("127.0.0.1", server.port)) as raw:
            raw.sendall(b"GET / HTTP/1.1\r\nHost: evil.example\r\n\r\n")
            assert b"421" in raw.recv(200)
        assert server.stop(number) == 0


def test_a_port_that_is_taken_and_a_job_that_is_not_there_are_told_in_words(tmp_path: Path) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        call = [sys.executable, "-m", "cutplan", "page", "--no-open", "--port", str(taken.getsockname()[1])]
        done = subprocess.run(call, capture_output=True, text=True, check=False, cwd=tmp_path)
    assert done.returncode == 2 and "port cannot be used" in done.stderr and "Traceback" not in done.stderr
    call = [sys.executable, "-m", "cutplan", "page", "--no-open", "nothing.toml"]
    done = subprocess.run(call, capture_output=True, text=True, check=False, cwd=tmp_path)
    assert done.returncode == 1 and "cannot be read" in done.stderr and "Traceback" not in done.stderr


def test_whoever_comes_before_the_server_runs_waits_instead_of_being_refused() -> None:
    listener = loopback(0)
    with listener, socket.create_connection(listener.getsockname()):
        caller, _address = listener.accept()
        caller.close()
