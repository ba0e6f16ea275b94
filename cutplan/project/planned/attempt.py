"""One step tried on its own: what it gives, or one finding that says why there is nothing; the rest goes on."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Generic, TypeVar

from cutplan.errors import CutplanError
from cutplan.findings import NOT_COMPUTED, Finding
from cutplan.texts import Message, code, name, say, template

T = TypeVar("T")

#: Why a step gave nothing when the program itself is at fault.
FAULT = template("the program failed in it ({kind}: {detail})")

#: The trades as they are called in a sentence.
TRADE_NAMES: dict[str, Message] = {
    "templates": say("the templates"),
    "cut": say("the cut path"),
    "opening": say("the plan of the opening"),
    "weld": say("the weld plan"),
}


@dataclass(frozen=True, slots=True)
class Attempt(Generic[T]):
    """What a step gave; ``made`` is None and ``failed`` says why when it gave nothing."""

    made: T | None
    failed: Finding | None = None


def attempt(what: Message, where: str, work: Callable[[], T]) -> Attempt[T]:
    """Do a step and return what it gives, or why it gives nothing.

    Parameters
    ----------
    what : Message
        The thing that is made, such as "the weld plan".
    where : str
        Its short name in the job's findings, such as ``weld``.
    work : callable
        The step. Any error of it ends here; only a stop by the user goes on.
    """
    try:
        return Attempt(work())
    except CutplanError as error:
        return Attempt(None, _refused(what, where, error))
    except MemoryError:
        reason = say("it needs more memory than there is")
        hint = say("a smaller plate, fewer holes or fewer pads need less")
        return Attempt(None, _finding(what, where, reason, hint))
    except Exception as error:
        reason = FAULT.fill(kind=code(type(error).__name__), detail=name(_short(error)))
        hint = say("use the other documents; this fault is the program's, the job file shows it to whoever mends it")
        return Attempt(None, _finding(what, where, reason, hint))


def stopped_by(what: Message, where: str, found: tuple[Finding, ...]) -> Finding:
    """Return the finding for a step whose plan holds errors: it is left out, for the first of these reasons."""
    first = found[0]
    return _finding(what, where, first.message, first.fix, first.where)


def _refused(what: Message, where: str, error: CutplanError) -> Finding:
    return _finding(what, where, error.message, error.hint, error.where)


def _finding(
    what: Message, where: str, reason: Message | str, hint: Message | str, place: Message | str = ""
) -> Finding:
    return Finding(
        NOT_COMPUTED,
        "error",
        say("{what}: not computed: {reason}", what=what, reason=_said(reason)),
        say("{trade}: {place}", trade=code(where), place=_said(place)) if place else where,
        hint,
    )


def _said(text: Message | str):  # type: ignore[no-untyped-def]
    return text if isinstance(text, Message) else name(text)


def _short(error: Exception) -> str:
    text = " ".join(str(error).split())
    return text if len(text) <= 120 else text[:117] + "..."
