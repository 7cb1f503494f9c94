"""The door for what is typed into a form: a table, or a part in its place, refused as a file with it would be."""

from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import Any

from jetwright import units
from jetwright.errors import FileError, Problem
from jetwright.files import model
from jetwright.files.job import job_of
from jetwright.files.keys import dotted
from jetwright.files.problems import cut, placed, shorten, value_at
from jetwright.files.shapes import YARD, Key, Shape, shape_at
from jetwright.files.tables import from_json, thawed
from jetwright.files.texts import parse_tables
from jetwright.rig.quantity import Quantity

_PLAIN: Mapping[str, Any] = MappingProxyType(
    {
        "title": "?",
        "supply": {"pressure": "3 bar", "flow": "100 L/min", "temperature": "15 degC"},
        "unit": {
            "name": "?",
            "drive": {"kind": "hydrostatic", "top_ratio": 0.3},
            "pump": {"flow_per_turn": "0.2 L", "start_speed": "100 rpm", "top_speed": "500 rpm", "rating": "1000 bar"},
            "bypass": {"kind": "hand-set", "full_open_area": "20 mm2", "returns_to": "tank"},
        },
        "task": [{"name": "?", "tool": "?", "target": {"nozzle_pressure": "500 bar"}}],
    }
)
"""What stands round a part that is looked at alone; nothing of it is ever said."""


def table_problems(plain: object, shape: Shape) -> list[Problem]:
    """What is wrong in one place of a job file, by the keys below it: each value, and what lacks. [-]

    Parameters
    ----------
    plain : object
        What stands there as written, in JSON: a date as its ISO text. [-]
    shape : Shape
        What may stand there. [-]

    Examples
    --------
    >>> from jetwright.rig.description import Gauge
    >>> [(p.key, p.code) for p in table_problems({"full_scale": "1600"}, Shape("table", table=Gauge))]
    [(('full_scale',), 'missing_unit')]

    References
    ----------
    docs/job-file.md.
    """
    data = thawed(from_json(plain, shape))
    _value, faults = model.parse(data, shape)
    return [_problem(fault, data, shape) for fault in faults]


def part_problems(
    plain: object, at: Sequence[str | int], rest: Mapping[str, Any] = MappingProxyType({})
) -> list[Problem]:
    """What is wrong with a part where it stands in a job file, what does not fit together included. [-]

    Parameters
    ----------
    plain : object
        The part's table as written, in JSON. [-]
    at : Sequence
        Its place, e.g. ("tips", "R10") or ("unit",). [-]
    rest : Mapping
        Tables beside it that it may name, in JSON; what lacks for a whole job is put in, and never spoken of. [-]

    Examples
    --------
    >>> [(p.key, p.code) for p in part_problems({"bore": "1 mm"}, ("tips", "R10"))]
    [(('inlet',), 'missing_inlet')]

    References
    ----------
    docs/job-file.md.
    """
    tables = thawed({**_PLAIN, **rest})
    inside = tables
    for part, after in zip(at[:-1], at[1:], strict=True):
        if isinstance(part, str):
            inside = inside.setdefault(part, [] if isinstance(after, int) else {})
        else:
            inside = inside[part]
    if isinstance(at[-1], int):
        inside[at[-1] : at[-1] + 1] = [plain]
    else:
        inside[at[-1]] = plain
    data = thawed(from_json(tables))
    _job, problems = job_of(data)
    place = tuple(at)
    found = [problem for problem in problems if problem.key[: len(place)] == place]
    return [
        Problem(p.key[len(place) :], p.code, p.written or _written(value_at(data, p.key)), dict(p.facts)) for p in found
    ]


def yard_tables_in(text: str, name: str, rest: Mapping[str, Any] = MappingProxyType({})) -> dict[str, Any]:
    """The tables of a yard file that came as a text, found whole. [-]

    Parameters
    ----------
    text : str
        TOML. [-]
    name : str
        What a problem calls the file. [-]
    rest : Mapping
        Tables whose rows the file's may name, in JSON. [-]

    Raises
    ------
    FileError
        With every problem, each with its line.

    Examples
    --------
    >>> yard_tables_in('[tips.R10]\\nbore = "1 mm"', "yard.toml")
    Traceback (most recent call last):
    jetwright.errors.FileError: tips.R10.inlet: missing_inlet

    References
    ----------
    docs/job-file.md.
    """
    if "\0" in text:
        raise FileError([Problem((), "binary", file=name, line=text[: text.index("\0")].count("\n") + 1)])
    read = parse_tables(text.replace("\r\n", "\n"), name)
    problems = []
    tables = thawed({**_PLAIN, **rest})
    for group, rows in read.data.items():
        spot = read.spots[(group,)]
        if group not in YARD:
            facts: dict[str, object] = {"name": group, "known": list(YARD)}
            problems.append(Problem((group,), "not_in_a_yard", group, facts, spot.file, spot.line))
        elif isinstance(rows, dict) and group in rest:
            tables[group] = {**rest[group], **rows}
        else:
            tables[group] = rows
    data = thawed(from_json(tables))
    _job, found = job_of(data, read.spots)
    ours = [problem for problem in found if problem.key and problem.key[0] in read.data]
    problems += [placed(problem, data, read.spots, name) for problem in ours]
    if problems:
        raise FileError(cut(problems))
    return read.data


def hint(quantity: Quantity) -> tuple[str, str, str]:
    """How one might be written, the least of it and the most, as a person writes them; "" where there is none. [-]

    Parameters
    ----------
    quantity : Quantity
        What a number means. [-]

    Examples
    --------
    >>> hint(Quantity("length", "Bore", above=0.0, at_most=0.5, shown="mm"))
    ('20 mm', '0 mm', '500 mm')

    References
    ----------
    Our own convention.
    """
    bounds = model.bounds(quantity)
    bare = quantity.kind in ("ratio", "count")
    least = str(bounds["at_least"] or bounds["above"])
    return "" if bare else model.example(quantity), least, str(bounds["at_most"])


def default_words(key: Key) -> str:
    """What is taken where nothing is written, as a person would write it; "" where nothing is. [-]

    Parameters
    ----------
    key : Key
        Of a table. [-]

    Examples
    --------
    >>> from jetwright.files.shapes import keys_of
    >>> from jetwright.rig.description import Bypass, Hose
    >>> default_words(keys_of(Bypass)["accumulation"]), default_words(keys_of(Hose)["rating"])
    ('0.1', '')

    References
    ----------
    docs/job-file.md.
    """
    value, quantity = key.default, key.shape.quantity
    if isinstance(value, bool) or value is None or quantity is None:
        return value if isinstance(value, str) else ""
    if isinstance(value, (int, float)) and quantity.shown:
        return units.show(value, quantity.shown, 4, quantity.kind if quantity.kind.startswith("temperature") else "")
    return f"{value:g}" if isinstance(value, (int, float)) else ""


def _problem(fault: model.Fault, data: Any, shape: Shape) -> Problem:
    facts = dict(fault.facts)
    value = value_at(data, fault.key) if fault.key else data
    if fault.code == "missing_key":
        wanted = shape_at(shape, fault.key)
        facts |= {"table": dotted(fault.key[:-1]), "name": str(fault.key[-1])}
        if wanted.words:
            facts["known"] = list(wanted.words)
        elif wanted.quantity is not None and wanted.sort in ("quantity", "rated"):
            facts |= model.accepted(wanted.quantity)
    elif fault.code == "wrong_type" and "got" not in facts:
        facts["got"] = model.got(value)
    return Problem(fault.key, fault.code, _written(value), facts)


def _written(value: object) -> str:
    return shorten(value) if isinstance(value, str) else ""
