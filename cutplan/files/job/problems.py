"""Everything found wrong in one file, told together: at most twenty problems in full, the rest counted."""

from __future__ import annotations

from cutplan.errors import JobError
from cutplan.texts import Message, code, every, name, plural, say
from cutplan.texts.values import Value

#: Most problems of one file that are told in full.
MOST_TOLD = 20
#: Most problems that are collected at all; a file with more is beyond mending line by line.
MOST_KEPT = 1000


class Problems:
    """Everything found wrong in one file; raised together."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.lines: list[tuple[str, Message | str, Message | str]] = []
        self.count = 0

    def add(self, path: str, message: Message | str, hint: Message | str = "") -> None:
        """Collect one problem: its key path, what is wrong and what to try."""
        self.count += 1
        if len(self.lines) < MOST_KEPT:
            self.lines.append((path, message, hint))

    def raise_if_any(self) -> None:
        """Raise one JobError that names the problems, or do nothing."""
        if not self.lines:
            return
        fault = self._one_error()
        fault.problems = tuple(self.lines)
        raise fault

    def _one_error(self) -> JobError:
        if self.count == 1:
            path, message, hint = self.lines[0]
            return JobError(message, f"{self.file}, {path}" if path else self.file, hint)
        told: list[Value] = [_line(*line) for line in self.lines[:MOST_TOLD]]
        if self.count > MOST_TOLD:
            more = self.count - MOST_TOLD
            told.append(plural("  - and one more problem", "  - and {count} more problems", more))
        return JobError(
            say("{count} problems in {file}\n{all}", count=self.count, file=name(self.file), all=every(told, "\n")),
            self.file,
            say("mend the keys named above; {command} writes a commented job file", command=code("cutplan new")),
        )


def _line(path: str, message: Message | str, hint: Message | str) -> Message:
    at = code(shortened(path)) if path else say("file")
    if not hint:
        return say("  - {at}: {what}", at=at, what=_value(message))
    return say("  - {at}: {what} (try: {hint})", at=at, what=_value(message), hint=_value(hint))


def _value(text: Message | str) -> Value:
    return name(text) if isinstance(text, str) else text


def shortened(value: object, most: int = 60) -> str:
    """Return how a value is written, cut short: what a file holds may be of any length."""
    text = value if isinstance(value, str) else _written(value)
    return text if len(text) <= most else text[: most - 3] + "..."


def _written(value: object) -> str:
    if isinstance(value, int) and not isinstance(value, bool) and value.bit_length() > 400:
        return "..."  # Python refuses to write it out
    try:
        return repr(value)
    except ValueError:
        return "..."
