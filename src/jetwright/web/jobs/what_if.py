"""A question about a task that changes nothing: another target, tip, hose run or tool, by steppers."""

import copy
import json
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

from django.http import QueryDict

from jetwright import units
from jetwright.actions.box import tips_that_fit
from jetwright.actions.tries import Try
from jetwright.errors import FileError, UnitError
from jetwright.files.job import JobFile
from jetwright.report.figures import as_written
from jetwright.report.wording import N_, _, ngettext
from jetwright.web.described import closed_up, read_typed, understood
from jetwright.web.jobs.models import Job, Task
from jetwright.web.jobs.written import job_tables, read_tables, runs_of

TARGETS = {
    "nozzle_pressure": N_("Pressure behind the tips"),
    "pump_pressure": N_("Pressure at the pump"),
    "flow": N_("Flow through the jets"),
}
"""Key of a target → what it is called."""

STEPS = {("pressure", "si"): 25.0, ("pressure", "us"): 500.0, ("flow", "si"): 5.0, ("flow", "us"): 1.0}
"""Kind and system → one step of a target, in bar, psi, L/min, gpm."""

MOST_RUN = 60
"""Most pieces of a run in a question."""

LONGEST = 80
"""Most letters of what is typed."""


@dataclass(frozen=True, slots=True)
class Question:
    """What is asked of a task: its target as written, the run from the unit, its tool, the tip in each row of ports.

    tool: "" where several tools work at once; tips: none then, unless all are of one name.
    """

    kind: str
    target: str
    run: tuple[str, ...]
    tool: str
    tips: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Stepper:
    """One line of the form; value: what stands there; down, up: the acts, "" where there is no further step."""

    name: str
    label: str
    value: str
    hint: str
    down: str
    up: str


@dataclass(frozen=True, slots=True)
class Asked:
    """A question, the job as it would be, the task's place in it, and the form.

    tables: of the job as it is kept; text: what `read` was read from; own_tips: as the yard has the tool.
    """

    tables: Mapping[str, Any]
    text: str
    question: Question
    kept: Question
    read: JobFile
    place: int
    steppers: tuple[Stepper, ...]
    tools: tuple[str, ...]
    own_tips: tuple[str, ...]

    @property
    def is_kept(self) -> bool:
        """Whether it is what the task says. [-]"""
        return self.question == self.kept

    @property
    def changes_tool(self) -> bool:
        """Whether other tips would be in a tool of the yard. [-]"""
        return self.question.tips != self.own_tips


class NotReadError(Exception):
    """A question that cannot be read; says: why."""

    def __init__(self, says: str) -> None:
        self.says = says
        super().__init__(says)


def kept_question(spec: Mapping[str, Any], tables: Mapping[str, Any]) -> Question:
    """What a task says now. [-]"""
    target = spec.get("target", {})
    kind = next((key for key in TARGETS if key in target), "nozzle_pressure")
    tools = {str(run["tool"]) for run in runs_of(spec) if run.get("tool")}
    tool = next(iter(tools)) if len(tools) == 1 else ""
    run = tuple(map(str, spec.get("hose_run", [])))
    return Question(kind, str(target.get(kind, "")), run, tool, _table_tips(tables, tool))


def posted_question(kept: Question, tables: Mapping[str, Any], sent: QueryDict) -> Question:
    """What a form asks; what is kept, where it asks nothing. [-]"""
    if "asked" not in sent:
        return kept
    tool = sent.get("tool", kept.tool)[:LONGEST]
    tips = tuple(sent.getlist("tip"))
    own = _table_tips(tables, tool)
    if tool != sent.get("tool_was", tool) or len(tips) != len(own):
        tips = own
    run = tuple(name[:LONGEST] for name in sent.getlist("run")[:MOST_RUN])
    target = closed_up(" ".join(sent.get("target", "")[: LONGEST + 1].split()))
    return Question(kept.kind, target, run, tool, tips)


def spec_of(question: Question, kept: Mapping[str, Any]) -> dict[str, Any]:
    """The task's table as the question has it. [-]"""
    spec = copy.deepcopy(dict(kept))
    spec["target"] = {**spec.get("target", {}), question.kind: question.target}
    spec.pop("hose_run", None)
    if question.run:
        spec["hose_run"] = list(question.run)
    if "branches" not in spec and question.tool:
        spec["tool"] = question.tool
    return spec


def ports_with(ports: Sequence[Mapping[str, Any]], tips: Sequence[str]) -> list[dict[str, Any]]:
    """Rows of ports with other tips in them. [-]"""
    return [{**port, "tip": tip} for port, tip in zip(ports, tips, strict=True)]


def asked(task: Task, sent: QueryDict, system: str) -> Asked:
    """The question of a form, stepped on by its act; FileError where the rig cannot be read or is not physical. [-]"""
    tables = job_tables(task.job)
    kept = kept_question(task.spec, tables)
    question = posted_question(kept, tables, sent)
    if question.target != kept.target:
        _readable(question)
    names = (task.job.name, task.name)
    text = _text(task, tables, question, kept)
    read, place = read_text(text, *names)
    offers = _offers(read, place)
    stepped = _stepped(question, sent.get("act", ""), read, place, offers, system)
    if stepped != question:
        text = _text(task, tables, stepped, kept)
        read, place = read_text(text, *names)
    steppers = _steppers(stepped, read, place, offers, system)
    own = _table_tips(tables, stepped.tool)
    return Asked(tables, text, stepped, kept, read, place, steppers, tuple(sorted(read.job.tools)), own)


def tried(question: Question, one: Try, system: str) -> Question:
    """The question with what may be tried for a cure. [-]"""
    changed = question
    if one.target is not None:
        kind = _kind(question)
        unit = units.shown("L/min" if kind == "flow" else "bar", system)
        changed = replace(changed, target=units.show(one.target, unit, 4))
    if one.run is not None:
        changed = replace(changed, run=one.run)
    if one.tool is not None:
        changed = replace(changed, tool=one.tool)
    if one.tips is not None:
        changed = replace(changed, tips=one.tips)
    return changed


@lru_cache(maxsize=128)
def read_text(text: str, job: str, task: str) -> tuple[JobFile, int]:
    """The job around a task that tables in JSON describe: the same text is read once. [-]"""
    return read_tables(Task(name=task, job=Job(name=job)), json.loads(text))


def _text(task: Task, tables: Mapping[str, Any], question: Question, kept: Question) -> str:
    """What describes the job as the question has it, as JSON. [-]"""
    if question == kept:
        return json.dumps(tables)
    spec = spec_of(question, task.spec)
    tasks = [{"name": one["name"], **spec} if one["name"] == task.name else one for one in tables["task"]]
    asked_tables = {**tables, "task": tasks}
    tool = tables["tools"].get(question.tool)
    if tool is not None and question.tips != _table_tips(tables, question.tool):
        asked_tables["tools"] = {
            **tables["tools"],
            question.tool: {**tool, "ports": ports_with(tool["ports"], question.tips)},
        }
    return json.dumps(asked_tables)


def _table_tips(tables: Mapping[str, Any], tool: str) -> tuple[str, ...]:
    ports = tables.get("tools", {}).get(tool, {}).get("ports", [])
    return tuple(str(port.get("tip", "")) for port in ports if isinstance(port, Mapping))


def _kind(question: Question) -> str:
    return "flow" if question.kind == "flow" else "pressure"


def _readable(question: Question) -> None:
    """Nothing is asked with a target that has two readings."""
    try:
        read_typed(question.target, _kind(question))
    except UnitError:
        raise NotReadError(understood(question.target, _kind(question))) from None


def _offers(read: JobFile, place: int) -> tuple[Any, ...]:
    try:
        return tips_that_fit(read, place)
    except FileError:
        return ()


# ---- steps


def _stepped(question: Question, act: str, read: JobFile, place: int, offers: Sequence[Any], system: str) -> Question:
    name, _sep, way = act.rpartition(" ")
    by = {"less": -1, "more": 1}.get(way, 0)
    if by == 0:
        return question
    if name == "target":
        return replace(question, target=_next_target(question, by, system))
    if name == "run":
        return replace(question, run=_next_run(question.run, by, read, place))
    row = name.removeprefix("tip ")
    if row.isascii() and row.isdigit() and int(row) < len(question.tips):
        tips = list(question.tips)
        tips[int(row)] = _next_tip(question, int(row), by, read, offers) or tips[int(row)]
        return replace(question, tips=tuple(tips))
    return question


def _next_target(question: Question, by: int, system: str) -> str:
    kind = _kind(question)
    unit, step = units.shown("L/min" if kind == "flow" else "bar", system), STEPS[kind, system]
    count = units.to(units.read(question.target, kind), unit) / step
    stepped = step * (math.floor(count + 1e-6) + 1 if by > 0 else math.ceil(count - 1e-6) - 1)
    return f"{stepped:.0f} {unit}" if stepped > 0.0 else question.target


def _next_run(run: tuple[str, ...], by: int, read: JobFile, place: int) -> tuple[str, ...]:
    at = _last_hose(run, read)
    if at is None:
        return run
    if by < 0:
        return (*run[:at], *run[at + 1 :])
    return (*run[: at + 1], run[at], *run[at + 1 :]) if _hoses_left(run[at], read, place) > 0 else run


def _last_hose(run: Sequence[str], read: JobFile) -> int | None:
    return next((at for at in reversed(range(len(run))) if run[at] in read.job.hoses), None)


def _hoses_left(name: str, read: JobFile, place: int) -> int:
    task = read.job.task[place]
    used = [*task.hose_run, *(item for branch in task.branches for item in branch.hose_run)]
    return read.job.hoses[name].count - used.count(name)


def _next_tip(question: Question, row: int, by: int, read: JobFile, offers: Sequence[Any]) -> str:
    """The next tip by the size of its hole, of which there are enough; "" where there is none."""
    ports = read.job.tools[question.tool].ports
    held = {
        tip: sum(port.count for port, other in zip(ports, question.tips, strict=True) if other == tip)
        for tip in question.tips
    }
    now = next((offer.area for offer in offers if offer.name == question.tips[row]), None)
    fits = [
        offer
        for offer in offers
        if offer.name != question.tips[row] and offer.pieces - held.get(offer.name, 0) >= ports[row].count
    ]
    if now is None:
        return str(fits[0 if by > 0 else -1].name) if fits else ""
    ways = [offer for offer in fits if (offer.area - now) * by > 1e-6 * now]
    return str(min(ways, key=lambda offer: (abs(offer.area - now), offer.name)).name) if ways else ""


def _steppers(question: Question, read: JobFile, place: int, offers: Sequence[Any], system: str) -> tuple[Stepper, ...]:
    kind = _kind(question)
    less = _next_target(question, -1, system) != question.target
    told = understood(question.target, kind)
    found = [
        Stepper(
            "target",
            _(TARGETS[question.kind]),
            question.target,
            "" if told == question.target else told,
            "target less" if less else "",
            "target more",
        )
    ]
    if question.tool in read.job.tools:
        found += [_tip_stepper(question, row, read, offers, system) for row in range(len(question.tips))]
    at = _last_hose(question.run, read)
    if at is not None:
        found.append(_run_stepper(question, question.run[at], read, place, system))
    return tuple(found)


def _tip_stepper(question: Question, row: int, read: JobFile, offers: Sequence[Any], system: str) -> Stepper:
    port, tip = read.job.tools[question.tool].ports[row], question.tips[row]
    bore = read.job.tips[tip].bore
    shown = _("rated") if bore is None else _("{bore} bore").format(bore=as_written(bore, "length", system))
    label = _("Tip in {tool}") if len(question.tips) == 1 else _("Tip in {tool}, row {n}")
    down, up = (_next_tip(question, row, by, read, offers) for by in (-1, 1))
    hints = (
        [shown]
        + ([_("next up {tip}").format(tip=up)] if up else [])
        + ([_("next down {tip}").format(tip=down)] if down else [])
    )
    return Stepper(
        f"tip {row}",
        label.format(tool=question.tool, n=row + 1),
        f"{port.count} × {tip}",
        " · ".join(hints),
        f"tip {row} less" if down else "",
        f"tip {row} more" if up else "",
    )


def _run_stepper(question: Question, name: str, read: JobFile, place: int, system: str) -> Stepper:
    count, left = question.run.count(name), _hoses_left(name, read, place)
    length = sum(read.job.hoses[item].length for item in question.run if item in read.job.hoses)
    more = (
        ngettext("{n} more in the yard", "{n} more in the yard", left).format(n=left)
        if left > 0
        else _("no more in the yard")
    )
    hint = _("{length} of hose in all").format(length=as_written(length, "length", system))
    return Stepper(
        "run",
        _("Hose run, at its end"),
        f"{count} × {name}",
        f"{hint} · {more}",
        "run less",
        "run more" if left > 0 else "",
    )
