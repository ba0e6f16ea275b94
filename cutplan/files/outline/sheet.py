"""What is known of a drawing beside its lines: texts, paints, and what its user has stated."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal, TypeAlias

from cutplan.files.where import Where

#: What a rectangle around everything was said to be.
Frame: TypeAlias = Literal["plate", "border"] | None


@dataclass(frozen=True, slots=True)
class Sheet:
    """What is known beside the lines.

    Places of texts [mm], what a rectangle around everything was said to be, whether layers to be cut were named, the
    colours of shapes without a line, and the shapes painted behind all others as large as the page.
    """

    texts: Sequence[tuple[float, float]]
    frame: Frame = None
    stated: bool = False
    paints: Mapping[Where, str] = field(default_factory=dict)
    backs: frozenset[Where] = frozenset()
