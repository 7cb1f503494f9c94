"""Which tips of the box fill a task's tool best: the most jet power first, each judged in full, the refused counted."""

from collections.abc import Callable
from dataclasses import replace

from jetwright.errors import NotServedError, Problem, RigError
from jetwright.plan.basis import Basis
from jetwright.plan.no_tips import nothing_of
from jetwright.plan.setting import target_of
from jetwright.plan.tip_answer import Edge, Nothing, TipChoice, TipsPlan
from jetwright.plan.tip_box import Box, box_of
from jetwright.plan.tip_budget import LEAST_SHARE, LOOKS, WORK, Budget, judging_work
from jetwright.plan.tip_judging import Known
from jetwright.plan.tip_missed import missed_of
from jetwright.plan.tip_order import Ways, Wish
from jetwright.plan.tip_search import further, search
from jetwright.plan.tip_window import Border, Window, window_of
from jetwright.rig.check import check
from jetwright.rig.description import Job
from jetwright.solve.fill import combinations
from jetwright.solve.steady import reach

FEWEST = 60.0
"""Work up to which every way is judged, whatever it pushes: there are some forty of a tool with one trigger."""
BORDERS = 10
"""Judgements that must be to spare before it is looked for where all limits refuse whatever the tips."""
FOR_NOTHING = 0.3
"""Share of the budget, besides, for what is said where nothing is allowed."""


def tips_for_job(
    job: Job,
    basis: Basis,
    wish: Wish,
    *,
    task: str | None = None,
    branch: int | None = None,
    on_task: Callable[[str], None] | None = None,
) -> TipsPlan:
    """The best tips for each task of a job, or for the one named. [-]

    Parameters
    ----------
    job : Job
        As described. [-]
    basis : Basis
        What is judged by. [-]
    wish : Wish
        How many ways, and what is asked besides the limits. [-]
    task : str | None
        Name of the only task wanted. [-]
    branch : int | None
        Whose tool is filled, from 1; the target's when not given. [-]
    on_task : Callable | None
        Told each task's name before its tips are looked for. [-]

    Raises
    ------
    RigError
        When no task has that name or no such branch, or when no port of the tool can do what is wished.

    Examples
    --------
    >>> from jetwright.actions.plan import basis_for
    >>> from jetwright.rig.example import JOB
    >>> tips_for_job(JOB, basis_for(JOB), Wish()).tasks[0].best[0].tips
    (('R12',),)

    References
    ----------
    docs/commands.md.
    """
    chosen = [index for index, described in enumerate(job.task) if task is None or described.name == task]
    if not chosen:
        facts: dict[str, object] = {"table": "task", "known": [described.name for described in job.task]}
        raise RigError([Problem(("task",), "unknown_name", task or "", facts)])
    problems = [problem for index in chosen for problem in _unfillable(job, index, wish, branch)]
    if problems:
        raise RigError(problems)
    found: list[TipChoice] = []
    whole = Budget()
    for index in chosen:
        if on_task is not None:
            on_task(job.task[index].name)
        share = whole.part(1.0 / (len(chosen) - len(found)))
        looks, work = max(share.looks, round(LEAST_SHARE * LOOKS)), max(share.work, LEAST_SHARE * WORK)
        budget = Budget(looks, work)
        found.append(choose_tips(job, index, basis, wish, branch, budget))
        whole.looks, whole.work = whole.looks + budget.looks - looks, whole.work + budget.work - work
    return TipsPlan(job.title, basis.rules, tuple(found), basis)


def _unfillable(job: Job, index: int, wish: Wish, branch: int | None) -> list[Problem]:
    """What a task's tool cannot do, whatever tips are in it."""
    count = max(1, len(job.task[index].branches))
    if branch is not None and branch > count:
        return [Problem(("task", index, "branches"), "no_such_branch", facts={"count": count})]
    box = box_of(job, index, branch)
    key = ("tools", box.tool, "ports")
    found = []
    if wish.least_pull is not None and not any(places.share < 0.0 for places in box.places):
        found.append(Problem(key, "nothing_points_back"))
    if wish.least_torque is not None and not any(places.lever != 0.0 for places in box.places):
        found.append(Problem(key, "nothing_turns"))
    return found


def choose_tips(
    job: Job, index: int, basis: Basis, wish: Wish, branch: int | None = None, budget: Budget | None = None
) -> TipChoice:
    """The best tips for the tool of a task. [-]

    Ways to fill the tool come in order of the jet power at the target, every limit is judged in full for each, and
    those that are not refused are kept until there are as many as wished. So each way better than the first was refused
    by a limit that is named, or lies beyond an edge at which one refuses whatever tips are taken.

    Parameters
    ----------
    job : Job
        As described. [-]
    index : int
        Which task, from 0. [-]
    basis : Basis
        What is judged by. [-]
    wish : Wish
        How many ways, and what is asked besides the limits. [-]
    branch : int | None
        Whose tool is filled, from 1; the target's when not given. [-]
    budget : Budget | None
        What it may take; what is left of it is left there. A whole one when not given. [-]

    Examples
    --------
    >>> from dataclasses import replace
    >>> from jetwright.actions.plan import basis_for
    >>> from jetwright.rig.description import Tip
    >>> from jetwright.rig.example import JOB
    >>> more = dict(JOB.tips) | {"R10": Tip(1.0e-3, "rounded"), "R30": Tip(3.0e-3, "rounded")}
    >>> choice = choose_tips(replace(JOB, tips=more), 0, basis_for(JOB), Wish())
    >>> [way.tips for way in choice.best], choice.refused[0].id
    ([(('R12',),), (('R10',),)], 'pump.speed')

    References
    ----------
    docs/commands.md.
    """
    box, name = box_of(job, index, branch), job.task[index].name
    rig = check(job, index)
    budget = budget or Budget()
    later = budget.part(FOR_NOTHING)
    ways = Ways(box, basis, wish, budget=budget)
    choice = TipChoice(
        name=name,
        tool=box.tool,
        branch=box.number,
        branches=tuple(at for at, one in enumerate(rig.branches, start=1) if one.tool_name == box.tool),
        target=target_of(rig),
        wish=wish,
        better=ways.better,
        places=box.places,
        offers=box.offers,
        left_out=box.left_out,
        also_in=tuple(
            other.name
            for at, other in enumerate(job.task)
            if at != index and box.tool in (other.tool, *(one.tool for one in other.branches))
        ),
    )
    if not box.offers:
        return replace(choice, nothing=Nothing())
    count = combinations(box.ports(box.span))
    window = Window(*box.span)
    if count * judging_work(rig) <= FEWEST:
        ways = replace(ways, every=True)
    else:
        window = window_of(box, basis, budget, rough=budget.work < BORDERS * judging_work(rig, push=False))
        ways = replace(ways, box=box.at_most(window.high))
    known: Known = {}
    found = search(ways, window, known)
    if not found.proven and not found.best:
        left = further(ways, window)
        if left is not None:
            found.best = search(ways, left, known).best
    ways = replace(ways, box=box, budget=later)
    if not found.judged:
        some = replace(ways, proven=True)
        if some.first_found(box.span, largest=False) is None:
            return replace(choice, ways=0 if some.proven else count, proven=some.proven, nothing=Nothing())
    choice = replace(
        choice,
        ways=count,
        judged=found.judged,
        best=found.best,
        refused=found.refusals(found.before),
        between=found.between,
        small=_edge(box, window.small, 1),
        large=_edge(box, window.large, -1),
        cap=ways.cap,
        proven=found.proven,
        missed=missed_of(box, found.best, known, wish, window),
    )
    return choice if found.best else replace(choice, nothing=nothing_of(ways, window, found, known))


def _edge(box: Box, border: Border | None, inward: int) -> Edge | None:
    """What the last area that is not refused means at the tool."""
    if border is None:
        return None
    rig = check(box.of_area(border.area + inward), box.index)
    try:
        line = reach(rig, *target_of(rig)).lines[box.number - 1]
    except NotServedError:
        return Edge(border.ids, None, None)
    return Edge(border.ids, line.jets / rig.water.reference_density, line.nozzle)
