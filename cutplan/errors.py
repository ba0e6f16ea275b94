"""The one error family of cutplan: what is wrong, where, and what to try."""

from __future__ import annotations


class CutplanError(Exception):
    """A job, drawing or request that cannot be carried out.

    Parameters
    ----------
    message : str
        What is wrong, one sentence without a full stop.
    where : str
        File, entity, key or place (coordinates in mm) that the message is about.
    hint : str
        What to try next.
    """

    def __init__(self, message: str, where: str = "", hint: str = "") -> None:
        super().__init__(message)
        self.message = message
        self.where = where
        self.hint = hint

    def __str__(self) -> str:
        lines = [self.message]
        if self.where:
            lines.append(f"  where: {self.where}")
        if self.hint:
            lines.append(f"  try:   {self.hint}")
        return "\n".join(lines)


class DrawingError(CutplanError, ValueError):
    """A drawing that cannot be read as an exact plate."""


class JobError(CutplanError, ValueError):
    """A job or shop file with wrong, missing or unknown keys."""


class GeometryError(CutplanError, ValueError):
    """A shape that has no meaning for the operation asked for."""


class LimitError(CutplanError, ValueError):
    """An input beyond the stated limits of the program."""


class OutputError(CutplanError, OSError):
    """Documents that could not be written; what was there before is untouched."""


class UsageError(CutplanError):
    """A command called with wrong arguments (exit code 2)."""
