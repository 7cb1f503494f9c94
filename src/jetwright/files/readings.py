"""One reading written into a job file as a row of its own, everything else left as it stands, comments and all."""

import datetime
import json
from collections.abc import Mapping
from pathlib import Path

from jetwright.errors import FileError, Problem
from jetwright.files import positions
from jetwright.files.layout import replace_whole
from jetwright.files.texts import parse_tables, read_text

TABLE = "reading"


def with_reading(text: str, row: Mapping[str, str | datetime.date], file: str = "") -> tuple[str, bool]:
    """A job file's text with a reading in it, and whether it took the place of one of that task and day. [-]

    A new row stands at the end; one that replaces another stands where that stood, the comments of the old one above
    it.

    Parameters
    ----------
    text : str
        Any TOML. [-]
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
    before = parse_tables(text, file).data
    rows = before.get(TABLE, [])
    alike = [
        at
        for at, one in enumerate(rows if isinstance(rows, list) else [])
        if isinstance(one, dict) and (one.get("task"), one.get("day")) == (row["task"], row["day"])
    ]
    written = "".join(f"{key} = {_value(value)}\n" for key, value in row.items())
    made = _in_place(text, alike[-1], written) if alike else _at_the_end(text, written)
    wanted = dict(before)
    wanted[TABLE] = [dict(row) if alike[-1:] == [at] else one for at, one in enumerate(rows)]
    if not alike:
        wanted[TABLE] = [*rows, dict(row)]
    try:
        same = parse_tables(made, file).data == wanted
    except FileError:
        same = False
    if not same:
        raise FileError([Problem((TABLE,), "reading_not_written", file=file)])
    return made, bool(alike)


def write_reading(path: str | Path, row: Mapping[str, str | datetime.date]) -> bool:
    """Write a reading into a job file, whole or not at all; whether it replaced one of that task and day. [-]

    Parameters
    ----------
    path : str or Path
        A regular file, not a link. [-]
    row : Mapping
        As `with_reading` takes it. [-]

    Raises
    ------
    FileError
        As `read_text` and `with_reading`, and where the file cannot be written.

    Examples
    --------
    >>> import tempfile
    >>> row = {"task": "Rack", "day": datetime.date(2026, 5, 4), "gauge": "696 bar"}
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     file = Path(folder) / "job.toml"
    ...     _ = file.write_text('title = "Rack"')
    ...     print(write_reading(file, row), write_reading(file, row))
    False True

    References
    ----------
    Our own convention.
    """
    path = Path(path)
    made, replaced = with_reading(read_text(path, links=False), row, str(path))
    if b"\r\n" in path.read_bytes():
        made = made.replace("\n", "\r\n")
    replace_whole(path, made.encode())
    return replaced


def _value(value: str | datetime.date) -> str:
    return value.isoformat() if isinstance(value, datetime.date) else json.dumps(value, ensure_ascii=False)


def _at_the_end(text: str, written: str) -> str:
    kept = text.rstrip("\n")
    return f"{kept}\n\n[[{TABLE}]]\n{written}" if kept else f"[[{TABLE}]]\n{written}"


def _in_place(text: str, at: int, written: str) -> str:
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
    above = "".join(f"{line}\n" for line in comments)
    return text[: own[0].start] + above + f"[[{TABLE}]]\n{written}" + text[line_end + 1 :]
