"""What the reading of an SVG file has to say: page stretched, styles and clips not followed, elements not drawn."""

from __future__ import annotations

from collections.abc import Sequence

from cutplan.files.reading_options import LAYERS
from cutplan.files.svg.tree import Node
from cutplan.findings import Finding
from cutplan.texts import Message, code, number, plural, say
from cutplan.texts import name as named


def stretched(by: float) -> Finding:
    """Return the warning for a page that stretches height against width [-]."""
    return Finding(
        "page-stretched",
        "warning",
        say("the page stretches height against width by {stretch}", stretch=number(by)),
        say("{keys}", keys=code("preserveAspectRatio")),
        say("check one length in each direction"),
    )


def unreadable(node: Node, why: Message) -> Finding:
    """Return the error for an element that cannot be drawn as written."""
    return Finding(
        "entity-unreadable",
        "error",
        say("a {tag} cannot be drawn as written: {why}", tag=named(node.tag[:24]), why=why),
        say("line {line}", line=node.line),
        say("draw it again or delete it"),
    )


def unpainted() -> Finding:
    """Return the warning for a drawing in which nothing is painted."""
    return Finding(
        "unpainted-used",
        "warning",
        say("no shape has a line or a fill; all shapes were read"),
        "",
        say("check that no helper shape is among them"),
    )


def left_out(selectors: Sequence[str], stated: bool) -> list[Finding]:
    """Return the finding about rules that hide something and were not understood: an error unless layers were stated."""
    if not selectors:
        return []
    return [
        Finding(
            "style-left-out",
            "warning" if stated else "error",
            plural(
                "{count} style rule that hides something was not understood",
                "{count} style rules that hide something were not understood",
                len(selectors),
            ),
            selectors[0][:60],
            say("hide or delete those things themselves, or name the layers to read with {layers}", layers=LAYERS),
        )
    ]


def clipped(count: int) -> list[Finding]:
    """Return the error for shapes of which clips or masks show only a part."""
    if not count:
        return []
    message = plural(
        "a clip or mask shows only a part of a shape", "clips or masks show only a part of {count} shapes", count
    )
    return [Finding("clipped", "error", message, "", say("cut the shapes for real in the drawing program"))]
