"""The one error family of cutplan: what is wrong, where, and what to try."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:  # for annotations only: nothing is imported upwards
    from cutplan.texts.message import Message


class CutplanError(Exception):
    """A job, drawing or request that cannot be carried out.

    Parameters
    ----------
    message : Message or str
        What is wrong, one sentence without a full stop.
    where : Message or str
        File, entity, key or place (coordinates in mm) that the message is about.
    hint : Message or str
        What to try next.
    """

    def __init__(self, message: Message | str, where: Message | str = "", hint: Message | str = "") -> None:
        super().__init__(message)
        self.message = message
        self.where = where
        self.hint = hint

    def __str__(self) -> str:
        lines = [str(self.message)]
        if self.where:
            lines.append(f"  where: {self.where}")
        if self.hint:
            lines.append(f"  try:   {self.hint}")
        return "\n".join(lines)


class DrawingError(CutplanError, ValueError):
    """A drawing that cannot be read as an exact plate."""


class JobError(CutplanError, ValueError):
    """A job or shop file with wrong, missing or unknown keys.

    ``problems`` holds one entry for each key that is wrong: key path, message and what to try.
    """

    problems: tuple[tuple[str, Message | str, Message | str], ...] = ()


class GeometryError(CutplanError, ValueError):
    """A shape that has no meaning for the operation asked for."""


class LimitError(CutplanError, ValueError):
    """An input beyond the stated limits of the program."""


class OutputError(CutplanError, OSError):
    """Documents that could not be written; what was there before is untouched."""


class UsageError(CutplanError):
    """A command called with wrong arguments (exit code 2)."""
