"""Pictures kept aside until somebody has looked: safe names, limits, and a job only after the count is right."""

from __future__ import annotations

import io
import json
import tomllib
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from cutplan.errors import CutplanError
from cutplan.files.job.read import read_job
from cutplan.files.traced import request_of_drawing
from cutplan.project.desk.photos.kept import ASIDE, clear, drop_picture, listed, put_picture
from cutplan.project.desk.photos.tracing import Tracer, _request, marks_to_print
from cutplan.project.desk.start import jobs_in

SAMPLE = Path(__file__).parents[3] / "sample_parts" / "horsebox-jack-plate"


def png(width: int = 1000, height: int = 800) -> bytes:
    out = io.BytesIO()
    Image.new("L", (width, height), 90).save(out, "PNG")
    return out.getvalue()


def test_pictures_come_in_order_under_safe_names(tmp_path: Path) -> None:
    names = [put_picture(tmp_path, called, png()) for called in ("../../x y.PNG", "C:\\card<b>.jpeg", "..", "a.svg")]
    assert names == ["01-x-y.png", "02-card-b.png", "03-picture.png", "04-a.png"]
    assert [p["name"] for p in listed(tmp_path)] == names
    assert {p.parent for p in tmp_path.rglob("*.png")} == {tmp_path / ASIDE}
    drop_picture(tmp_path, "02-card-b.png")
    drop_picture(tmp_path, "../02-card-b.png")
    assert put_picture(tmp_path, "late.png", png()) == "05-late.png"  # numbers are not used again
    assert jobs_in(tmp_path) == []
    clear(tmp_path)
    assert listed(tmp_path) == []


@pytest.mark.parametrize(
    ("data", "said"),
    [(b"", "no picture"), (b"GIF89a" + bytes(90), "no picture"), (b"\xff\xd8\xff" + bytes(90), "no picture"),
     (png(100, 80), "too small"), (png()[:2000], "no picture")],
)  # fmt: skip
def test_what_is_no_usable_picture_is_refused_and_not_kept(tmp_path: Path, data: bytes, said: str) -> None:
    with pytest.raises(CutplanError, match=said):
        put_picture(tmp_path, "card.jpg", data)
    assert listed(tmp_path) == []


def test_one_card_has_at_most_twelve_pictures(tmp_path: Path) -> None:
    for n in range(12):
        put_picture(tmp_path, f"{n}.png", png())
    with pytest.raises(CutplanError, match="at most 12"):
        put_picture(tmp_path, "13.png", png())


def test_lengths_are_checked_before_any_work_begins(tmp_path: Path) -> None:
    with pytest.raises(CutplanError, match="no picture yet"):
        Tracer(tmp_path).start({"thickness": "2.5"}, "mm")
    put_picture(tmp_path, "a.png", png())
    for facts, said in (({"thickness": ""}, "length"), ({"thickness": "2.5", "between": "A1-D2"}, "half given"),
                        ({"thickness": "2.5", "between": "A1", "length": "400"}, "no length between two crosses")):  # fmt: skip
        with pytest.raises(CutplanError, match=said):
            Tracer(tmp_path).start(facts, "mm")
    request = _request({"thickness": "3/32", "between": "A1-D2", "length": "15 3/4"}, (tmp_path,), "in")
    assert request.thickness_mm == pytest.approx(2.38125) and request.known["A1-D2"] == pytest.approx(400.05)  # exact


class Ended:
    """A tracing that has come to its end."""

    def __init__(self) -> None:
        account = json.loads((SAMPLE / "plate.errors.json").read_text(encoding="utf-8"))
        table = {k: v for k, v in account["request"].items() if k != "holes"}
        self.answer: dict[str, Any] = {
            "told": account,
            "picture": png(),
            "drawing": (SAMPLE / "plate.dxf").read_bytes(),
            "account": (SAMPLE / "plate.errors.json").read_bytes(),
            "table": table,
        }


def test_a_job_is_written_only_when_the_count_is_right(tmp_path: Path) -> None:
    tracer = Tracer(tmp_path)
    facts = {"title": "Jack plate", "plate": "4", "skin": "2.5"}
    with pytest.raises(CutplanError, match="no outline"):
        tracer.begin_job(facts, "mm", 4)
    for n in range(1, 5):
        put_picture(tmp_path, f"card-{n}.jpg", (SAMPLE / f"card-{n}.jpg").read_bytes())
    tracer._now = Ended()  # type: ignore[assignment]
    with pytest.raises(CutplanError, match="holes found: 4; holes said: 5"):
        tracer.begin_job(facts, "mm", 5)
    assert jobs_in(tmp_path) == [] and len(listed(tmp_path)) == 4
    path = tracer.begin_job(facts, "mm", 4)
    data = tomllib.loads(path.read_text(encoding="utf-8"))
    assert data["traced"]["holes"] == 4 and data["plate"]["drawing"] == "plate.dxf"
    assert request_of_drawing(path.parent / "plate.dxf") is not None
    assert {"plate.found.png", "01-card-1.jpg", "04-card-4.jpg"} <= {p.name for p in path.parent.iterdir()}
    job = read_job(path)
    assert job.origin.traced is not None and len(job.origin.traced.holes) == 4 == len(job.plate.holes)
    assert listed(tmp_path) == []


def test_the_marks_are_a_pdf() -> None:
    assert marks_to_print("A4").startswith(b"%PDF")
    with pytest.raises(CutplanError, match="no paper size"):
        marks_to_print("A99")
