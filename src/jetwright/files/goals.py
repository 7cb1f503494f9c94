"""The door for published goals: `data/goals.toml` in, checked word by word."""

from collections.abc import Mapping
from functools import lru_cache
from importlib.resources import files
from itertools import pairwise
from typing import Any, get_args

from jetwright import units
from jetwright.errors import JetwrightError
from jetwright.files.texts import only_keys, our_tables
from jetwright.rig.goal import Goals, Grade, PressureClass, Sort

_EDITION = ("name", "class")
_CLASS = ("term", "source", "verified")
_GRADES = ("edition", "sort", "source", "verified", "row")
_ROW = ("name", "says", "nearest")


@lru_cache(maxsize=1)
def goals() -> Goals:
    """The grades and pressure classes that come with Jetwright. [-]

    Raises
    ------
    JetwrightError
        When the data is wrong; a test reads it.

    Examples
    --------
    >>> [grade.edition for grade in goals().grades if grade.name == "WJ-2"][-1]
    'SSPC-SP WJ (2012)'

    References
    ----------
    docs/goals.md names the source of each row.
    """
    return read_goals((files("jetwright") / "data" / "goals.toml").read_text(encoding="utf-8"))


def read_goals(text: str) -> Goals:
    """Grades and pressure classes from TOML, every key known, every border a pressure above the one before. [-]

    Parameters
    ----------
    text : str
        As `data/goals.toml`. [-]

    Raises
    ------
    JetwrightError
        With what is wrong, in a developer's words.

    Examples
    --------
    >>> read_goals('version = "1"')
    Traceback (most recent call last):
    jetwright.errors.JetwrightError: goals: missing: edition, grade

    References
    ----------
    Our own convention.
    """
    data = our_tables("goals", text, ("version", "edition", "grade"))
    classes = tuple(one for table in data["edition"] for one in _classes(table))
    _once([(one.edition, one.term) for one in classes])
    grades = tuple(one for table in data["grade"] for one in _grades(table))
    _once([(one.edition, one.name) for one in grades])
    strange = sorted({one.nearest for one in grades} - {one.name for one in grades} - {""})
    if strange:
        raise JetwrightError(f"goals: nearest names no grade: {', '.join(strange)}")
    return Goals(data["version"], grades, classes)


def _once(names: list[tuple[str, str]]) -> None:
    twice = sorted({name for name in names if names.count(name) > 1})
    if twice:
        raise JetwrightError(f"goals: stands there twice: {', '.join(' '.join(name) for name in twice)}")


def _classes(table: Mapping[str, Any]) -> list[PressureClass]:
    """The classes of one edition, from the lowest up."""
    edition = str(table.get("name"))
    only_keys(edition, table, _EDITION)
    found = []
    for row in table["class"]:
        only_keys(edition, row, _CLASS, ("border", "above"))
        above = row.get("above", False)
        found.append(PressureClass(edition, row["term"], _border(row), above, row["source"], row["verified"]))
    borders = [one.border for one in found if one.border is not None]
    if any(later[side] <= earlier[side] for earlier, later in pairwise(borders) for side in (0, 1)):
        raise JetwrightError(f"{edition}: its classes do not rise")
    if borders and len(borders) < len(found):
        raise JetwrightError(f"{edition}: a border is missing")
    return found


def _border(row: Mapping[str, Any]) -> tuple[float, float] | None:
    """A border as its edition prints it, in one unit or in two."""
    if "border" not in row:
        return None
    written = [units.read(text, "pressure") for text in row["border"]] or [0.0]
    return written[0], written[-1]


def _grades(table: Mapping[str, Any]) -> list[Grade]:
    edition = str(table.get("edition"))
    only_keys(edition, table, _GRADES)
    if table["sort"] not in get_args(Sort):
        raise JetwrightError(f"{edition}: sort is none of {', '.join(get_args(Sort))}: {table['sort']!r}")
    found = []
    for row in table["row"]:
        only_keys(edition, row, _ROW)
        told = (table["sort"], row["says"], row["nearest"], table["source"], table["verified"])
        found.append(Grade(row["name"], edition, *told))
    return found
