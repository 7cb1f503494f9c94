"""The door for job files: a path in, a frozen job out with what was written and where, or every problem at once."""

import copy
import dataclasses
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType
from typing import Any

from jetwright.errors import FileError, JetwrightError, Problem
from jetwright.files import model
from jetwright.files.keys import UnknownKeys, dotted
from jetwright.files.model import Fault, Loc
from jetwright.files.positions import Spot
from jetwright.files.problems import MOST, cut, placed, shorten, value_at
from jetwright.files.rules import rule_set, site_rule_set
from jetwright.files.shapes import JOB, YARD, shape_at
from jetwright.files.texts import Tables, of_naming, parse_tables, read_below, read_raw, text_of
from jetwright.rig.check import RULE_SETS, problems_of
from jetwright.rig.description import Job

_NOUNS = {
    "hoses": "hose or fitting",
    "tips": "tip",
    "tools": "tool",
    "unit.kits": "kit",
    "rule_set": "rule set",
    "task": "task",
}


@dataclass(frozen=True, slots=True)
class JobFile:
    """A job file that was read and found whole.

    path: the file. job: the description in SI. written: the tables as written, yard rows merged in. where: key path →
    where it stands, in the job file or in its yard file. raw: the bytes of the job file that all this was read from.
    """

    path: Path
    job: Job
    written: Mapping[str, Any]
    where: Mapping[Loc, Spot]
    raw: bytes = b""

    def locate(self, problem: Problem) -> Problem:
        """A problem found later, with the file and line of its key, and what stands there. [-]

        Parameters
        ----------
        problem : Problem
            From the core, with a key path and no place. [-]

        Examples
        --------
        >>> where = {("tips",): Spot("job.toml", 7, "[tips]")}
        >>> JobFile(Path("job.toml"), None, {}, where).locate(Problem(("tips", "R10"), "too_worn")).line
        7

        References
        ----------
        Our own convention.
        """
        return placed(problem, self.written, self.where, str(self.path))


def read_job(path: str | Path) -> JobFile:
    """The job that a file describes. [-]

    Parameters
    ----------
    path : str or Path
        A TOML file as docs/job-file.md describes it. [-]

    Raises
    ------
    FileError
        With every problem found, each with its file and line; codes in `jetwright.files.problems`.

    Examples
    --------
    >>> read_job("no such job.toml")
    Traceback (most recent call last):
    jetwright.errors.FileError: : not_found

    References
    ----------
    Our own convention.
    """
    path = Path(path)
    raw = read_raw(path)
    tables = parse_tables(text_of(raw), str(path))
    data, where, problems, complete = _with_yard(path, tables)
    job, found = job_of(data, where, complete)
    found += problems + _of_site(path.parent, data)
    problems = [placed(problem, data, where, str(path)) for problem in found]
    if problems or job is None:
        raise FileError(cut(problems))
    return JobFile(path, job, _frozen(data), MappingProxyType(where), raw)


def _frozen(data: Any) -> Any:
    if isinstance(data, dict):
        return MappingProxyType({key: _frozen(value) for key, value in data.items()})
    if isinstance(data, list):
        return tuple(_frozen(value) for value in data)
    return data


def _with_yard(path: Path, tables: Tables) -> tuple[dict[str, Any], dict[Loc, Spot], list[Problem], bool]:
    """The job's tables with the yard's rows under them, problems of the yard file, and whether it could be read."""
    named = tables.data.get("yard")
    data, where = dict(tables.data), dict(tables.spots)
    if not isinstance(named, str):
        return data, where, [], "yard" not in data
    if not named.strip() or not named.isprintable():  # refused as a text
        return data, where, [], False
    try:
        yard = read_below(path.parent, named, "yard_outside")
    except FileError as error:
        return data, where, [of_naming(problem, "yard", named) for problem in error.problems], False
    problems = []
    for group, rows in yard.data.items():
        spot = yard.spots[(group,)]
        if group not in YARD:
            facts: dict[str, object] = {"name": group, "known": list(YARD)}
            problems.append(Problem((group,), "not_in_a_yard", group, facts, spot.file, spot.line))
            continue
        ours = data.get(group, {})
        if not isinstance(rows, dict):
            facts = {"expected": "table", "got": model.got(rows)}
            problems.append(Problem((group,), "wrong_type", shorten(spot.written), facts, spot.file, spot.line))
        elif isinstance(ours, dict):
            data[group] = rows | ours
            where.setdefault((group,), spot)
            taken = rows.keys() - ours.keys()
            where |= {key: at for key, at in yard.spots.items() if len(key) > 1 and key[0] == group and key[1] in taken}
    return data, where, problems, True


def _of_site(folder: Path, data: dict[str, Any]) -> list[Problem]:
    """Problems of the rule set of the site that a job names."""
    named, parent = data.get("site_rules"), data.get("rule_set", RULE_SETS[0])
    if not isinstance(named, str) or not named.strip() or not named.isprintable() or parent not in RULE_SETS:
        return []  # refused as they stand
    try:
        site_rule_set(folder, named, rule_set(parent))
    except FileError as error:
        return error.problems
    return []


def job_of(
    data: dict[str, Any], where: Mapping[Loc, Spot] = MappingProxyType({}), complete: bool = True
) -> tuple[Job | None, list[Problem]]:
    """The job, or what is wrong with it: keys first, then values, then what does not fit together. [-]

    Parameters
    ----------
    data : dict
        The tables as written. [-]
    where : Mapping
        Key path → where it stands. [-]
    complete : bool
        False where the yard could not be read, so that what lacks may stand there. [-]

    Examples
    --------
    >>> [(problem.key, problem.code) for problem in job_of({"title": "Rack"})[1]][:2]
    [(('supply',), 'missing_key'), (('unit',), 'missing_key')]

    References
    ----------
    Our own convention.
    """
    job, faults = model.parse(data)
    unknown = [fault for fault in faults if fault.code == "unknown_key"]
    problems: list[Problem] = []
    moved: dict[Loc, Loc] = {}
    if unknown:
        data = copy.deepcopy(data)
        problems = UnknownKeys(data, where).settle(unknown, moved)
        job, faults = model.parse(data)
    if not complete or ("yard",) in moved:  # what lacks may stand in the yard file
        faults_seen = [fault for fault in faults if fault.code != "missing_key"]
        return None, problems + [_problem(fault, data, moved) for fault in faults_seen]
    problems += [_problem(fault, data, moved) for fault in faults]
    core = _same_names(job) + problems_of(job) if job is not None else _partly_checked(data, faults)
    for count, problem in enumerate(core):  # what was meant is looked for as often as it can be shown
        told = _explained(problem, meant=count < MOST)
        problems.append(dataclasses.replace(told, key=_origin(problem.key, moved)))
    return (None if problems else job), problems


def _same_names(job: Job) -> list[Problem]:
    return [Problem(("fittings", n), "same_name", n, {"name": n}) for n in job.fittings if n in job.hoses]


def _partly_checked(data: dict[str, Any], faults: list[Fault]) -> list[Problem]:
    """What does not fit together, whatever the values that cannot be read were meant to be: least and most agree."""
    bad = [fault.key for fault in faults]
    runs = []
    for high in (False, True):
        tried = copy.deepcopy(data)
        for fault in faults:
            _put(tried, fault, high)
        job, left = model.parse(tried)
        if job is None or left:
            return []
        try:
            runs.append(_same_names(job) + problems_of(job))
        except (JetwrightError, ArithmeticError):
            return []
    both = {(p.key, p.code) for p in runs[0]} & {(p.key, p.code) for p in runs[1]}
    return [p for p in runs[0] if (p.key, p.code) in both and not any(_related(p.key, key) for key in bad)]


def _put(data: Any, fault: Fault, high: bool) -> None:
    for part in fault.key[:-1]:
        data = data[part]
    if fault.of_name:
        del data[fault.key[-1]]
    else:
        data[fault.key[-1]] = model.placeholder(shape_at(JOB, fault.key), high)


def _related(one: Loc, other: Loc) -> bool:
    shorter = min(len(one), len(other))
    return one[:shorter] == other[:shorter]


def _origin(path: Loc, moved: dict[Loc, Loc]) -> Loc:
    """The path in the file of a path in the tables as they were understood."""
    for length in range(len(path), 0, -1):
        if path[:length] in moved:
            return moved[path[:length]] + path[length:]
    return path


def _problem(fault: Fault, data: dict[str, Any], moved: dict[Loc, Loc]) -> Problem:
    key = _origin(fault.key, moved)
    written = str(fault.key[-1]) if fault.of_name else ""
    if fault.code == "missing_key":
        return _explained(Problem(key, fault.code))
    facts = dict(fault.facts)
    if fault.code == "wrong_type" and "got" not in facts:
        facts["got"] = model.got(value_at(data, fault.key))
    return Problem(key, fault.code, shorten(written), facts)


def _explained(problem: Problem, meant: bool = True) -> Problem:
    """A problem with the facts that only the door knows: what may be written, and what was meant."""
    facts = dict(problem.facts)
    if problem.code == "missing_key":
        shape = shape_at(JOB, problem.key)
        facts |= {"table": dotted(problem.key[:-1]), "name": str(problem.key[-1])}
        if shape.words:
            facts["known"] = list(shape.words)
        elif shape.quantity is not None and shape.sort in ("quantity", "rated"):
            facts |= model.accepted(shape.quantity)
    elif problem.code == "unknown_name":
        known = facts.get("known")
        known = [str(name) for name in known] if isinstance(known, list) else []
        nearest = model.nearest(problem.written, known) if meant else ""
        facts |= {"nearest": nearest, "noun": _NOUNS.get(str(facts.get("table")), "name")}
    return dataclasses.replace(problem, facts=facts)
