"""Where in its file a drawn thing stands, kept as data until somebody asks."""

from __future__ import annotations

from typing import NamedTuple

from cutplan.texts import Message, plural, say
from cutplan.texts import name as named


class Where(NamedTuple):
    """The place of a drawn thing in its file.

    ``kind`` is the entity or element with its name, ``line`` the line of a text file (0: none), ``byte`` the number of the value in a
    binary one, ``handle`` what a DXF file calls it. ``after`` more things follow it directly, ``more`` belong with it.
    """

    kind: str = ""
    line: int = 0
    byte: int = 0
    handle: str = ""
    after: int = 0
    more: int = 0

    def said(self) -> Message:
        """Return the place in words."""
        if not self.kind:
            return Message("")
        if not self.line:
            what = say("{kind} at value {byte}", kind=named(self.kind), byte=self.byte)
        elif self.handle:
            what = say("{kind} at line {line}, handle {handle}", kind=named(self.kind), line=self.line,
                       handle=named(self.handle))  # fmt: skip
        else:
            what = say("{kind} at line {line}", kind=named(self.kind), line=self.line)
        if self.after:
            what = plural("{what} and the one after it", "{what} and the {count} after it", self.after, what=what)
        if self.more:
            what = plural("{what} and one more", "{what} and {count} more", self.more, what=what)
        return what

    def with_more(self, count: int) -> Where:
        """Return the place of a thing that ``count`` others belong with."""
        return self._replace(more=count) if count else self
