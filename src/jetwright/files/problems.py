"""What can be wrong with a job file: the codes of `Problem`, and the facts each carries for `report.wording`.

`Problem.key` is the path of the value, `file` and `line` say where it stands, `written` is what stands there ("" if
nothing). Lists are lists of str; a table's name is dotted, "" for the top of the file; a bound is "" if there is none.

Quantities (also the codes of `UnitError`); each carries kind, units (what may be written), example:

    missing_unit         "950"                      -
    bare_number          950 without quotes         -
    decimal_comma        "2,5 bar"                  readings (["2.5 bar", "25 bar"])
    ambiguous_thousands  "1,250 bar", "1 250 bar"   readings (one or two)
    not_a_number         "nan bar", "lots"          -
    absurd_number        "1e300 bar"                -
    too_long             a quantity of > 60 signs   limit
    unknown_unit         "9 barr"                   unit, nearest ("" if none)
    other_kind           "9 mm" for a pressure      unit, unit_kind (its kind), kind (the one wanted)
    absolute_pressure    "9 bar abs"                -
    missing_at           "18 L/min" for a pair      -

Values:

    out_of_range         outside its range          above, at_least, at_most: bounds as shown, e.g. "0 mm"
    not_finite           nan or inf, bare           -
    wrong_type           a list where text belongs  expected, got: "text", "table", "list", "number" (bare),
                                                    "count" (bare, whole), "yes_no", "date", "time", "pair", "quantity"
    not_one_of           kind = "hydraulic"         known, nearest ("" if none)
    empty_text           ""                         -
    text_too_long        a text of > 200 signs      limit
    control_character    an escape in a text        -
    too_few              an empty list              least
    too_many             a list too long            most

Keys and names:

    missing_key          a required key is absent   name, table; known where it is one of some words;
                                                    kind, units, example where it is a quantity
    unknown_key          a key nobody knows         name, table (this one), known, nearest (a key of this table or "");
                                                    belongs: the table it slid out of, "" for the top; absent if none
    unknown_name         tool = "gnu"               noun ("hose or fitting", "tip", "tool", "kit", "rule set",
                                                    "bound", "grade", "edition"),
                                                    known, nearest
    same_name            hoses.A and fittings.A     name
    not_in_a_yard        a task in a yard file      name, known
    other_parent         a site's rule set that     parent (of the site's set), asked (by the job)
                         stands on another

Files (`key` is (), ("yard",) or ("site_rules",)):

    not_found, not_readable, not_a_file (a folder, a device), not_utf8, binary
    too_large            more than may be read      limit_kb
    too_deep             brackets or a dotted key   limit
    bad_toml             not TOML                   column; reason: "written_twice", "value", "text", "list", "key",
                                                    "line" or "other"
    yard_outside         absolute, or climbs        -
    rules_outside        the same of site_rules     -
    yard_link            a link on the way          -   (also `fmt` of a link)
    more_problems        the list was cut           count (how many more)
    not_rewritten        `fmt` would change it      -
    names_a_file         tables in memory name one   -   (a yard, a site's rules)
    changed_meanwhile    it holds something else    -   (than what was judged, or another is writing it)
    would_be_too_large   it could not be read again limit_kb
    not_writable         it cannot be replaced      kept: what was written before it, absent if nothing
    exists               a sheet says another thing -
    link_in_the_way      a sheet, or its folder     -
    not_a_folder         the folder of the sheets   -

A reading that is typed or kept (`key` is that of a row of [[reading]]):

    reading_of_which_task    several tasks, and none is named          known
    reading_no_setting       the task has no setting to compare with   -
    reading_held_by_valve    a valve holds the gauge there             -
    reading_not_adopted      it is explained first                     -
    reading_of_refused_task  the task is not allowed, whatever is read -
    reading_not_written      the file's readings stand otherwise       -

Whatever `rig.check` finds comes with its own codes, and with file and line added.
"""

import dataclasses
from collections.abc import Mapping
from typing import Any

from jetwright.errors import Problem
from jetwright.files import positions
from jetwright.files.positions import Spot

MOST = 100
"""Most problems reported for one file."""


def shorten(text: str, most: int = 60) -> str:
    """What was written, on one line and not too long. [-]

    Parameters
    ----------
    text : str
        As it stands in the file. [-]
    most : int
        Characters kept. [-]

    Examples
    --------
    >>> shorten("[1,\\n  2]")
    '[1, 2]'

    References
    ----------
    Our own convention.
    """
    line = "".join(c if c.isprintable() else " " for c in text[: 4 * most])
    line = " ".join(line.split())
    return line if len(line) <= most else line[: most - 1] + "…"


def cut(problems: list[Problem], most: int = MOST) -> list[Problem]:
    """The problems in the order of their lines, each once, the list cut where it is too long to help. [-]

    Parameters
    ----------
    problems : list[Problem]
        In any order. [-]
    most : int
        How many are kept; one more says how many were left out, those that an earlier cut left out with them. [-]

    Examples
    --------
    >>> [p.code for p in cut([Problem((), "a", line=2), Problem((), "b", line=1), Problem((), "a", line=2)])]
    ['b', 'a']

    References
    ----------
    Our own convention.
    """
    once = {(p.file, p.line, p.key, p.code): p for p in reversed(problems) if p.code != "more_problems"}
    ordered = sorted(once.values(), key=lambda p: (p.file, p.line, [str(k) for k in p.key]))
    before = [p for p in problems if p.code == "more_problems"]
    count = sum(int(str(p.facts["count"])) for p in before) + max(0, len(ordered) - most)
    if not count:
        return ordered
    file = ordered[most].file if len(ordered) > most else before[0].file
    return [*ordered[:most], Problem((), "more_problems", facts={"count": count}, file=file)]


def value_at(data: Any, path: tuple[str | int, ...]) -> Any:
    """What stands at a path, None if nothing does. [-]

    Parameters
    ----------
    data : Any
        Tables as `tomllib` gives them. [-]
    path : tuple
        Keys of tables, places in lists. [-]

    Examples
    --------
    >>> value_at({"task": [{"name": "One"}]}, ("task", 0, "name"))
    'One'

    References
    ----------
    Our own convention.
    """
    for part in path:
        try:
            data = data[part]
        except (KeyError, IndexError, TypeError):
            return None
    return data


def placed(problem: Problem, data: Mapping[str, Any], where: Mapping[positions.Path, Spot], file: str) -> Problem:
    """A problem with the file and line of its key, and what stands there; one that has its file keeps it. [-]

    Parameters
    ----------
    problem : Problem
        With a key path. [-]
    data : Mapping
        The tables. [-]
    where : Mapping
        Key path → where it stands. [-]
    file : str
        Of what stands nowhere. [-]

    Examples
    --------
    >>> placed(Problem(("tips",), "too_worn"), {"tips": "R10"}, {("tips",): Spot("job.toml", 7, "")}, "job.toml").line
    7

    References
    ----------
    Our own convention.
    """
    if problem.file:
        return problem
    at = positions.table_of(where, problem.key)
    spot = where.get(at, Spot(file, 1, ""))
    written = problem.written
    if not written and at == problem.key and at:
        value = value_at(data, at)
        written = shorten(value if isinstance(value, str) else spot.written)
    return dataclasses.replace(problem, written=written, file=spot.file, line=spot.line)
