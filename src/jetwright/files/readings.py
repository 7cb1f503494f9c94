"""One reading written into a job file as a row of its own, everything else left as it stands, comments and all."""

import datetime
import json
from collections.abc import Mapping
from typing import Any

from jetwright.errors import FileError, Problem
from jetwright.files import positions
from jetwright.files.layout import MARK
from jetwright.files.texts import parse_tables

TABLE = "reading"


def with_reading(text: str, row: Mapping[str, str | datetime.date], file: str = "") -> tuple[str, bool]:
    """A job file's text with a reading in it, and whether it took the place of one of that task and day. [-]

    A new row stands at the end; one that replaces another stands where that stood, the comments of the old one above
    it. Its lines end as most of the file's do; everything else stays to the byte.

    Parameters
    ----------
    text : str
        Any TOML, line ends and byte order mark as they stand. [-]
    row : Mapping
        Key → what is written, in order; with task and day. [-]
    file : str
        The name given in problems. [-]

    Raises
    ------
    FileError
        Where the text is not TOML, or could not take the row without changing what else it says.

    Examples
    --------
    >>> row = {"task": "Rack", "day": datetime.date(2026, 5, 4), "gauge": "696 bar"}
    >>> text, replaced = with_reading('title = "Rack"', row)
    >>> print(text, replaced)
    title = "Rack"
    <BLANKLINE>
    [[reading]]
    task = "Rack"
    day = 2026-05-04
    gauge = "696 bar"
     False
    >>> with_reading(text, row | {"gauge": "700 bar"})[1]
    True

    References
    ----------
    Our own convention; TOML v1.0.0.
    """
    body = text.removeprefix(MARK)
    before = _tables(body, file)
    rows = before.get(TABLE, [])
    alike = [
        at
        for at, one in enumerate(rows if isinstance(rows, list) else [])
        if isinstance(one, dict) and (one.get("task"), one.get("day")) == (row["task"], row["day"])
    ]
    lines = [f"[[{TABLE}]]", *(f"{key} = {_value(value)}" for key, value in row.items())]
    end = "\r\n" if 2 * body.count("\r\n") > body.count("\n") else "\n"
    made = _in_place(body, alike[-1], lines, end) if alike else _at_the_end(body, lines, end)
    wanted = dict(before)
    wanted[TABLE] = [dict(row) if alike[-1:] == [at] else one for at, one in enumerate(rows)]
    if not alike:
        wanted[TABLE] = [*rows, dict(row)]
    try:
        same = _tables(made, file) == wanted
    except FileError:
        same = False
    if not same:
        raise FileError([Problem((TABLE,), "reading_not_written", file=file)])
    return text[: len(text) - len(body)] + made, bool(alike)


def _tables(text: str, file: str) -> dict[str, Any]:
    return parse_tables(text.replace("\r\n", "\n"), file).data


def _value(value: str | datetime.date) -> str:
    return value.isoformat() if isinstance(value, datetime.date) else json.dumps(value, ensure_ascii=False)


def _at_the_end(text: str, lines: list[str], end: str) -> str:
    gap = "" if not text or text.endswith(("\n\n", "\n\r\n")) else end if text.endswith("\n") else 2 * end
    return text + gap + "".join(line + end for line in lines)


def _in_place(text: str, at: int, lines: list[str], end: str) -> str:
    """The row's statements taken out, the new one where its header stood; what is between them stays, above it."""
    own = [place for place in positions.statements(text) if place.path[:2] == (TABLE, at)]
    if not own or own[0].equals:
        return text  # written as a list in brackets: it says so as it is compared
    kept, done = "", own[0].start
    for place in own:
        kept += text[done : place.start]
        done = place.end
    line_end = text.find("\n", done)
    line_end = len(text) if line_end < 0 else line_end
    comments = [line.strip() for line in (kept + text[done:line_end]).split("\n") if line.strip()]
    return text[: own[0].start] + "".join(line + end for line in [*comments, *lines]) + text[line_end + 1 :]
