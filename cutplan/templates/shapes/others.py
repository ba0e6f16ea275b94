"""Wraps for tube and flat patterns of bent strips: each on its own, one that has no shape takes no other down."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from cutplan.errors import CutplanError, GeometryError
from cutplan.findings import NOT_COMPUTED, Finding
from cutplan.pattern.job import Job
from cutplan.templates.shapes.flange import flange_template
from cutplan.templates.shapes.template import Template
from cutplan.templates.shapes.wrap import wrap_template
from cutplan.texts import Message, Reader, code, name, say


def other_templates(job: Job) -> tuple[list[Template], list[Finding]]:
    """Return the templates of a job's tubes and bent strips, and an error for each that has no shape."""
    read = Reader(job.shown.language, job.shown.display)
    wanted: list[tuple[Message, str, Callable[[], Template]]] = [
        (say("the wrap of tube {name}", name=name(w.name)), f"tube[{i}]", partial(wrap_template, w, read))
        for i, w in enumerate(job.beside.wraps)
    ]
    wanted += [
        (
            say("the flat pattern of {name}", name=name(f.name)),
            f"flange[{i}]",
            partial(flange_template, f, read),
        )
        for i, f in enumerate(job.beside.flanges)
    ]
    made: list[Template] = []
    failed: list[Finding] = []
    for what, key, make in wanted:
        try:
            made.append(make())
        except GeometryError as error:
            failed.append(not_made(what, key, error))
    return made, failed


def not_made(what: Message, key: str, error: CutplanError) -> Finding:
    """Return the finding for one template that cannot be made while the others are.

    Parameters
    ----------
    what : Message
        The template in words.
    key : str
        What it is made from in the job file.
    error : CutplanError
        Why not.
    """
    message = say("{what}: not computed: {reason}", what=what, reason=_said(error.message))
    where = say("{trade}: {place}", trade=code(key), place=_said(error.where)) if error.where else key
    return Finding(NOT_COMPUTED, "error", message, where, error.hint)


def _said(text: Message | str):  # type: ignore[no-untyped-def]
    return text if isinstance(text, Message) else name(text)
