"""The facts of a plan's page: what stands on the sheet, and what a page has room for beside it."""

import math
from dataclasses import dataclass, replace
from typing import Any

from jetwright import units
from jetwright.limits.limit import Cure, Limit, Verdict
from jetwright.plan.answer import Plan, TaskPlan
from jetwright.plan.tip_answer import TipChoice
from jetwright.report.back import back_facts
from jetwright.report.figures import figure, printed
from jetwright.report.gauge import gauge_figure
from jetwright.report.limits import filled, limit_figures, limit_title, margin_words, standing_words
from jetwright.report.plan_table import reach_words, state_rows
from jetwright.report.remedies import cure_words, distinct, remedy_sentence
from jetwright.report.sheet import screen_facts
from jetwright.report.terminal import for_a_page
from jetwright.report.tips_table import (
    against_words,
    best_notes,
    judged_lines,
    left_out_lines,
    missed_lines,
    refusal_words,
    tips_words,
)
from jetwright.report.wording import _, force, speed_words, spoken, taken_words, verdict_words
from jetwright.rig.description import Job

MARK = 0.75
"""Place of the bound on a limit's bar; of one that must stay above it, as far from the other end. [-]"""
WORST_FIRST: tuple[Verdict, ...] = ("not_allowed", "look", "within")
MOST_POINTS = 8
"""Openings of the bypass that are shown, the last ones before the target."""


@dataclass(frozen=True, slots=True)
class LimitRow:
    """One limit in words; share: how far its bar is filled, 1 is the whole bar; None: it has none."""

    id: str
    verdict: Verdict
    word: str
    title: str
    figures: str
    margin: str
    source: str
    remedy: str
    share: float | None
    least: bool


@dataclass(frozen=True, slots=True)
class CureRow:
    """One change that cures a refused task, in words."""

    words: str
    cure: Cure


@dataclass(frozen=True, slots=True)
class TipRow:
    """One way to fill a tool, in words; tips: names row by row of the tool's ports, where they fit these; else None."""

    words: str
    verdict: Verdict
    power: str
    flow: str
    push: str
    gauge: str
    speed: str
    why: str
    tips: tuple[str, ...] | None
    as_now: bool


def page_facts(plan: Plan, task: TaskPlan, job: Job, system: str, place: int) -> dict[str, Any]:
    """Everything that a plan's page says of a task, but for its picture. [-]

    Parameters
    ----------
    plan : Plan
        The answer. [-]
    task : TaskPlan
        One of its tasks. [-]
    job : Job
        What was asked. [-]
    system : str
        "si" or "us". [-]
    place : int
        Which task of the job it is, from 0. [-]

    Examples
    --------
    >>> from jetwright.actions.plan import basis_for
    >>> from jetwright.plan.task import plan_job
    >>> from jetwright.rig.example import JOB
    >>> plan = plan_job(JOB, basis_for(JOB))
    >>> page_facts(plan, plan.tasks[0], JOB, "si", 0)["rows"][0].verdict
    'look'

    References
    ----------
    Our own layout.
    """
    facts = screen_facts(plan, task, job, system, place)
    several = len(task.tools) > 1
    facts |= {
        "rows": limit_rows(task, job, system),
        "work": back_facts(task, job, system)["sections"],
        "reach": for_a_page(reach_words(task, job, system)),
        "states": [[for_a_page(cell) for cell in row] for row in state_rows(task, job.unit.gauge, system)]
        if several and task.states and task.verdict != "not_allowed"
        else [],
        "taken": [(taken.key, *map(for_a_page, taken_words(taken, system))) for taken in task.taken_as],
        "quoted": "" if spoken() == "en" else _("Sources are quoted as they are written."),
        "points": opening_points(task, system),
        "axes": (
            _("open, {unit}").format(unit=printed("mm2", system)),
            _("gauge, {unit}").format(unit=printed("bar", system)),
        ),
    }
    return facts


def limit_rows(task: TaskPlan, job: Job, system: str = "si") -> list[LimitRow]:
    """The limits that were judged, the worst first. [-]

    Parameters
    ----------
    task : TaskPlan
        The task. [-]
    job : Job
        What was asked. [-]
    system : str
        "si" or "us". [-]

    Examples
    --------
    >>> from jetwright.actions.plan import basis_for
    >>> from jetwright.plan.task import plan_job
    >>> from jetwright.rig.example import JOB
    >>> rows = limit_rows(plan_job(JOB, basis_for(JOB)).tasks[0], JOB)
    >>> [row.figures for row in rows if row.id == "pump.speed"]
    ['177 of 520 rpm']

    References
    ----------
    Our own layout: the bound is at one mark, and what must stay above its bound is filled past it.
    """
    judged = [(limit, filled(limit)) for limit in task.limits if limit.verdict != "not_judged"]
    judged.sort(key=_rank)
    alone = len(task.tools) <= 1
    return [
        LimitRow(
            id=limit.id,
            verdict=limit.verdict,
            word=verdict_words(limit.verdict),
            title=limit_title(limit, alone=alone),
            figures=for_a_page(limit_figures(limit, system)),
            margin=for_a_page(margin_words(limit, system)),
            source=standing_words(limit),
            remedy="" if limit.verdict == "within" else for_a_page(remedy_sentence(limit, system, job.unit)),
            share=_share(limit, used),
            least=limit.least,
        )
        for limit, used in judged
    ]


def cure_rows(task: TaskPlan, job: Job, system: str = "si") -> list[CureRow]:
    """What would cure a refused task, each solved again, without repetition. [-]

    Parameters
    ----------
    task : TaskPlan
        The task. [-]
    job : Job
        What was asked. [-]
    system : str
        "si" or "us". [-]

    Examples
    --------
    >>> from jetwright.actions.plan import basis_for
    >>> from jetwright.plan.task import plan_job
    >>> from jetwright.rig.example import JOB
    >>> cure_rows(plan_job(JOB, basis_for(JOB)).tasks[0], JOB)
    []

    References
    ----------
    Our own convention.
    """
    found = distinct([cure for limit in task.limits if limit.verdict == "not_allowed" for cure in limit.cures])
    return [CureRow(for_a_page(_opened(cure_words(cure, system, job.unit), cure)), cure) for cure in found]


def opening_points(task: TaskPlan, system: str = "si") -> list[tuple[float, float]]:
    """Openings of the bypass at start speed, and what the gauge then shows: the last ones of the run-up. [mm², bar]

    Parameters
    ----------
    task : TaskPlan
        The task. [-]
    system : str
        "si", or "us" for in² and psi. [-]

    Examples
    --------
    >>> from jetwright.plan.answer import ProvingPoint, Setting, StepAt
    >>> step = StepAt("run-up", "x", "", "", None, "open", None, None, None, None, {"openings": ((2e-5, 6.0, 1e7),)})
    >>> setting = Setting(None, None, None, None, "closed", 0.0, 0.0)
    >>> point = ProvingPoint(2.0, 0.0, 1e7)
    >>> opening_points(TaskPlan("Bund", "look", setting, point, (), (), None, None, (), (), run_up=(step,)))
    [(20.0, 100.0)]

    References
    ----------
    Our own layout.
    """
    if task.verdict == "not_allowed":
        return []
    found: dict[float, float] = {}
    for step in task.run_up:
        rows = step.facts.get("openings")
        for area, _turns, pressure in rows if isinstance(rows, tuple) else ():
            found[area] = pressure
    area_unit, pressure_unit = units.shown("mm2", system), units.shown("bar", system)
    points = [(round(units.to(area, area_unit), 5), round(units.to(p, pressure_unit), 1)) for area, p in found.items()]
    return points[-MOST_POINTS:]


def tip_rows(choice: TipChoice, job: Job, system: str = "si") -> list[TipRow]:
    """The best ways to fill the tool of a task, the most jet power first. [-]

    Parameters
    ----------
    choice : TipChoice
        Of the task. [-]
    job : Job
        What was asked. [-]
    system : str
        "si" or "us". [-]

    Examples
    --------
    >>> from jetwright.actions.plan import basis_for
    >>> from jetwright.plan.tip_order import Wish
    >>> from jetwright.plan.tips import choose_tips
    >>> from jetwright.rig.example import JOB
    >>> [row.words for row in tip_rows(choose_tips(JOB, 0, basis_for(JOB), Wish()), JOB)]
    ['1 × R12']

    References
    ----------
    Our own layout.
    """
    ports = job.tools[choice.tool].ports
    places = [replace(port, tip="") for port in ports]
    found = []
    for way in choice.best:
        fits = [replace(port, tip="") for port in way.ports] == places
        push = _("back {force}") if way.recoil >= 0.0 else _("forward {force}")
        found.append(
            TipRow(
                words=tips_words(choice.places, way.tips),
                verdict=way.verdict,
                power=figure(way.jet_power, "kW", system),
                flow=figure(way.flow, "L/min", system),
                push=push.format(force=force(abs(way.recoil), system)),
                gauge=gauge_figure(way.pump_pressure, job.unit.gauge, system),
                speed="–" if way.pump_speed is None else speed_words(way.pump_speed, job.unit),
                why=for_a_page(against_words(way, choice.best[0], system)),
                tips=tuple(port.tip for port in way.ports) if fits else None,
                as_now=way.as_now,
            )
        )
    return found


def tip_notes(choice: TipChoice, system: str = "si") -> list[str]:
    """What is said below the best ways: the first within limits by its number, and what was not judged. [-]

    Parameters
    ----------
    choice : TipChoice
        Of the task. [-]
    system : str
        "si" or "us". [-]

    Examples
    --------
    >>> from jetwright.actions.plan import basis_for
    >>> from jetwright.plan.tip_order import Wish
    >>> from jetwright.plan.tips import choose_tips
    >>> from jetwright.rig.example import JOB
    >>> [note.partition(":")[0] for note in tip_notes(choose_tips(JOB, 0, basis_for(JOB), Wish()))]
    ['Not judged, and so to be looked at first']

    References
    ----------
    Our own convention.
    """
    return [for_a_page(note) for note in best_notes(choice, system)]


def tip_reasons(choice: TipChoice, system: str = "si") -> tuple[list[str], list[str]]:
    """Why sizes of the box are not listed, and what was judged. [-]

    Parameters
    ----------
    choice : TipChoice
        Of the task. [-]
    system : str
        "si" or "us". [-]

    Examples
    --------
    >>> from jetwright.actions.plan import basis_for
    >>> from jetwright.plan.tip_order import Wish
    >>> from jetwright.plan.tips import choose_tips
    >>> from jetwright.rig.example import JOB
    >>> missed, judged = tip_reasons(choose_tips(JOB, 0, basis_for(JOB), Wish()))
    >>> missed, len(judged)
    ([], 2)

    References
    ----------
    Our own convention.
    """
    missed = missed_lines(choice) + left_out_lines(choice.left_out)
    return list(map(for_a_page, missed)), list(map(for_a_page, judged_lines(choice, system)))


def beside_rows(
    one: tuple[TaskPlan, Job], other: tuple[TaskPlan, Job], system: str = "si"
) -> list[tuple[str, str, str]]:
    """Two ways of one task in a few lines: what it is, in the one, in the other. [-]

    Parameters
    ----------
    one : tuple
        The plan of the task, and the job that it was planned in. [-]
    other : tuple
        The same otherwise. [-]
    system : str
        "si" or "us". [-]

    Examples
    --------
    >>> from jetwright.actions.plan import basis_for
    >>> from jetwright.plan.task import plan_job
    >>> from jetwright.rig.example import JOB
    >>> way = plan_job(JOB, basis_for(JOB)).tasks[0], JOB
    >>> beside_rows(way, way)[0]
    ('Verdict', 'look first', 'look first')

    References
    ----------
    Our own layout.
    """
    labels = (
        _("Verdict"),
        _("Gauge"),
        _("Pump speed"),
        _("Flow of the jets"),
        _("Recoil"),
        _("Worst limit"),
        _("Water in a minute"),
    )
    return list(zip(labels, _told(*one, system), _told(*other, system), strict=True))


def _told(task: TaskPlan, job: Job, system: str) -> list[str]:
    """A plan in a few words, in the order of `beside_rows`."""
    setting, used = task.setting, None if task.use is None else task.use.water
    pushed = max((math.hypot(tool.recoil, tool.recoil_side) for tool in task.tools), default=None)
    worst = next(iter(limit_rows(task, job, system)), None)
    return [
        verdict_words(task.verdict),
        "–" if setting.pump_pressure is None else gauge_figure(setting.pump_pressure, job.unit.gauge, system),
        "–" if setting.pump_speed is None else speed_words(setting.pump_speed, job.unit),
        figure(sum(tool.flow for tool in task.tools), "L/min", system) if task.tools else "–",
        "–" if pushed is None else force(pushed, system),
        "–" if worst is None else f"{worst.word}: {worst.title}, {worst.figures}".removesuffix(", "),
        "–" if used is None else figure(60.0 * used, "L", system),
    ]


def tips_refused(choice: TipChoice) -> list[str]:
    """Which limits refuse every way, where no tips of the box are allowed. [-]

    Parameters
    ----------
    choice : TipChoice
        Of the task. [-]

    Examples
    --------
    >>> from jetwright.actions.plan import basis_for
    >>> from jetwright.plan.tip_order import Wish
    >>> from jetwright.plan.tips import choose_tips
    >>> from jetwright.rig.example import JOB
    >>> tips_refused(choose_tips(JOB, 0, basis_for(JOB), Wish()))
    []

    References
    ----------
    Our own convention.
    """
    if choice.nothing is None:
        return []
    return [for_a_page(_capital(refusal_words(refusal))) for refusal in choice.nothing.refusals]


def _rank(one: tuple[Limit, float | None]) -> tuple[int, float]:
    limit, used = one
    nearest = -math.inf if used is None and limit.verdict != "within" else -(used or 0.0)
    return WORST_FIRST.index(limit.verdict), nearest


def _share(limit: Limit, used: float | None) -> float | None:
    if used is None:
        return None
    return min(1.0, (1.0 - MARK) / max(used, 1e-3) if limit.least else MARK * used)


def _opened(words: str, cure: Cure) -> str:
    """A cure that stands by itself begins as a sentence does; the name of a tool stays as it is on its tag."""
    return words if cure.kind == "holder" else _capital(words)


def _capital(words: str) -> str:
    return f"{words[:1].upper()}{words[1:]}"
