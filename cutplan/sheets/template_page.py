"""The map of the template's tiles, and how to check and join them."""

from __future__ import annotations

from cutplan.sheets.page import Builder
from cutplan.sheets.results import Results


def template_page(b: Builder, results: Results) -> None:
    """Write the page about the paper templates; nothing without templates."""
    if results.templates is None:
        return
    b.page("template.title")
    for n, key in enumerate(("print", "check", "join", "stick", "trace"), 1):
        b.tick(b.say(f"template.{key}"), f"{n}.")
