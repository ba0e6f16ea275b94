"""Keys of one way to give the outline beside another: each is told, none is passed over."""

from pathlib import Path

import ezdxf
import pytest

from cutplan.errors import CutplanError
from cutplan.files.job.read import job_from

_SQUARE = [{"at": [0, 0]}, {"at": [200, 0]}, {"at": [200, 120]}, {"at": [0, 120]}]
#: Each way to give an outline with its own keys, and the keys that belong to the other ways.
_WAYS = {
    'shape = "rectangle"': (
        {"shape": "rectangle", "width": 200, "height": 120, "corner_radius": 5},
        ("mirror", "diameter", "drawing_units", "drawing_length", "frame", "part", "repair", "layers"),
    ),
    'shape = "round"': (
        {"shape": "round", "diameter": 200},
        ("mirror", "width", "height", "corner_radius", "drawing_units", "repair"),
    ),
    "outline = [...]": ({"outline": _SQUARE}, ("width", "height", "corner_radius", "diameter", "frame", "part")),
    'drawing = "..."': ({"drawing": "plate.dxf"}, ("width", "height", "corner_radius", "diameter", "mirror")),
}
_VALUES = {
    "mirror": "x", "width": 90, "height": 90, "corner_radius": 4, "diameter": 90, "drawing_units": "mm", "part": 1,
    "drawing_length": "width=150 mm", "frame": "plate", "repair": True, "layers": ["0"],
}  # fmt: skip


@pytest.mark.parametrize("way", _WAYS)
def test_a_key_of_another_shape_is_never_passed_over_in_silence(tmp_path: Path, way: str) -> None:
    """A mirror beside a rectangle was ignored without a word: half the plate would have been cut."""
    own, foreign = _WAYS[way]
    data = {"units": "mm", "title": "t", "plate": {**own, "thickness": 4}, "skin": {"thickness": 2.5}}
    if "drawing" in own:
        drawn = ezdxf.new(units=4)
        drawn.modelspace().add_lwpolyline([corner["at"] for corner in _SQUARE], close=True)
        drawn.saveas(tmp_path / "plate.dxf")
    job_from(data, tmp_path / "job.toml")
    for key in foreign:
        more = {**data, "plate": {**data["plate"], key: _VALUES[key]}}
        with pytest.raises(CutplanError, match=r"^belongs to ") as refused:
            job_from(more, tmp_path / "job.toml")
        assert f"not to {way}\n  where: job.toml, plate.{key}\n" in str(refused.value)


def test_keys_of_a_shape_that_is_not_known_are_not_blamed(tmp_path: Path) -> None:
    plate = {"shape": "circle", "diameter": 200, "thickness": 4}
    with pytest.raises(CutplanError) as refused:
        job_from({"units": "mm", "title": "t", "plate": plate, "skin": {"thickness": 2.5}}, tmp_path / "job.toml")
    assert "is not known" in str(refused.value) and "belongs to" not in str(refused.value)
