"""From a path to the tables of a TOML file, with the place of each key; whatever is wrong is a `FileError`.

What comes with Jetwright is refused in a developer's words: a test reads it.
"""

import os
import re
import stat
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path, PurePosixPath, PureWindowsPath
from typing import Any

from jetwright.errors import FileError, JetwrightError, Problem
from jetwright.files import positions
from jetwright.files.positions import Spot
from jetwright.files.problems import shorten

LARGEST = 256 * 1024
"""Most bytes of a file that is read."""

_PLACE = re.compile(r"\(at (?:line (\d+), column (\d+)|end of document)\)")
_REASONS = (
    ("written_twice", ("Cannot overwrite", "Cannot declare", "Cannot mutate", "Duplicate inline", "Cannot redefine")),
    ("value", ("Invalid value", "Invalid date", "Invalid hex", "Invalid number")),
    ("text", ("Unterminated string", "Illegal character", "Unescaped", "Escaped character", "Invalid hex value")),
    ("list", ("Unclosed array", "Unclosed inline table")),
    ("key", ("Invalid initial character for a key part", "Expected '=' after a key")),
    ("line", ("Expected newline", "Invalid statement", "Expected ']'")),
)


@dataclass(frozen=True, slots=True)
class Tables:
    """A TOML file as written."""

    data: dict[str, Any]
    spots: dict[positions.Path, Spot]
    text: str


def read_tables(path: Path, links: bool = True) -> Tables:
    """The tables of a TOML file. [-]

    Parameters
    ----------
    path : Path
        A regular file of at most `LARGEST` bytes. [-]
    links : bool
        Whether the file may be a link. [-]

    Raises
    ------
    FileError
        With the codes of files in `jetwright.files.problems`.

    Examples
    --------
    >>> read_tables(Path("no such file"))
    Traceback (most recent call last):
    jetwright.errors.FileError: : not_found

    References
    ----------
    TOML v1.0.0.
    """
    return parse_tables(read_text(path, links), str(path))


def read_below(folder: Path, named: str, outside: str) -> Tables:
    """The tables of a TOML file in a folder or below it, reached without a link. [-]

    Parameters
    ----------
    folder : Path
        That the file must not leave. [-]
    named : str
        Its path from there, with forward slashes. [-]
    outside : str
        Code of a path that leads elsewhere. [-]

    Raises
    ------
    FileError
        With that code, not_found, yard_link or a code of `read_tables`.

    Examples
    --------
    >>> read_below(Path("."), "../yard.toml", "yard_outside")
    Traceback (most recent call last):
    jetwright.errors.FileError: : yard_outside

    References
    ----------
    Our own convention.
    """
    parts = PurePosixPath(named).parts
    elsewhere = not parts or ".." in parts or "\\" in named
    if elsewhere or PurePosixPath(named).is_absolute() or PureWindowsPath(named).drive:
        raise FileError([Problem((), outside)])
    path = folder
    for part in parts:
        path = path / part
        try:
            mode = os.lstat(path).st_mode
        except (OSError, ValueError):
            raise FileError([Problem((), "not_found")]) from None
        if stat.S_ISLNK(mode):
            raise FileError([Problem((), "yard_link")])
    return read_tables(path, links=False)


def of_naming(problem: Problem, key: str, named: str) -> Problem:
    """A problem of a named file as a whole belongs to the key that names it; one inside it keeps its own line. [-]

    Parameters
    ----------
    problem : Problem
        From `read_below`. [-]
    key : str
        That names the file, at the top of the job file. [-]
    named : str
        As written there. [-]

    Examples
    --------
    >>> of_naming(Problem((), "not_found"), "yard", "yrad.toml").key
    ('yard',)

    References
    ----------
    Our own convention.
    """
    if problem.line or problem.code in ("too_large", "too_deep", "bad_toml"):
        return problem
    return replace(problem, key=(key,), written=shorten(named), file="", line=0)


def read_text(path: Path, links: bool = True) -> str:
    """The text of a file, its lines ended by a line feed. [-]

    Parameters
    ----------
    path : Path
        A regular file of at most `LARGEST` bytes. [-]
    links : bool
        Whether the file may be a link. [-]

    Raises
    ------
    FileError
        With the code not_found, not_readable, not_a_file, yard_link, too_large, binary or not_utf8.

    Examples
    --------
    >>> read_text(Path("/"))
    Traceback (most recent call last):
    jetwright.errors.FileError: : not_a_file

    References
    ----------
    Our own convention.
    """
    return text_of(read_raw(path, links))


def read_raw(path: Path, links: bool = True) -> bytes:
    """The bytes of a text file, as they stand. [-]

    Parameters
    ----------
    path : Path
        A regular file of at most `LARGEST` bytes. [-]
    links : bool
        Whether the file may be a link. [-]

    Raises
    ------
    FileError
        As `read_text`.

    Examples
    --------
    >>> read_raw(Path("/"))
    Traceback (most recent call last):
    jetwright.errors.FileError: : not_a_file

    References
    ----------
    Our own convention.
    """
    name = str(path)
    raw = _read_bytes(path, links)
    if len(raw) > LARGEST:
        raise FileError([Problem((), "too_large", facts={"limit_kb": LARGEST // 1024}, file=name)])
    if b"\0" in raw:
        raise FileError([Problem((), "binary", file=name, line=raw[: raw.index(b"\0")].count(b"\n") + 1)])
    try:
        raw.decode()
    except UnicodeDecodeError as error:
        line = raw[: error.start].count(b"\n") + 1
        raise FileError([Problem((), "not_utf8", file=name, line=line)]) from None
    return raw


def text_of(raw: bytes) -> str:
    """The text that bytes of `read_raw` hold, its lines ended by a line feed, without a byte order mark. [-]

    Parameters
    ----------
    raw : bytes
        UTF-8. [-]

    Examples
    --------
    >>> text_of(b"a = 1\\r\\n")
    'a = 1\\n'

    References
    ----------
    Our own convention.
    """
    return raw.decode("utf-8-sig").replace("\r\n", "\n")


def parse_tables(text: str, file: str) -> Tables:
    """The tables of a TOML text. [-]

    Parameters
    ----------
    text : str
        Lines ended by a line feed. [-]
    file : str
        The name given in problems. [-]

    Raises
    ------
    FileError
        With the code too_deep or bad_toml.

    Examples
    --------
    >>> parse_tables("a = 1", "job.toml").data
    {'a': 1}
    >>> parse_tables("a = 1\\na = 2", "job.toml")
    Traceback (most recent call last):
    jetwright.errors.FileError: : bad_toml {'reason': 'written_twice', 'column': 6}

    References
    ----------
    TOML v1.0.0.
    """
    deep = positions.too_deep(text)
    if deep is not None and deep.what == "too_deep":
        raise FileError([Problem((), "too_deep", facts={"limit": positions.DEEPEST}, file=file, line=deep.line)])
    if deep is not None:
        raise FileError([Problem((), "bad_toml", facts={"reason": deep.what, "column": 1}, file=file, line=deep.line)])
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise FileError([_syntax(text, file, str(error))]) from None
    except RecursionError:
        raise FileError([Problem((), "too_deep", facts={"limit": positions.DEEPEST}, file=file)]) from None
    except ValueError:  # a number too long for Python to read
        raise FileError([Problem((), "bad_toml", facts={"reason": "value", "column": 1}, file=file)]) from None
    return Tables(data, positions.spots(text, file), text)


def our_tables(name: str, text: str, wanted: tuple[str, ...]) -> dict[str, Any]:
    """The tables of a file that comes with Jetwright, its first keys checked. [-]

    Parameters
    ----------
    name : str
        What it holds, named in a refusal. [-]
    text : str
        TOML. [-]
    wanted : tuple of str
        Its keys, all of them. [-]

    Raises
    ------
    JetwrightError
        With what is wrong, in a developer's words.

    Examples
    --------
    >>> our_tables("goals", 'version = "1"', ("version",))
    {'version': '1'}

    References
    ----------
    TOML v1.0.0.
    """
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as why:
        raise JetwrightError(f"{name}: {why}") from why
    only_keys(name, data, wanted)
    return data


def only_keys(name: str, table: Mapping[str, Any], wanted: tuple[str, ...], others: tuple[str, ...] = ()) -> None:
    """Refuse a table of ours that lacks a key, or has one too many. [-]

    Parameters
    ----------
    name : str
        Of the table, named in a refusal. [-]
    table : Mapping
        As written. [-]
    wanted : tuple of str
        Keys it must have. [-]
    others : tuple of str
        Keys it may have. [-]

    Raises
    ------
    JetwrightError
        With what is wrong, in a developer's words.

    Examples
    --------
    >>> only_keys("goals", {"version": "1", "grad": []}, ("version", "grade"))
    Traceback (most recent call last):
    jetwright.errors.JetwrightError: goals: unknown: grad

    References
    ----------
    Our own convention.
    """
    unknown = sorted(set(table) - set(wanted) - set(others))
    if unknown:
        raise JetwrightError(f"{name}: unknown: {', '.join(unknown)}")
    missing = sorted(set(wanted) - set(table))
    if missing:
        raise JetwrightError(f"{name}: missing: {', '.join(missing)}")


def _read_bytes(path: Path, links: bool) -> bytes:
    name = str(path)
    flags = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0) | getattr(os, "O_CLOEXEC", 0)
    if not links:
        flags |= getattr(os, "O_NOFOLLOW", 0)
    try:
        if not links and stat.S_ISLNK(os.lstat(path).st_mode):
            raise FileError([Problem((), "yard_link", file=name)])
        handle = os.open(path, flags)
    except (FileNotFoundError, NotADirectoryError):
        raise FileError([Problem((), "not_found", file=name)]) from None
    except IsADirectoryError:
        raise FileError([Problem((), "not_a_file", file=name)]) from None
    except (OSError, ValueError):
        code = "not_a_file" if path.is_dir() else "not_readable"
        raise FileError([Problem((), code, file=name)]) from None
    try:
        if not stat.S_ISREG(os.fstat(handle).st_mode):
            raise FileError([Problem((), "not_a_file", file=name)])
        with os.fdopen(handle, "rb", closefd=False) as file:
            return file.read(LARGEST + 1)
    except OSError:
        raise FileError([Problem((), "not_readable", file=name)]) from None
    finally:
        os.close(handle)


def _syntax(text: str, file: str, message: str) -> Problem:
    reason = next((name for name, starts in _REASONS if message.startswith(starts)), "other")
    found = _PLACE.search(message)
    lines = text.split("\n")
    line, column = len(lines), len(lines[-1]) + 1
    if found and found.group(1):
        line, column = int(found.group(1)), int(found.group(2))
    at = sum(len(each) + 1 for each in lines[: line - 1]) + column - 1
    opened, last, statement = positions.unclosed(text, at)
    if reason == "written_twice" and statement:
        line = statement
    elif reason == "list" and last:
        line = last  # what follows an element is on the next line, what lacks is on this one
    elif opened and opened < line and _starts_a_statement(lines[line - 1]):
        line = opened
    elif not (found and found.group(1)):
        line = statement or line
    written = lines[line - 1].strip() if line <= len(lines) else ""
    return Problem(
        (), "bad_toml", written=written[:60], facts={"reason": reason, "column": column}, file=file, line=line
    )


def _starts_a_statement(line: str) -> bool:
    return bool(re.match(r"\s*(?:[A-Za-z0-9_-]+(?:\s*\.\s*[A-Za-z0-9_-]+)*\s*=|\[\[?[A-Za-z])", line))
