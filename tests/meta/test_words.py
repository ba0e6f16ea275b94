"""The project speaks of itself alone: no machine paths, notes to self, registry hosts or word of how it was made."""

from __future__ import annotations

import re
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
_NOTES = "|".join(["TO" + "DO", "FIX" + "ME", "X" * 3])
_HOSTS = "|".join(["py" + r"pi\.org", "registry\\." + "npm" + "js", "deb\\." + "debian", "files\\.python" + "hosted"])
_WORKERS = "|".join(["chat" + "bot", "language " + "model", "the see" + "d document", "prom" + "pt engineer"])
BAD = re.compile(rf"(?<![\w.])/(?:work|root|tmp|farm)/[A-Za-z.]|\b(?:{_NOTES})\b|\[REDACTED\]|(?i:{_HOSTS}|{_WORKERS})")


def _files() -> list[Path]:
    done = subprocess.run(["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, text=True, check=False)
    if done.returncode != 0:
        pytest.skip("not a git checkout: the list of files comes from git")
    return [ROOT / name for name in done.stdout.split("\0") if name]


def test_no_word_that_does_not_belong() -> None:
    hits = []
    for path in _files():
        if path.suffix in {".png", ".pdf", ".gz", ".npz"} or not path.is_file():
            continue
        text = path.read_text(encoding="utf-8", errors="replace")
        for number, line in enumerate(text.splitlines() if BAD.search(text) else [], 1):
            if BAD.search(line):
                hits.append(f"{path.relative_to(ROOT)}:{number}: {line.strip()[:100]}")
    assert hits == []


@pytest.mark.parametrize("line", ["see /" + "tmp/notes", "# TO" + "DO later", "from py" + "pi.org"])
def test_the_check_sees_a_planted_word(line: str) -> None:
    assert BAD.search(line)
