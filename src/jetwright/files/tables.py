"""The door for tables in memory, from a form or a database: a job out of them, and back into JSON or TOML."""

import datetime
from collections.abc import Mapping, Sequence
from pathlib import Path
from types import MappingProxyType
from typing import Any

from jetwright.errors import FileError, Problem
from jetwright.files.job import JobFile, job_of
from jetwright.files.problems import cut, placed
from jetwright.files.shapes import JOB, Shape, keys_of


def job_in(tables: Mapping[str, Any], name: str = "") -> JobFile:
    """The job that tables describe, as `read_job` gives the one in a file. [-]

    Parameters
    ----------
    tables : Mapping
        As `tomllib` reads a job file, with the yard's rows in it. [-]
    name : str
        What a problem calls the place. [-]

    Raises
    ------
    FileError
        With every problem, each with its key; names_a_file where the yard's rows or a site's rules are not in it.

    Examples
    --------
    >>> try:
    ...     job_in({"title": "Rack"}, "rack")
    ... except FileError as error:
    ...     sorted(problem.key for problem in error.problems)
    [('supply',), ('task',), ('unit',)]

    References
    ----------
    docs/job-file.md.
    """
    data = thawed(tables)
    beside = [Problem((key,), "names_a_file", str(data[key])) for key in ("yard", "site_rules") if key in data]
    job, problems = job_of(data)
    problems = beside + problems
    if problems or job is None:
        raise FileError(cut([placed(problem, data, {}, name) for problem in problems]))
    return JobFile(Path(name), job, MappingProxyType(data), MappingProxyType({}))


def as_json(tables: Any, shape: Shape = JOB) -> Any:
    """Tables as JSON can hold them: a date as its ISO text; the rest is text, numbers, lists and tables already. [-]

    Parameters
    ----------
    tables : Any
        As `tomllib` reads them, for the place that `shape` is of. [-]
    shape : Shape
        Of the place. [-]

    Examples
    --------
    >>> as_json({"date": datetime.date(2026, 5, 12)})
    {'date': '2026-05-12'}

    References
    ----------
    RFC 3339.
    """
    return _walk(tables, shape, lambda value: value.isoformat() if isinstance(value, datetime.date) else value)


def from_json(plain: Any, shape: Shape = JOB) -> Any:
    """Tables from what `as_json` made of them; a text that is no date stays one, to be refused by the reader. [-]

    Parameters
    ----------
    plain : Any
        From JSON. [-]
    shape : Shape
        Of the place. [-]

    Examples
    --------
    >>> from_json({"title": "2026-05-12", "date": "2026-05-12"})
    {'title': '2026-05-12', 'date': datetime.date(2026, 5, 12)}

    References
    ----------
    RFC 3339.
    """
    return _walk(plain, shape, _date)


def thawed(tables: Any) -> Any:
    """Tables as new dicts and lists that may be changed. [-]

    Parameters
    ----------
    tables : Any
        Mappings, sequences and values. [-]

    Examples
    --------
    >>> thawed(MappingProxyType({"hose_run": ("R8-20",)}))
    {'hose_run': ['R8-20']}

    References
    ----------
    Our own convention.
    """
    if isinstance(tables, Mapping):
        return {key: thawed(value) for key, value in tables.items()}
    if isinstance(tables, Sequence) and not isinstance(tables, str):
        return [thawed(value) for value in tables]
    return tables


def toml_text(tables: Mapping[str, Any]) -> str:
    """Tables as the text of a TOML file; `tomllib` reads the same from it. [-]

    Parameters
    ----------
    tables : Mapping
        Of texts, numbers, dates, lists and tables. [-]

    Raises
    ------
    ModuleNotFoundError
        Where tomlkit is not installed.

    Examples
    --------
    >>> print(toml_text({"gauge": {"full_scale": "1600 bar", "class": 1.6}}), end="")
    [gauge]
    full_scale = "1600 bar"
    class = 1.6

    References
    ----------
    TOML.
    """
    import tomlkit

    return tomlkit.dumps(thawed(tables))


def _walk(value: Any, shape: Shape, change: Any) -> Any:
    if shape.sort == "date":
        return change(value)
    if isinstance(value, Mapping):
        keys = keys_of(shape.table) if shape.table is not None else {}
        rows = shape.parts[0] if shape.sort == "rows" else Shape("any")
        return {key: _walk(one, keys[key].shape if key in keys else rows, change) for key, one in value.items()}
    if isinstance(value, Sequence) and not isinstance(value, str):
        parts = shape.parts if shape.sort == "pair" else shape.parts * len(value)
        parts += (Shape("any"),) * (len(value) - len(parts))
        return [_walk(one, part, change) for one, part in zip(value, parts, strict=False)]
    return value


def _date(value: Any) -> Any:
    try:
        return datetime.date.fromisoformat(value) if isinstance(value, str) and len(value) == 10 else value
    except ValueError:
        return value
