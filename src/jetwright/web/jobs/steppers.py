"""The steppers of a question: the next round target, the next larger tip, a hose more or less."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from jetwright import units
from jetwright.actions.box import tips_that_fit
from jetwright.errors import FileError
from jetwright.files.job import JobFile
from jetwright.report.figures import as_written
from jetwright.report.wording import _, ngettext
from jetwright.web.jobs.question import TARGETS, Line, Question, with_line
from jetwright.web.typed import understood

STEPS = {("pressure", "si"): 25.0, ("pressure", "us"): 500.0, ("flow", "si"): 5.0, ("flow", "us"): 1.0}
"""Kind and system → one step of a target, in bar, psi, L/min, gpm."""

Offers = Mapping[str, Sequence[Any]]
"""Tool → the tips that go into it, the smallest hole first."""


@dataclass(frozen=True, slots=True)
class Stepper:
    """One line of the form; value: what stands there; down, up: the acts, "" where there is no further step."""

    name: str
    label: str
    value: str
    hint: str
    down: str
    up: str


def offers_for(question: Question, read: JobFile, place: int) -> Offers:
    """The tips of the box for each tool of a question. [-]"""
    found = {}
    for line in question.tools:
        try:
            found[line.tool] = tips_that_fit(read, place, line.number or None)
        except FileError:
            found[line.tool] = ()
    return found


def stepped(question: Question, act: str, read: JobFile, place: int, offers: Offers, system: str) -> Question:
    """The question a step on, as an act says; as it is, where the act is none. [-]"""
    name, _sep, way = act.rpartition(" ")
    by = {"less": -1, "more": 1}.get(way, 0)
    if by == 0:
        return question
    if name == "target":
        return replace(question, target=_next_target(question, by, system))
    if name == "run":
        return replace(question, run=_next_run(question.run, by, read, place))
    for line in question.lines:
        if line.number and name == line.field("run"):
            return with_line(question, replace(line, run=_next_run(line.run, by, read, place)))
    for line in question.tools:
        row = name.removeprefix(line.field("tip") + " ")
        if row != name and row.isascii() and row.isdigit() and int(row) < len(line.tips):
            tips = list(line.tips)
            tips[int(row)] = _next_tip(line, int(row), by, read, offers) or tips[int(row)]
            return with_line(question, replace(line, tips=tuple(tips)))
    return question


def steppers_of(question: Question, read: JobFile, place: int, offers: Offers, system: str) -> tuple[Stepper, ...]:
    """What may be stepped on: the target, the tips of each tool, each run at its end. [-]"""
    less = _next_target(question, -1, system) != question.target
    told = understood(question.target, question.dimension)
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
    for line in question.tools:
        if line.tool in read.job.tools:
            found += [_tip_stepper(line, row, read, offers, system) for row in range(len(line.tips))]
    runs = [("run", _("Hose run, at its end"), question.run)]
    for line in question.lines:
        if line.number:
            runs.append((line.field("run"), _("Hose run of branch {n}, at its end").format(n=line.number), line.run))
    for name, label, run in runs:
        at = _last_hose(run, read)
        if at is not None:
            found.append(_run_stepper(name, label, run, run[at], read, place, system))
    return tuple(found)


def _next_target(question: Question, by: int, system: str) -> str:
    kind = question.dimension
    unit, step = units.shown("L/min" if kind == "flow" else "bar", system), STEPS[kind, system]
    count = units.to(units.read(question.target, kind), unit) / step
    further = step * (math.floor(count + 1e-6) + 1 if by > 0 else math.ceil(count - 1e-6) - 1)
    return f"{further:.0f} {unit}" if further > 0.0 else question.target


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


def _next_tip(line: Line, row: int, by: int, read: JobFile, offers: Offers) -> str:
    """The next tip by the size of its hole, of which there are enough; "" where there is none."""
    ports = read.job.tools[line.tool].ports
    held = {
        tip: sum(port.count for port, other in zip(ports, line.tips, strict=True) if other == tip) for tip in line.tips
    }
    now = next((offer.area for offer in offers[line.tool] if offer.name == line.tips[row]), None)
    fits = [
        offer
        for offer in offers[line.tool]
        if offer.name != line.tips[row] and offer.pieces - held.get(offer.name, 0) >= ports[row].count
    ]
    if now is None:
        return str(fits[0 if by > 0 else -1].name) if fits else ""
    ways = [offer for offer in fits if (offer.area - now) * by > 1e-6 * now]
    return str(min(ways, key=lambda offer: (abs(offer.area - now), offer.name)).name) if ways else ""


def _tip_stepper(line: Line, row: int, read: JobFile, offers: Offers, system: str) -> Stepper:
    port, tip = read.job.tools[line.tool].ports[row], line.tips[row]
    bore = read.job.tips[tip].bore
    shown = _("rated") if bore is None else _("{bore} bore").format(bore=as_written(bore, "length", system))
    label = _("Tip in {tool}") if len(line.tips) == 1 else _("Tip in {tool}, row {n}")
    down, up = (_next_tip(line, row, by, read, offers) for by in (-1, 1))
    hints = (
        [shown]
        + ([_("next up {tip}").format(tip=up)] if up else [])
        + ([_("next down {tip}").format(tip=down)] if down else [])
    )
    name = f"{line.field('tip')} {row}"
    return Stepper(
        name,
        label.format(tool=line.tool, n=row + 1),
        f"{port.count} × {tip}",
        " · ".join(hints),
        f"{name} less" if down else "",
        f"{name} more" if up else "",
    )


def _run_stepper(
    act: str, label: str, run: Sequence[str], name: str, read: JobFile, place: int, system: str
) -> Stepper:
    count, left = run.count(name), _hoses_left(name, read, place)
    length = sum(read.job.hoses[item].length for item in run if item in read.job.hoses)
    more = (
        ngettext("{n} more in the yard", "{n} more in the yard", left).format(n=left)
        if left > 0
        else _("no more in the yard")
    )
    hint = _("{length} of hose in all").format(length=as_written(length, "length", system))
    return Stepper(
        act,
        label,
        f"{count} × {name}",
        f"{hint} · {more}",
        f"{act} less",
        f"{act} more" if left > 0 else "",
    )
