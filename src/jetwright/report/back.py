"""The facts of a sheet's back: the change from the task before, and what the work does; if refused, only the stop."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from jetwright.plan.answer import TaskPlan
from jetwright.plan.change import ChangeCard
from jetwright.report.change_table import AGREED, change_rows
from jetwright.report.fit import fit_lines
from jetwright.report.goal import goal_lines, goal_notes
from jetwright.report.inlet import inlet_rows
from jetwright.report.pipe import pull_rows
from jetwright.report.steps import numbered, step_letter
from jetwright.report.strike import jet_notes, jet_rows, jet_title
from jetwright.report.surface import coverage_rows
from jetwright.report.terminal import GLUE, glued
from jetwright.report.usage import usage_lines
from jetwright.report.wording import _
from jetwright.rig.description import Job

UNBROKEN = "\u00a0"
"""Between a number and its unit on paper."""
Part = dict[str, Any]
"""Title, kind ("words", "figures", "differs", "steps"), heads, rows and notes."""


def back_facts(task: TaskPlan, job: Job, system: str = "si", card: ChangeCard | None = None) -> dict[str, Any]:
    """Everything that stands on the back of a task's sheet, in words. [-]

    Parameters
    ----------
    task : TaskPlan
        The task. [-]
    job : Job
        What was asked. [-]
    system : str
        "si" or "us". [-]
    card : ChangeCard or None
        From the task before; None: it is the first. [-]

    Examples
    --------
    >>> from dataclasses import replace
    >>> from jetwright.actions.plan import basis_for
    >>> from jetwright.plan.task import plan_job
    >>> from jetwright.rig.example import JOB
    >>> job = replace(JOB, task=(replace(JOB.task[0], planned_time=3600.0),))
    >>> [part["title"] for part in back_facts(plan_job(job, basis_for(job)).tasks[0], job)["sections"]]
    ['For the whole task']

    References
    ----------
    Our own layout.
    """
    refused = task.verdict == "not_allowed"
    first, across, way = None, [], []
    if card is not None:
        (words, lines), differs, *others = change_rows(card, job, system)
        first = {"words": words, "lines": [line for (line,) in lines], "warn": _warns(card)}
        across = [] if refused else [_way(*differs) | {"heads": ["", _("Before"), _("After")]}]
        way = [_way(title, rows) for title, rows in others]
    return {
        "under": _("Back of the job sheet"),
        "refused": _("Not allowed: nothing of this task is to be followed. The front says why.") if refused else "",
        "lettered": [] if card is None or refused else _lettered(task, card),
        "first": _on_paper(first),
        "across": _on_paper(across),
        "sections": _on_paper(
            [part for part in way if part["kind"] == "steps"] if refused else [*way, *_work(task, job, system)]
        ),
    }


def _lettered(task: TaskPlan, card: ChangeCard) -> list[tuple[str, str]]:
    """The letter of each step of the card, and its id where the task's way up has it too."""
    own = [step for _number, step in numbered(task.run_up)]
    return [(step_letter(place), step.id if step in own else "") for place, step in enumerate(card.steps)]


def _warns(card: ChangeCard) -> bool:
    """Whether what is left on passes what the new rig or its people bear."""
    left = card.left
    passed = any(limit.verdict in ("look", "not_allowed") for hold in card.holds for limit in hold.limits)
    return left is not None and (left.relief_opens or bool(card.below) or passed)


def _work(task: TaskPlan, job: Job, system: str) -> Iterator[Part]:
    """What the work does and uses, as far as anything is known of it."""
    yield from _part(_("Goal, and what the pressure is called"), goal_lines(task, job), goal_notes(task))
    heads, *jets = jet_rows(task, system)
    if jets:
        cells = [[_whole(cell) for cell in row] for row in jets]
        yield from _part(jet_title(task, system), cells, jet_notes(task.jets), kind="figures", heads=heads)
    yield from _part(_("Over the surface"), coverage_rows(task, job, system))
    yield from _part(_("In the pipe"), pull_rows(task, job, system))
    yield from _part(_("Water to the pump"), inlet_rows(task, job, system))
    yield from _part(_("For the whole task"), usage_lines(task, job, system))
    yield from _part(_("Reading at the proving point"), (), fit_lines(task, job, system, terminal=False))


def _part(
    title: str,
    rows: Sequence[Sequence[str]],
    notes: Sequence[str] = (),
    *,
    kind: str = "words",
    heads: Sequence[str] = (),
) -> Iterator[Part]:
    """A part of the page; none of nothing."""
    if rows or notes:
        yield {"title": title, "kind": kind, "heads": heads, "rows": rows, "notes": notes}


def _way(title: str, rows: Sequence[Sequence[str]]) -> Part:
    """A heading of the change card with what stands under it: a row of four cells is a step, of three a difference."""
    notes = [row[0] for row in rows if len(row) == 1 and row[0] != _(AGREED)]  # the foot of the page says it
    cells = [row for row in rows if len(row) > 1]
    kind = "steps" if any(len(row) == 4 for row in cells) else "differs"
    return {
        "title": title,
        "kind": kind if cells else "words",
        "heads": [],
        "rows": [_step(*row) for row in cells] if kind == "steps" else cells,
        "notes": notes,
    }


def _step(place: str, act: str, speed: str, gauge: str) -> Mapping[str, Any]:
    """A step as the front has it."""
    at = [speed] if speed else []
    return {"n": place, "act": act, "at": at, "note": "", "say": "", "gauge": gauge, "weighty": False}


def _whole(cell: str) -> str:
    """A figure that is broken before its spread, and nowhere else."""
    return cell.replace(" ", GLUE).replace(f"{GLUE}(", " (")


def _on_paper(told: Any) -> Any:
    """Words in which no number is parted from its unit."""
    if isinstance(told, str):
        return glued(told).replace(GLUE, UNBROKEN)
    if isinstance(told, Mapping):
        return {key: _on_paper(each) for key, each in told.items()}
    if isinstance(told, Sequence):
        return [_on_paper(each) for each in told]
    return told
