"""Changes to the text of a job file that leave every other line as it was: comments, order and spelling stay."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import AoT, Array, InlineTable, Table

from cutplan.errors import CutplanError, JobError
from cutplan.project.desk.editing.spelling import pointed_length, typed_length
from cutplan.texts import say
from cutplan.units import UnitName

Step = str | int
Path = Sequence[Step]
#: Most changes in one request, and the deepest key.
_MOST_CHANGES, _DEEPEST = 2000, 8


class Conflict(CutplanError):
    """A change of a value that another window or program has changed meanwhile."""


def edited(text: str, changes: Sequence[Mapping[str, Any]], shown: UnitName | None = None) -> str:
    """Return the text of a job file after changes.

    Parameters
    ----------
    text : str
        The job file (TOML).
    changes : sequence of mapping
        Each with ``do`` (``set``, ``drop`` or ``add``) and ``at`` (keys and indices from the top). ``set`` and ``add``
        take a ``value``; inside it ``{"typed": "1 1/2"}`` is a length as typed and ``{"mm": 12.5}`` one that was
        pointed at. ``was``, when given, is what the asker saw there.
    shown : {"mm", "in"} or None
        Unit of plain numbers that were typed; None: the file's.

    Raises
    ------
    JobError
        When the text is not TOML or a change has no place in it.
    Conflict
        When something else stands at a place than the asker saw.
    """
    if len(changes) > _MOST_CHANGES:
        raise JobError(say("these are too many changes at once"), "", say("make fewer"))
    mark, text = ("\ufeff", text[1:]) if text.startswith("\ufeff") else ("", text)
    lines = text.count("\r\n")
    crlf = lines > 0 and lines == text.count("\n")
    if crlf:
        text = text.replace("\r\n", "\n")
    try:
        document = tomlkit.parse(text)
        plain = tomllib.loads(text)
        unit: UnitName = "in" if plain.get("units") == "in" else "mm"
        for change in changes:
            _apply(document, plain, change, shown or unit, unit)
        result = tomlkit.dumps(document)
        again = tomllib.loads(result)
    except (tomllib.TOMLDecodeError, TOMLKitError) as fault:
        raise JobError(
            say("the job file is not valid TOML"), str(fault), say("mend it, or take back the last change")
        ) from None
    except (KeyError, IndexError, TypeError, AttributeError, ValueError) as fault:
        raise JobError(
            say("the change has no place in the job file"), str(fault), say("look at the job as it is now")
        ) from None
    if again != plain:
        raise JobError(
            say("the job file is written in a way that this change cannot keep"),
            "/".join(str(s) for s in changes[-1].get("at", ())) if changes else "",
            say("make this change in an editor"),
        )
    return mark + (result.replace("\n", "\r\n") if crlf else result)


def _apply(document: Any, plain: Any, change: Mapping[str, Any], shown: UnitName, unit: UnitName) -> None:
    at = change["at"]
    if not isinstance(at, list) or not 0 < len(at) <= _DEEPEST or not all(_is_step(s) for s in at):
        raise ValueError("no such key")
    seen = plain_at(plain, at)
    if "was" in change and change["was"] != comparable(seen):
        raise Conflict(
            say("something else stands there now"), _named(at), say("look at it as it is now, then change it again")
        )
    do = change["do"]
    if do == "drop":
        _drop(document, at)
        _drop(plain, at)
        return
    value = _resolved(change["value"], seen, shown, unit)
    _check_names(value)
    if do == "set":
        _set(_place(document, at[:-1], True), at[-1], value)
        _set_plain(plain, at, value)
    elif do == "add":
        _add(document, at, value)
        _add_plain(plain, at, value)
    else:
        raise ValueError(str(do))


def _is_step(step: Any) -> bool:
    return (isinstance(step, str) and 0 < len(step) <= 60) or (isinstance(step, int) and step is not True and step >= 0)


def plain_at(data: Any, at: Path) -> Any:
    """Return what stands at a key of parsed TOML data, or None."""
    for step in at:
        try:
            data = data[step]
        except (KeyError, IndexError, TypeError):
            return None
    return data


def comparable(value: Any) -> Any:
    """Return parsed TOML data as the page sees it: dates as text."""
    if isinstance(value, Mapping):
        return {k: comparable(v) for k, v in value.items()}
    if isinstance(value, list):
        return [comparable(v) for v in value]
    return value.isoformat() if hasattr(value, "isoformat") else value


def _named(at: Path) -> str:
    return "".join(f"[{s}]" if isinstance(s, int) else f".{s}" for s in at).lstrip(".")


def _resolved(value: Any, seen: Any, shown: UnitName, unit: UnitName) -> Any:
    """Turn typed and pointed lengths into what the file holds."""
    if isinstance(value, dict):
        if set(value) == {"typed"}:
            return typed_length(str(value["typed"]), shown, unit)
        if set(value) == {"mm"}:
            return pointed_length(float(value["mm"]), seen, unit)
        inner = seen if isinstance(seen, Mapping) else {}
        return {str(k): _resolved(v, inner.get(k), shown, unit) for k, v in value.items()}
    if isinstance(value, list):
        likes = seen if isinstance(seen, list) else []
        return [_resolved(v, likes[i] if i < len(likes) else None, shown, unit) for i, v in enumerate(value)]
    if value is None or not isinstance(value, (str, int, float, bool)):
        raise ValueError("no value")
    return value


def _check_names(value: Any) -> None:
    if isinstance(value, dict):
        for key, inner in value.items():
            if not key or len(key) > 60 or not key.isprintable():
                raise ValueError("no such key")
            _check_names(inner)
    elif isinstance(value, list):
        for inner in value:
            _check_names(inner)
    elif isinstance(value, str) and len(value) > 2000:
        raise ValueError("too long")


def _place(document: Any, at: Path, make: bool) -> Any:
    """Return the container at a key, making missing tables on the way when asked."""
    here = document
    for step in at:
        if isinstance(step, str) and make and step not in here:
            here[step] = tomlkit.inline_table() if isinstance(here, InlineTable) else tomlkit.table()
        here = here[step]
    return here


def _set(container: Any, key: Any, value: Any) -> None:
    if isinstance(container, (Table, InlineTable)) and key in container:
        old: Any = container[key]
        if isinstance(old, Array) and isinstance(value, list) and len(old) == len(value):
            for i, v in enumerate(value):
                if old[i] != v or type(getattr(old[i], "unwrap", lambda o=old[i]: o)()) is not type(v):
                    old[i] = _item(v)
            return
    if isinstance(value, dict) and isinstance(key, str) and not isinstance(container, InlineTable):
        container[key] = _table(value)
    else:
        container[key] = _item(value)


def _item(value: Any) -> Any:
    """A value as it stands in a line: tables inline, a list of tables with a line for each."""
    if isinstance(value, dict):
        return tomlkit.value(_inline(value))
    if isinstance(value, list):
        if len(value) > 1 and all(isinstance(v, dict) for v in value):
            return tomlkit.value("[\n" + "".join(f"  {_inline(v)},\n" for v in value) + "]")
        array = tomlkit.array()
        for v in value:
            array.append(_item(v))
        return array
    return tomlkit.item(value)


def _inline(table: dict[str, Any]) -> str:
    """Return a table on one line, with room inside its braces."""
    words = [f"{tomlkit.key(k).as_string()} = {_item(v).as_string()}" for k, v in table.items()]
    return "{ " + ", ".join(words) + " }" if words else "{}"


def _set_plain(plain: Any, at: Path, value: Any) -> None:
    for step in at[:-1]:
        if isinstance(step, str) and isinstance(plain, dict) and step not in plain:
            plain[step] = {}
        plain = plain[step]
    plain[at[-1]] = value


def _drop(root: Any, at: Path) -> None:
    """Take out a key or an entry; a list of tables that is empty then goes too."""
    holder = _place(root, at[:-1], False)
    if isinstance(at[-1], int) and len(holder) == 1 and len(at) > 1:
        _drop(root, at[:-1])
        return
    del holder[at[-1]]


def _add(document: Any, at: Path, value: Any) -> None:
    """Append an entry to a list: tables of their own where the list is written so or is new, else on a line."""
    if isinstance(value, dict):
        holder: Any = _place(document, at[:-1], True)
        if at[-1] not in holder:
            if hasattr(holder, "as_string") and isinstance(holder, InlineTable):
                holder[str(at[-1])] = _item([value])
                return
            new, table = tomlkit.aot(), _table(value)
            table.add(tomlkit.nl())
            new.append(table)
            _end_blank(holder)
            holder[at[-1]] = new
            return
    entries = _place(document, at, False)
    if isinstance(entries, Array):
        _append_line(entries, value)
        return
    if not isinstance(entries, (AoT, list)):
        raise TypeError("no list")
    table = _table(value)
    if len(entries) and not _ends_blank(entries[-1]):
        entries[-1].add(tomlkit.nl())
    elif len(entries):
        table.add(tomlkit.nl())
    entries.append(table)


def _add_plain(plain: Any, at: Path, value: Any) -> None:
    for step in at[:-1]:
        if isinstance(step, str) and isinstance(plain, dict) and step not in plain:
            plain[step] = {}
        plain = plain[step]
    if at[-1] not in plain:
        plain[at[-1]] = []
    plain[at[-1]].append(value)


def _table(value: dict[str, Any]) -> Table:
    table = tomlkit.table()
    for k, v in value.items():
        table.append(k, _item(v))
    return table


def _append_line(array: Array, value: Any) -> None:
    if "\n" in array.as_string() or not len(array):
        array.add_line(_item(value), indent="  ", add_comma=True)
        if not array.as_string().rstrip("]").endswith("\n"):
            array.multiline(True) if len(array) == 1 else array.add_line(indent="")
    else:
        array.append(_item(value))


def _ends_blank(table: Any) -> bool:
    return bool(table.as_string().endswith("\n\n")) or not table.as_string().strip()


def _end_blank(holder: Any) -> None:
    if hasattr(holder, "as_string") and not isinstance(holder, InlineTable) and not _ends_blank(holder):
        holder.add(tomlkit.nl())
