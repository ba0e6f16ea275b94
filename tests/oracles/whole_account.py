"""What an account of a drawing tells of, added up: nothing drawn may be lost between its columns."""

from __future__ import annotations

from cutplan.files.outline.account import Account


def told_mm(account: Account) -> float:
    """Return all columns together [mm]: what was drawn, but for rounding."""
    return sum(account.as_dict().values())
