"""The page's server as a process of its own, for tests that use it as a person does."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
from pathlib import Path


class PageServer:
    """``cutplan page`` in a process; its address, and ways to end it."""

    def __init__(self, room: Path, job: Path | None = None, port: int = 0) -> None:
        self.room = room
        room.mkdir(parents=True, exist_ok=True)
        call = [sys.executable, "-m", "cutplan", "page", "--no-open", "--folder", str(room), "--port", str(port)]
        if job is not None:
            call.append(str(job))
        environment = {**os.environ, "CUTPLAN_CONFIG": str(room / ".config"), "PYTHONUNBUFFERED": "1"}
        self.process = subprocess.Popen(call, stdout=subprocess.PIPE, text=True, env=environment)
        assert self.process.stdout is not None
        found = re.search(r"http://\S+", self.process.stdout.readline())
        assert found is not None
        self.address = found[0]
        self.home = self.address.split("/open")[0]
        self.secret = self.address.split("key=")[1]
        self.port = int(self.home.rsplit(":", 1)[1])

    def kill(self) -> None:
        """End it in the middle of whatever it does."""
        self.process.kill()
        self._ended()

    def stop(self, number: int = signal.SIGTERM) -> int:
        """Ask it to end and return its exit code."""
        self.process.send_signal(number)
        return self._ended()

    def _ended(self) -> int:
        code = self.process.wait(10)
        if self.process.stdout is not None:
            self.process.stdout.close()
        return code

    def __enter__(self) -> PageServer:
        return self

    def __exit__(self, *fault: object) -> None:
        if self.process.poll() is None:
            self.kill()
        elif self.process.stdout is not None:
            self.process.stdout.close()
