"""A TOML file to plain data, with the line named where it is none, and how to write it."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from stat import S_ISFIFO
from typing import Any, Literal, TypeAlias

from cutplan.errors import JobError, LimitError
from cutplan.files.bounded import bounded_bytes
from cutplan.files.job.other_kinds import refuse_no_job
from cutplan.texts import Message, code, every, name, say

#: Largest job or shop file [bytes].
LARGEST_FILE = 2 * 1024 * 1024

#: A length with its unit, a decimal comma or a fraction, written without quotes.
_BARE = re.compile(
    r"""^\s*[\w.\-"]+\s*=\s*(?P<value>[-+]?[\d.,/ ]*\d\s*(?:mm|cm|m|in|inch|ft|"|')?)\s*(?:\#.*)?$""", re.IGNORECASE
)
#: More digits than Python turns into a number.
_ENDLESS = re.compile(r"\d[\d_]{4299,}")
#: What each kind of file is called, and which command makes one.
TomlKind: TypeAlias = Literal["job", "shop", "study"]
_FOLDER: dict[TomlKind, Message] = {
    "job": say("this is a folder, not a job file"),
    "shop": say("this is a folder, not a shop file"),
    "study": say("this is a folder, not a study file"),
}
_MAKES: dict[TomlKind, str] = {"job": "cutplan new", "shop": "cutplan coupon", "study": "cutplan place --new"}
_LINE = re.compile(r"\(at line (\d+), column \d+\)")


def read_toml(path: Path, kind: TomlKind = "job") -> dict[str, Any]:
    """Return the parsed TOML of a job, shop or study file.

    Parameters
    ----------
    path : Path
        The file.
    kind : {"job", "shop", "study"}
        What it should be, for messages.

    Raises
    ------
    JobError
        When the file is missing, not UTF-8 or not TOML, or a drawing or picture by its name.
    LimitError
        When it is larger than 2 MiB.
    """
    refuse_no_job(path)
    try:
        status = path.stat()
        if S_ISFIFO(status.st_mode) and not str(path).startswith("/dev/"):  # a pipe with a name would be waited for
            raise JobError(say("this is no name of a file"), str(path), say("check the name"))
        raw = bounded_bytes(path, LARGEST_FILE)
    except IsADirectoryError:
        hint = say("name the {file} inside it", file=code(f"{kind}.toml"))
        raise JobError(_FOLDER[kind], str(path), hint) from None
    except ValueError:  # a null character in the name
        raise JobError(say("this is no name of a file"), repr(str(path)), say("check the name")) from None
    except OSError as error:
        what = say("the file cannot be read ({reason})", reason=name(error.strerror or str(error)))
        hint = say("check the name; {command} makes one", command=code(_MAKES[kind]))
        raise JobError(what, str(path), hint) from None
    if len(raw) > LARGEST_FILE:
        size = max(status.st_size, len(raw))  # a device has no size
        what = say("the file has {size} bytes, more than {most}", size=size, most=LARGEST_FILE)
        raise LimitError(what, str(path), say("split the job"))
    try:
        text = raw.removeprefix(b"\xef\xbb\xbf").decode("utf-8")
    except UnicodeDecodeError as error:
        where = say("{file}, byte {n}", file=name(path), n=error.start)
        raise JobError(say("the file is not UTF-8 text"), where, say("save it as UTF-8")) from None
    return parsed(text, str(path))


def parsed(text: str, where: str) -> dict[str, Any]:
    """Return the data in TOML text.

    Raises
    ------
    JobError
        When it is no TOML: with the line, and how a length is written where that is the fault.
    """
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        what = say("the file is not valid TOML: {fault}", fault=name(error))
        raise JobError(what, where, _hint(text, str(error))) from None
    except RecursionError:
        raise JobError(say("the file nests too deeply"), where, say("write plain tables")) from None
    except ValueError as error:  # a number of thousands of digits, an impossible date
        for n, line in enumerate(text.splitlines(), 1):
            if found := _ENDLESS.search(line):
                what = say("line {n} holds a number of {count} digits", n=n, count=len(found[0]))
                raise JobError(what, where, say("write a plain number")) from None
        what = say("the file is not valid TOML: {fault}", fault=name(str(error)[:200]))
        raise JobError(what, where, say("mend the line named above")) from None


def _hint(text: str, fault: str) -> Message:
    found = _LINE.search(fault)
    lines = text.splitlines()
    number = int(found[1]) if found else 0
    if fault.startswith(("Cannot overwrite a value", "Cannot declare")):
        return say("line {n}: this stands in the file already; take one of the two away", n=number)
    for n in (number, number - 1):
        line = lines[n - 1] if 0 < n <= len(lines) else ""
        bare = _BARE.match(line)
        if bare:
            value = bare["value"].strip()
            ways = [code(f'"{value}"')]
            if "," in value and re.fullmatch(r"[-+]?\d+,\d+", value):
                ways = [code(value.replace(",", ".")), code(f'"{value} mm"')]
            return say(
                "line {n}: a length with a unit, a fraction or a decimal comma stands in quotes: {ways}",
                n=n,
                ways=every(ways, " "),
            )
    return say("mend the line named above")
