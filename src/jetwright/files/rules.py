"""Rule sets as data: those that ship, and a site's own, which may only tighten the one it stands on."""

import functools
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from importlib import resources
from pathlib import Path
from types import MappingProxyType
from typing import Any

from jetwright.errors import FileError, Problem
from jetwright.files import model
from jetwright.files.keys import dotted
from jetwright.files.model import Fault
from jetwright.files.problems import cut, placed, shorten, value_at
from jetwright.files.shapes import Shape, keys_of, shape_at
from jetwright.files.texts import Tables, of_naming, parse_tables, read_below
from jetwright.limits.rules import SORTS, Bound, RuleSet, Sort, Standing, tightened
from jetwright.rig.check import RULE_SETS
from jetwright.rig.quantity import Quantity

_SHOWN = {"force": "N", "pressure": "bar", "temperature": "degC", "time": "d", "length": "m", "velocity": "m/s"}


@dataclass(frozen=True, slots=True)
class _Row:
    value: object
    source: str
    standing: Standing
    verified: bool


@dataclass(frozen=True, slots=True)
class _Set:
    name: str
    version: str
    says: str
    parent: str | None = None
    bounds: Mapping[str, _Row] = field(default_factory=lambda: MappingProxyType({}))


@dataclass(frozen=True, slots=True)
class _SiteRow:
    value: object
    source: str


@dataclass(frozen=True, slots=True)
class _Site:
    name: str
    version: str
    adopted_by: str
    parent: str | None = None
    adopt: tuple[str, ...] = ()
    bounds: Mapping[str, _SiteRow] = field(default_factory=lambda: MappingProxyType({}))


@functools.cache
def rule_set(name: str) -> RuleSet:
    """A rule set that ships with Jetwright, with the bounds that it carries over from its parent. [-]

    Parameters
    ----------
    name : str
        One of `rig.check.RULE_SETS`. [-]

    Raises
    ------
    FileError
        Where no rule set has that name.

    Examples
    --------
    >>> rule_set("uk").bounds["hose.test_age"].standing, rule_set("uk").bounds["recoil.supported"].value
    ('guidance', 250.0)

    References
    ----------
    docs/rule-sets.md.
    """
    if name not in RULE_SETS:
        raise FileError([_unknown(("rule_set",), name, "rule set", list(RULE_SETS))])
    file = resources.files("jetwright").joinpath("data", "rules", f"{name}.toml")
    return parse_rule_set(file.read_text(encoding="utf-8"), str(file))


def parse_rule_set(text: str, file: str) -> RuleSet:
    """The rule set that a TOML text holds, with the bounds that it carries over from its parent. [-]

    Parameters
    ----------
    text : str
        Lines ended by a line feed. [-]
    file : str
        The name given in problems. [-]

    Raises
    ------
    FileError
        With every problem found, each with its line.

    Examples
    --------
    >>> made = parse_rule_set('name = "x"\\nversion = "2"\\nsays = "None"\\nparent = "eu-generic"', "x.toml")
    >>> made.name, made.version, made.says, len(made.bounds) == len(SORTS)
    ('x', '1 + 2', 'None', True)

    References
    ----------
    docs/rule-sets.md.
    """
    try:
        data = tomllib.loads(text)  # places cost more than the rest and are seldom wanted
    except ValueError:
        data = parse_tables(text, file).data  # refuses it with its place
    read, values, problems = _read(data, _Set)
    if read is not None and read.parent is not None and read.parent not in RULE_SETS:
        problems.append(_unknown(("parent",), read.parent, "rule set", list(RULE_SETS)))
    if problems:
        raise _refused(problems, parse_tables(text, file), file)
    bounds = {
        name: Bound(values[name], sort.quantity, sort.sense, row.source, row.standing, row.verified)
        for name, row, sort in ((name, row, SORTS[name]) for name, row in read.bounds.items())
    }
    version = read.version
    if read.parent is not None:
        above = rule_set(read.parent)
        bounds, version = dict(above.bounds) | bounds, f"{above.version} + {version}"
    return RuleSet(read.name, version, read.says, bounds)


def site_rule_set(folder: str | Path, named: str, parent: RuleSet) -> RuleSet:
    """A site's rule set: its parent's bounds, tightened as its file says. [-]

    Parameters
    ----------
    folder : str or Path
        Of the job file. [-]
    named : str
        The site's file below it, as the job's `site_rules` names it. [-]
    parent : RuleSet
        The job's. [-]

    Raises
    ------
    FileError
        With every problem found: those of the file as a whole under the key site_rules, the others with their line.

    Examples
    --------
    >>> import tempfile
    >>> text = 'name = "Pier"\\nversion = "3"\\nadopted_by = "H. Moe"\\nadopt = ["relief.clear_least"]'
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     _ = (Path(folder) / "pier.toml").write_text(text)
    ...     site = site_rule_set(folder, "pier.toml", rule_set("eu-generic"))
    >>> site.name, site.version, site.bounds["relief.clear_least"].adopted
    ('eu-generic + Pier', '1 + 3', 'H. Moe')

    References
    ----------
    docs/rule-sets.md, "A site's own".
    """
    try:
        tables = read_below(Path(folder), named, "rules_outside")
    except FileError as error:
        raise FileError([of_naming(problem, "site_rules", named) for problem in error.problems]) from None
    file = str(Path(folder) / named)
    read, values, problems = _read(tables.data, _Site)
    if read is not None:
        if read.parent not in (None, parent.name):
            facts: dict[str, object] = {"parent": shorten(read.parent), "asked": parent.name}
            problems.append(Problem(("parent",), "other_parent", shorten(read.parent), facts))
        for place, name in enumerate(read.adopt):
            if name not in SORTS:
                problems.append(_unknown(("adopt", place), name, "bound", list(SORTS)))
    if problems:
        raise _refused(problems, tables, file)
    bounds = {
        name: Bound(values[name], sort.quantity, sort.sense, row.source, "guidance", True)
        for name, row, sort in ((name, row, SORTS[name]) for name, row in read.bounds.items())
    }
    return tightened(parent, read.name, read.version, read.adopted_by, bounds, read.adopt)


def _read(data: dict[str, Any], table: type[Any]) -> tuple[Any, dict[str, float], list[Problem]]:
    """The tables as read, each bound's value in SI, and what is wrong with them."""
    shape = Shape("table", table=table)
    read, faults = model.parse(data, shape)
    problems = [_problem(fault, shape, data) for fault in faults]
    values: dict[str, float] = {}
    rows = data.get("bounds")
    for name, row in rows.items() if isinstance(rows, dict) else ():
        sort = SORTS.get(name)
        if sort is None:
            problems.append(_unknown(("bounds", name), name, "bound", list(SORTS)))
        elif isinstance(row, dict) and "value" in row:
            value, found = _value(sort, row["value"])
            values[name] = value
            problems += [Problem(("bounds", name, "value"), fault.code, "", fault.facts) for fault in found]
    return read, values, problems


def _value(sort: Sort, written: object) -> tuple[float, list[Fault]]:
    """A bound in SI, or what is wrong with it."""
    shape = {"ratio": "number", "count": "count"}.get(sort.quantity, "quantity")
    kind = "age" if sort.quantity == "time" else sort.quantity  # in days too
    least = 273.15 if sort.quantity == "temperature" else 0.0
    quantity = Quantity(kind, "Bound", at_least=least, at_most=sort.at_most, shown=_SHOWN.get(sort.quantity, ""))
    value, faults = model.parse(written, Shape(shape, quantity=quantity))
    return (0.0 if faults else float(value)), faults


def _problem(fault: Fault, shape: Shape, data: object) -> Problem:
    facts = dict(fault.facts)
    if fault.code == "wrong_type":
        facts.setdefault("got", model.got(value_at(data, fault.key)))
    if fault.code in ("missing_key", "unknown_key"):
        name, here = str(fault.key[-1]), shape_at(shape, fault.key[:-1]).table
        assert here is not None
        facts |= {"name": shorten(name), "table": shorten(dotted(fault.key[:-1]))}
        if fault.code == "unknown_key":
            facts |= {"known": list(keys_of(here)), "nearest": model.nearest(name, list(keys_of(here)))}
        elif keys_of(here)[name].shape.words:
            facts["known"] = list(keys_of(here)[name].shape.words)
    return Problem(fault.key, fault.code, "", facts)


def _unknown(key: tuple[str | int, ...], name: str, noun: str, known: list[str]) -> Problem:
    facts: dict[str, object] = {"noun": noun, "known": known, "nearest": model.nearest(name, known)}
    return Problem(key, "unknown_name", shorten(name), facts)


def _refused(problems: list[Problem], tables: Tables, file: str) -> FileError:
    return FileError(cut([placed(problem, tables.data, tables.spots, file) for problem in problems]))
