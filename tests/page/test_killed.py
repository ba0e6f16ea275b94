"""The server killed in the middle of changes: nothing that was accepted is lost, and undo still reaches the beginning."""

from __future__ import annotations

import random
import shutil
import threading
import time
import tomllib
from pathlib import Path

import httpx
import pytest
from page_server import PageServer

from cutplan.project.demo import demo_job
from cutplan.project.desk.desk import Desk

pytestmark = pytest.mark.slow
KILLS = 30


def changes_until_killed(server: PageServer, first: int, accepted: list[int]) -> None:
    """Change the note again and again, remembering the last number that the server accepted."""
    headers = {"cookie": f"cutplan_{server.port}={server.secret}", "origin": server.home}
    number = first
    with httpx.Client(base_url=server.home, headers=headers, timeout=5.0) as client:
        while True:
            number += 1
            change = {"do": "set", "at": ["note"], "value": f"change {number}"}
            try:
                answer = client.post("/api/change", json={"changes": [change], "label": f"{number}"})
                if "error" in answer.json():
                    raise AssertionError(answer.text)
            except (httpx.HTTPError, ValueError):
                return
            accepted[0] = number


def test_no_accepted_change_is_lost_in_thirty_kills(tmp_path: Path) -> None:
    job = tmp_path / "job" / "job.toml"
    shutil.copytree(demo_job().parent, job.parent)
    begin = job.read_bytes()
    random.seed(18)
    accepted, total = [0], 0
    for _ in range(KILLS):
        with PageServer(tmp_path / "room", job) as server:
            before = accepted[0]
            busy = threading.Thread(target=changes_until_killed, args=(server, before, accepted))
            busy.start()
            while accepted[0] < before + 2:  # the first changes are slow: the modules load
                time.sleep(0.005)
            time.sleep(random.uniform(0.0, 0.1))
            server.kill()
            busy.join(10.0)
        stands = int(tomllib.loads(job.read_text(encoding="utf-8"))["note"].split()[1])
        assert accepted[0] <= stands <= accepted[0] + 1  # the last one may be written, but not yet told
        accepted[0], total = stands, total + stands - before
    assert total >= 2 * KILLS
    desk = Desk(job)
    assert desk.sheet().changes >= total
    while desk.sheet().changes:
        desk.undo()
    assert job.read_bytes() == begin
    assert not list(job.parent.glob("*.damaged")) and not list(job.parent.glob("*.new"))
