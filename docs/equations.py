"""Equations of the pages as MathML, which browsers draw by themselves: the site needs nothing from outside.

A hook of mkdocs: ``$$ ... $$`` stands on its own, ``$ ... $`` in a line. Code blocks are left alone.
"""

from __future__ import annotations

import re

_CODE = re.compile(r"(```.*?```|^(?: {4}|\t).*?$|`[^`\n]+`)", re.S | re.M)
_BLOCK = re.compile(r"\$\$(.+?)\$\$", re.S)
_INLINE = re.compile(r"(?<![\\$\w])\$(?=\S)([^$\n]+?)(?<=\S)\$(?![\w$])")


def on_page_markdown(markdown: str, **_: object) -> str:
    """Return the page with its equations as MathML."""
    from latex2mathml.converter import convert

    def block(found: re.Match[str]) -> str:
        return f'\n\n<div class="equation">{convert(found[1].strip(), display="block")}</div>\n\n'

    def inline(found: re.Match[str]) -> str:
        return str(convert(found[1].strip()))

    parts = _CODE.split(markdown)
    parts[::2] = [_INLINE.sub(inline, _BLOCK.sub(block, part)) for part in parts[::2]]
    return "".join(parts)
