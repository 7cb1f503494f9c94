"""A question about a task that changes nothing: another target, other hoses, tools or tips, as a form asks it."""

import copy
import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from django.core.exceptions import ValidationError
from django.http import QueryDict

from jetwright import units
from jetwright.actions.tries import Try
from jetwright.files.shapes import keys_of
from jetwright.report.wording import N_, _
from jetwright.rig.description import Target
from jetwright.web.fields import QuantityField
from jetwright.web.jobs.models import Task
from jetwright.web.typed import closed_up

TARGETS = {
    "nozzle_pressure": N_("Pressure behind the tips"),
    "pump_pressure": N_("Pressure at the pump"),
    "flow": N_("Flow through the jets"),
}
"""Key of a target → what it is called."""

MOST_RUN = 60
"""Most pieces of a run in a question."""

LONGEST = 80
"""Most letters of what is typed."""


@dataclass(frozen=True, slots=True)
class Line:
    """A tool and what leads to it; number: 0 where the task has one tool, from 1 its branches.

    run: the branch's own, () where the task has one tool; tips: one for each row of the tool's ports.
    """

    number: int
    run: tuple[str, ...]
    tool: str
    tips: tuple[str, ...]

    def field(self, name: str) -> str:
        """What a field of a form about it is called. [-]"""
        return f"{name}{self.number or ''}"


@dataclass(frozen=True, slots=True)
class Question:
    """What is asked of a task: its target as written, the run from the unit, and each of its tools with its tips."""

    kind: str
    target: str
    run: tuple[str, ...]
    lines: tuple[Line, ...]

    @property
    def dimension(self) -> str:
        """Of the target: "flow" or "pressure". [-]"""
        return "flow" if self.kind == "flow" else "pressure"

    @property
    def tools(self) -> tuple[Line, ...]:
        """The first line at which each tool stands: one of the yard's tools has its tips once. [-]"""
        return tuple({line.tool: line for line in reversed(self.lines) if line.tool}.values())[::-1]


class NotReadError(Exception):
    """A target that cannot be read; typed: what stands there; says: what is wrong with it; kept: the task's own."""

    def __init__(self, typed: str, says: str, kept: str) -> None:
        self.typed, self.says, self.kept = typed, says, kept
        super().__init__(says)


def kept_question(spec: Mapping[str, Any], tables: Mapping[str, Any]) -> Question:
    """What a task says now. [-]"""
    target = spec.get("target", {})
    kind = next((key for key in TARGETS if key in target), "nozzle_pressure")
    run = tuple(map(str, spec.get("hose_run", [])))
    return Question(kind, str(target.get(kind, "")), run, tuple(_kept_lines(spec, tables)))


def posted_question(kept: Question, tables: Mapping[str, Any], sent: QueryDict) -> Question:
    """What a form asks; what is kept, where it asks nothing; NotReadError for a target that cannot be read. [-]"""
    if "asked" not in sent:
        return kept
    target = closed_up(" ".join(sent.get("target", "")[: LONGEST + 1].split()))
    lines = [_posted_line(line, tables, sent) for line in kept.lines]
    asked = _alike(Question(kept.kind, target, _names(sent, "run"), tuple(lines)))
    if target != kept.target:
        wrong = _wrong_with(target, kept.kind)
        if wrong:
            raise NotReadError(target, wrong, kept.target)
    return asked


def _wrong_with(target: str, kind: str) -> str:
    """What the form of a task would say of such a target; "" where it would take it."""
    quantity = keys_of(Target)[kind].shape.quantity
    assert quantity is not None
    try:
        QuantityField(quantity).clean(target)
    except ValidationError as error:
        return " ".join(error.messages) if target else _("missing, and it is needed")
    return ""


def with_line(question: Question, line: Line) -> Question:
    """The question with another line in place of the one of its number; a tool has the same tips wherever it is. [-]"""
    lines = tuple(line if one.number == line.number else one for one in question.lines)
    tips = {one.tool: one.tips for one in lines} | {line.tool: line.tips}
    return replace(question, lines=tuple(replace(one, tips=tips[one.tool]) for one in lines))


def spec_of(question: Question, kept: Mapping[str, Any]) -> dict[str, Any]:
    """The task's table as the question has it. [-]"""
    spec = copy.deepcopy(dict(kept))
    spec["target"] = {**spec.get("target", {}), question.kind: question.target}
    _put(spec, "hose_run", list(question.run))
    if "branches" in spec:
        for branch, line in zip(spec["branches"], question.lines, strict=True):
            _put(branch, "hose_run", list(line.run))
            _put(branch, "tool", line.tool)
    elif question.lines[0].tool:
        spec["tool"] = question.lines[0].tool
    return spec


def refilled(question: Question, tables: Mapping[str, Any]) -> tuple[Line, ...]:
    """The first line of each tool that would have other tips than the yard says. [-]"""
    return tuple(
        line
        for line in question.tools
        if line.tool in tables.get("tools", {}) and line.tips != table_tips(tables, line.tool)
    )


def ports_with(ports: Sequence[Mapping[str, Any]], tips: Sequence[str]) -> list[dict[str, Any]]:
    """Rows of ports with other tips in them. [-]"""
    return [{**port, "tip": tip} for port, tip in zip(ports, tips, strict=True)]


def text_of(task: Task, tables: Mapping[str, Any], question: Question, kept: Question) -> str:
    """What describes the job as the question has it, as JSON. [-]"""
    if question == kept:
        return json.dumps(tables)
    spec = spec_of(question, task.spec)
    tasks = [{"name": one["name"], **spec} if one["name"] == task.name else one for one in tables["task"]]
    tools = dict(tables.get("tools", {}))
    for line in refilled(question, tables):
        tools[line.tool] = {**tools[line.tool], "ports": ports_with(tools[line.tool]["ports"], line.tips)}
    return json.dumps({**tables, "task": tasks, **({"tools": tools} if tools else {})})


def tried(question: Question, one: Try, system: str) -> Question:
    """The question with what may be tried for a cure; another tool or tip is only ever of a task with one tool. [-]"""
    changed = question
    if one.target is not None:
        unit = units.shown("L/min" if question.dimension == "flow" else "bar", system)
        changed = replace(changed, target=units.show(one.target, unit, 4))
    if one.run is not None:
        changed = replace(changed, run=one.run)
    line = changed.lines[0]
    if one.tool is not None:
        line = replace(line, tool=one.tool)
    if one.tips is not None:
        line = replace(line, tips=one.tips)
    return changed if line == changed.lines[0] else with_line(changed, line)


def table_tips(tables: Mapping[str, Any], tool: str) -> tuple[str, ...]:
    """The tips that the yard says are in a tool, row by row of its ports. [-]"""
    ports = tables.get("tools", {}).get(tool, {}).get("ports", [])
    return tuple(str(port.get("tip", "")) for port in ports if isinstance(port, Mapping))


def _kept_lines(spec: Mapping[str, Any], tables: Mapping[str, Any]) -> Iterator[Line]:
    branches = spec.get("branches")
    for number, branch in enumerate([spec] if branches is None else branches, start=0 if branches is None else 1):
        tool = str(branch.get("tool", ""))
        run = tuple(map(str, branch.get("hose_run", []))) if number else ()
        yield Line(number, run, tool, table_tips(tables, tool))


def _posted_line(line: Line, tables: Mapping[str, Any], sent: QueryDict) -> Line:
    tool = sent.get(line.field("tool"), line.tool)[:LONGEST]
    tips, own = tuple(sent.getlist(line.field("tip"))), table_tips(tables, tool)
    if tool != sent.get(line.field("tool_was"), tool) or len(tips) != len(own):
        tips = own
    run = _names(sent, line.field("run")) if line.number else ()
    return Line(line.number, run, tool, tips)


def _names(sent: QueryDict, field: str) -> tuple[str, ...]:
    return tuple(name[:LONGEST] for name in sent.getlist(field)[:MOST_RUN])


def _alike(question: Question) -> Question:
    """With the tips of a tool that stands at several branches as they are at the first of them."""
    first = {line.tool: line.tips for line in question.tools}
    lines = tuple(replace(line, tips=first.get(line.tool, line.tips)) for line in question.lines)
    return replace(question, lines=lines)


def _put(table: dict[str, Any], key: str, value: Any) -> None:
    """A key with a value, or without the key where there is none."""
    if value:
        table[key] = value
    else:
        table.pop(key, None)
