"""What a reader of drawings asks to be told: as options of a command, and as the keys of a job file that say the same."""

from __future__ import annotations

from dataclasses import replace
from typing import TypeVar

from cutplan.errors import CutplanError
from cutplan.findings import Finding
from cutplan.texts import Message, code
from cutplan.texts.values import Listing, Name, Value

#: Options as advice names them.
REPAIR, LAYERS, UNITS, LENGTH = code("--repair"), code("--layers"), code("--units"), code("--length")
FRAME_PLATE, FRAME_BORDER = code("--frame plate"), code("--frame border")
UNITS_MM, UNITS_IN, LENGTH_WIDTH = code("--units mm"), code("--units in"), code("--length width=150")

#: The key of [plate] that says in a job file what the option says on the command line.
_KEYS: dict[Name, Name] = {
    REPAIR: code("repair = true"),
    LAYERS: code('layers = ["name"]'),
    UNITS: code("drawing_units"),
    LENGTH: code("drawing_length"),
    FRAME_PLATE: code('frame = "plate"'),
    FRAME_BORDER: code('frame = "border"'),
    UNITS_MM: code('drawing_units = "mm"'),
    UNITS_IN: code('drawing_units = "in"'),
    LENGTH_WIDTH: code('drawing_length = "width=150 mm"'),
}

Error = TypeVar("Error", bound=CutplanError)


def in_job(said: Message | str) -> Message | str:
    """Return advice with the keys of ``[plate]`` where it names options of a command that reads a drawing."""
    return _keyed(said) if isinstance(said, Message) else said


def _keyed(said: Message) -> Message:
    return replace(said, values=tuple((field, _value(v)) for field, v in said.values))


def _value(value: Value) -> Value:
    if isinstance(value, Name):
        return _KEYS.get(value, value)
    if isinstance(value, Message):
        return _keyed(value)
    if isinstance(value, Listing):
        return replace(value, items=tuple(map(_value, value.items)))
    return value


def finding_in_job(finding: Finding) -> Finding:
    """Return a finding of a reader as the author of a job file needs it."""
    return replace(finding, message=in_job(finding.message), fix=in_job(finding.fix))


def error_in_job(error: Error) -> Error:
    """Return an error of a reader as the author of a job file needs it."""
    return type(error)(in_job(error.message), error.where, in_job(error.hint))
