"""The job on the desk: undo past restarts, other programs noticed, and nothing accepted lost when the machine stops."""

from __future__ import annotations

import random
import shutil
import threading
from pathlib import Path
from typing import Any

import pytest

from cutplan.project.demo import demo_job
from cutplan.project.desk.desk import Desk, journal_path
from cutplan.project.desk.editing.journal import difference


@pytest.fixture
def job(tmp_path: Path) -> Path:
    shutil.copytree(demo_job().parent, tmp_path / "job")
    return tmp_path / "job" / "job.toml"


def thick(desk: Desk, value: float, **more: Any) -> Any:
    return desk.change([{"do": "set", "at": ["plate", "thickness"], "value": value, **more}], f"thickness {value}")


def test_undo_and_redo_reach_both_ends_also_after_a_restart(job: Path) -> None:
    begin = job.read_bytes()
    desk = Desk(job)
    for value in (5, 6, 7, 8):
        thick(desk, value)
    end = job.read_bytes()
    desk = Desk(job)
    for _ in range(4):
        desk.undo()
    assert job.read_bytes() == begin
    desk = Desk(job)
    assert desk.sheet().redo == "thickness 5"
    for _ in range(4):
        desk.redo()
    assert job.read_bytes() == end
    assert desk.redo().text == end.decode()  # nothing more to make again


def test_a_change_by_another_program_is_noticed_and_can_be_taken_back(job: Path) -> None:
    desk = Desk(job)
    thick(desk, 5)
    mine = job.read_text()
    job.write_text(mine.replace("gap = 1.2", "gap = 1.4"))
    assert desk.look(desk.history()[-1].label) is not None
    sheet = desk.sheet()
    assert sheet.undo_by == "outside"
    assert "-gap = 1.2" in desk.last_difference() and "+gap = 1.4" in desk.last_difference()
    desk.undo()
    assert job.read_text() == mine


def test_a_change_on_top_of_another_programs_keeps_both(job: Path) -> None:
    desk = Desk(job)
    job.write_text(job.read_text().replace("gap = 1.2", "gap = 1.4"))
    thick(desk, 5, was=4)
    assert "gap = 1.4" in job.read_text() and "thickness = 5" in job.read_text()


def test_two_windows_on_one_job_follow_each_other(job: Path) -> None:
    one, two = Desk(job), Desk(job)
    thick(one, 5)
    assert two.look(two._journal.head) is not None
    thick(two, 6)
    assert one.sheet().undo == "thickness 6" and one.sheet().undo_by == "page"
    one.undo()
    one.undo()
    assert "thickness = 4" in job.read_text() and two.sheet().undo == ""


def test_an_announced_change_that_never_reached_the_file_is_taken_back(job: Path, monkeypatch: Any) -> None:
    desk = Desk(job)
    thick(desk, 5)
    before = job.read_bytes()
    monkeypatch.setattr(Desk, "_write", lambda self: None)  # the machine stops between journal and file
    thick(desk, 6)
    monkeypatch.undo()
    again = Desk(job)
    assert job.read_bytes() == before and again.sheet().undo == "thickness 5"
    again.undo()
    assert "thickness = 4" in job.read_text()


def test_a_line_that_was_not_written_whole_is_left_out(job: Path) -> None:
    desk = Desk(job)
    thick(desk, 5)
    with open(journal_path(job), "ab") as stream:
        stream.write(b'{"do": [3, "a')
    again = Desk(job)
    assert again.sheet().undo == "thickness 5"
    thick(again, 6)
    assert Desk(job).sheet().undo == "thickness 6"


def test_a_damaged_journal_is_kept_aside_and_the_job_goes_on(job: Path) -> None:
    thick(Desk(job), 5)
    path = journal_path(job)
    path.write_bytes(path.read_bytes().replace(b"thickness = 4", b"thickness = 9"))
    desk = Desk(job)
    assert desk.sheet().changes == 0 and "thickness = 5" in desk.sheet().text
    assert path.with_name(path.name + ".damaged").exists()


def test_a_difference_there_and_back() -> None:
    random.seed(4)
    for _ in range(300):
        a = "".join(random.choice("ab\n") for _ in range(random.randrange(12)))
        b = "".join(random.choice("ab\n") for _ in range(random.randrange(12)))
        change = difference(a, b, "")
        assert change.done(a) == b and change.undone(b) == a


def test_a_file_that_is_just_being_written_is_waited_for(job: Path) -> None:
    desk = Desk(job)
    whole = job.read_text().replace("gap = 1.2", "gap = 1.4")
    job.write_text("")  # an editor that empties the file before it writes it
    writer = threading.Timer(0.05, job.write_text, [whole])
    writer.start()
    sheet = desk.sheet()
    writer.join()
    assert sheet.text == whole and sheet.changes == 1


def test_what_a_killed_run_left_is_tidied_away(job: Path) -> None:
    left = job.with_name(".job.toml.4711.new")
    left.write_text("half a fi")
    other = job.with_name(".other.toml.4711.new")
    other.write_text("not ours")
    Desk(job)
    assert not left.exists() and other.exists()
