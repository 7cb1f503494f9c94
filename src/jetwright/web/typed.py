"""What somebody typed: how a quantity is read, what is wrong with it, and how it and a whole table are said back."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from jetwright.actions.called import label
from jetwright.errors import Problem, UnitError
from jetwright.files.shapes import Key, Shape, keys_of
from jetwright.report.figures import figure, signed
from jetwright.report.key_labels import WORDS
from jetwright.report.problems import problem_words
from jetwright.report.wording import N_, _, spoken
from jetwright.rig.description import Tip
from jetwright.units import KINDS, read, read_rated, show, shown, unit_of
from jetwright.web.measured import in_both

HIGH = 100e5
"""From this pressure on it is read on a gauge of a pump. [Pa]"""

_GROUPED = re.compile(r"([+-]?)([1-9][0-9]{0,2})\.([0-9]{3})(?![0-9])(.*)", re.DOTALL)
_BLANKS = " \\u00a0\\u2009\\u202f"
_THREES = re.compile(
    rf"(?<![0-9.,'’_])(?<![0-9][{_BLANKS}])([1-9][0-9]{{0,2}})((?:[{_BLANKS}][0-9]{{3}})+)(?![0-9,'’_]|[{_BLANKS}][0-9])"
)
PLAIN_NUMBER = re.compile(r"[+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]+)?")


def said(value: object, key: Key | None = None) -> str:
    """A value of a table as a person reads it: words translated, yes and no spelt, lists with commas. [-]"""
    if isinstance(value, bool):
        return _("yes") if value else _("no")
    if isinstance(value, Mapping):
        return ", ".join(f"{name}: {said(one)}" for name, one in value.items())
    if isinstance(value, Sequence) and not isinstance(value, str):
        return "; ".join(
            ", ".join(map(said, one)) if isinstance(one, (list, tuple)) else said(one, key) for one in value
        )
    if isinstance(value, str) and key is not None and key.shape.quantity is not None:
        return in_both(value, key.shape.quantity.kind, key.key)
    words = () if key is None else key.shape.words or (key.shape.parts[0].words if key.shape.parts else ())
    return _(WORDS[value]) if isinstance(value, str) and value in words and value in WORDS else f"{value}"


def flat(table: type[Any], spec: Mapping[str, Any]) -> dict[str, tuple[str, str]]:
    """Each value of a table by its key in dots, with what it is called and how it is said; unknown keys too. [-]"""
    return dict(_flat(Shape("table", table=table), spec, "", ""))


def _flat(shape: Shape, value: Any, dotted: str, above: str) -> Iterator[tuple[str, tuple[str, str]]]:
    keys = keys_of(shape.table) if shape.table is not None else {}
    if isinstance(value, Mapping) and shape.table is not None:
        for name in [*(key for key in keys if key in value), *(key for key in value if key not in keys)]:
            below = keys[name].shape if name in keys else Shape("any")
            words = label(shape.table, keys[name]) if name in keys else name
            at = f"{dotted}.{name}".lstrip(".")
            if below.table is not None or (below.sort == "list" and below.parts[0].table is not None):
                yield from _flat(below, value[name], at, words)
            else:
                called = _("{part}: {what}").format(part=above, what=words) if above else words
                yield at, (called, said(value[name], keys.get(name)))
    elif isinstance(value, Sequence) and not isinstance(value, str) and shape.sort == "list":
        for number, row in enumerate(value, 1):
            yield from _flat(shape.parts[0], row, f"{dotted}.{number}", f"{above} {number}")
    else:
        yield dotted, (above or dotted, said(value))


def read_typed(text: str, kind: str) -> float:
    """A quantity as somebody typed it; UnitError where it has no reading, or two in the person's language. [SI]"""
    written = closed_up(" ".join(text.split()))
    problem = misread(written)
    if problem is not None:
        raise UnitError(problem.code, problem.written, **problem.facts)
    return read(written, kind)


def closed_up(text: str) -> str:
    """A quantity without the blanks that part its digits in threes, as these pages print them: one reading only. [-]"""
    return _THREES.sub(lambda found: found[1] + re.sub(f"[{_BLANKS}]", "", found[2]), text)


def understood(text: str, kind: str) -> str:
    """What a typed quantity means, "14 500 psi = 1 000 bar"; the words of its refusal where it cannot be read. [-]"""
    written = closed_up(" ".join(text.split()))
    problem = misread(written)
    if problem is not None:
        return problem_words(problem)
    try:
        if kind == "flow_at":
            flow, pressure = read_rated(written)
            return _("{flow} at {pressure}").format(flow=_both(flow, "flow"), pressure=_both(pressure, "pressure"))
        value = read(written, kind)
    except UnitError as error:
        return problem_words(Problem((), error.code, error.written, error.facts))
    unit = unit_of(written, kind)
    metric = next(iter(KINDS[kind]))
    other = shown(unit, "us") if shown(unit, "us") != unit else metric
    if written.endswith(" back"):
        return f"{written} = {show(value, unit)}"
    if kind == "length" and other == "ft" and value < 0.3:
        other = "in"
    if kind == "length" and other == "mm" and value >= 1.0:
        other = "m"
    thousands = _GROUPED.match(written)
    number = PLAIN_NUMBER.match(written)[0]  # type: ignore[index]  # it was read
    told = _grouped(signed(f"{number.rstrip('0').rstrip('.') if thousands else number} {unit}"))
    if other != unit and kind != "temperature_difference":
        told = f"{told} = {_in(value, other, kind)}"
    if thousands is None:
        return told
    whole = _grouped(f"{number.replace('.', '')} {unit}")
    return _("{read}: the point stands before decimals, so this is not {other}").format(read=told, other=whole)


def _both(value: float, kind: str) -> str:
    metric = next(iter(KINDS[kind]))
    other = shown(metric, "us")
    return f"{_in(value, metric, kind)} = {_in(value, other, kind)}"


def _in(value: float, unit: str, kind: str) -> str:
    """In a unit, a high pressure no finer than anybody reads one."""
    if kind != "pressure" or value < HIGH:
        return _grouped(signed(show(value, unit, 3, kind)))
    return _grouped(signed(figure(value, unit)))


def _grouped(text: str) -> str:
    """A quantity with its digits in threes: read only, and never read back."""
    found = re.match(r"([+-]?)([0-9]+)(.*)", text)
    if found is None or len(found[2]) < 4:
        return text
    return f"{found[1]}{int(found[2]):,}".replace(",", "\u202f") + found[3]


def misread(text: str) -> Problem | None:
    """Where a point parts thousands, "1.250" has two readings; both are named. [-]"""
    found = _GROUPED.fullmatch(text) if not spoken().startswith("en") else None
    if found is None:
        return None
    sign, head, tail, rest = found.groups()
    point = f"{head}.{tail}".rstrip("0") if tail.endswith("0") else f"{head}.{tail}0"
    readings = [f"{sign}{number.rstrip('.')}{rest}" for number in (point, head + tail)]
    return Problem((), "ambiguous_thousands", text, {"readings": readings})


def words_of(problem: Problem) -> str:
    """What is wrong and what is accepted, where no file and no quotes stand between a person and a value. [-]"""
    if problem.code == "wrong_type":
        expected = {
            "number": _("a number belongs here"),
            "count": _("a whole number belongs here"),
            "date": _("a day belongs here, as in 2026-03-02"),
            "yes_no": _("yes or no belongs here"),
        }.get(str(problem.facts.get("expected", "")))
        if expected is not None:
            return expected
    words = _ON_A_PAGE.get(problem.code)
    if words is None:
        return problem_words(problem)
    beside = problem.facts.get("beside")
    names = [label(Tip, keys_of(Tip)[str(key)]) for key in beside] if isinstance(beside, list | tuple) else []
    return _(words).format(names=", ".join(names))


_ON_A_PAGE: Mapping[str, str] = {
    "pump_size_twice": N_(
        "the pump's size is given twice; write either its plungers and their stroke, or what it delivers in a turn"
    ),
    "missing_pump_size": N_(
        "the pump's size is missing; write its plungers and their stroke, or what it delivers in a turn"
    ),
    "start_above_top": N_("above the top speed; the lowest speed under load belongs here"),
    "needs_tank": N_("the unit has no tank; describe its tank, or leave this out"),
    "rated_beside_bore": N_(
        "write either what the chart prints, or the bore with its inlet or a measured coefficient; beside it stands: "
        "{names}"
    ),
    "missing_inlet": N_("missing; say the shape of the inlet, or write a measured discharge coefficient"),
    "no_target": N_("nothing is asked for; give a pressure at the nozzle, one at the pump, or a flow"),
    "two_targets": N_("more than one thing is asked for; give a pressure at the nozzle, one at the pump, or a flow"),
    "tool_and_branches": N_("there are both a tool and branches; leave one of them out"),
    "no_tool": N_("there is neither a tool nor a branch; pick a tool"),
}
"""Code of a problem → what a page says where a file would be told the names of its keys."""
