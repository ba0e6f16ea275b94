"""Words of a command as they are pasted into a terminal, on every system."""

from __future__ import annotations

import os
from shlex import quote

#: What double quotes do not hold in a shell of Unix, and what a plain word may not hold on Windows.
_INSIDE, _SPECIAL = set('"$`\\!'), set(" \t&|<>^()%;,'")


def pasted(word: str) -> str:
    """Return a word quoted so that a terminal takes it as one.

    Double quotes hold in the shells of Unix and of Windows alike; single ones do not in the command prompt of Windows.

    Parameters
    ----------
    word : str
        The word.
    """
    if os.name == "nt":
        return f'"{word}"' if not word or _SPECIAL & set(word) else word
    plain = quote(word)
    return plain if plain == word or _INSIDE & set(word) else f'"{word}"'
