"""What a plan's page shows, put together once for the page, for its parts and for a question about it."""

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, TypeVar

from markupsafe import Markup

from jetwright.actions.called import called
from jetwright.actions.shown import beside_shown, plan_shown
from jetwright.actions.tries import try_for
from jetwright.errors import FileError
from jetwright.files.tables import as_json
from jetwright.report.wording import _, spoken
from jetwright.web.held import BusyError
from jetwright.web.jobs.models import Task
from jetwright.web.jobs.question import TARGETS, Question, tried
from jetwright.web.jobs.said import InTheWay, unread_before
from jetwright.web.jobs.signed import Signed, signed_of
from jetwright.web.jobs.what_if import REMEMBERED, SMALL, Asked, read_text
from jetwright.web.jobs.written import used_tables
from jetwright.web.people.models import Person
from jetwright.web.people.rights import RIGHTS
from jetwright.web.worker import WorkerLostError, WorkerTimeoutError, in_planner, in_worker

R = TypeVar("R")

NOTHING = InTheWay()
WIDE, PHONE = (720.0, 13.5), (340.0, 12.5)
"""Width of the two pictures of the pressure, and the height of their letters. [px]"""


@dataclass(frozen=True, slots=True)
class CureShown:
    """A cure in words; question: what to try for it with what the crew owns; None: that is nothing for a task."""

    words: str
    question: Question | None
    tries: str


@dataclass(frozen=True, slots=True)
class Answer:
    """The plan of a task, kept or asked.

    facts: in words, from `report.screen`; wide, phone: the picture; cures: None while nobody looked for them; cut: not
    every change was tried.
    """

    verdict: str
    facts: dict[str, Any]
    wide: Markup
    phone: Markup
    cures: tuple[CureShown, ...] | None
    cut: bool
    before: str


@dataclass(frozen=True, slots=True)
class Shown:
    """Everything a plan's page is drawn from.

    asked, answer: None where what is kept cannot be planned, and `way` says why; beside: what is kept and what is
    asked, line by line, where somebody wants to see both; tool_versions: of the yard's tools that other tips would be
    in, by the number of their line; told: what went wrong with an act; typed, wrong: a target that cannot be read and
    why, where the rest of the question is shown; unread_before: what is said of a draft before the task; oob: parts go
    out alone.
    """

    task: Task
    system: str
    asked: Asked | None
    answer: Answer | None
    way: InTheWay
    signed: Signed | None
    beside: tuple[tuple[str, str, str], ...]
    may_plan: bool
    may_sign: bool
    may_keep_yard: bool
    tool_versions: Mapping[int, int]
    also_in: tuple[str, ...]
    told: str = ""
    typed: str = ""
    wrong: str = ""
    unread_before: str = ""
    oob: bool = False

    @property
    def kept(self) -> bool:
        """Whether what is shown is what is kept. [-]"""
        return self.asked is None or self.asked.is_kept

    @property
    def may_keep(self) -> bool:
        """Whether the person may keep what is asked: other tips in a tool are the yard's. [-]"""
        refilled = self.asked is not None and bool(self.asked.refilled)
        return self.may_plan and (self.may_keep_yard or not refilled)


def answer_to(asked: Asked, system: str, cures: bool = False) -> Answer:
    """The plan of what is asked, in words and pictures; FileError where the rig is not physical. [-]

    cures: look for what would cure a refusal, which takes a second or two.
    """
    read, place = asked.read, asked.place
    names = (read.job.title, read.job.task[place].name)
    told = (*names, system, spoken(), (WIDE, PHONE))
    text, looked, lost = what_was_read(asked.text, *names), False, False
    plan = by_planner(plan_shown, text, *told)
    if cures and plan.verdict == "not_allowed":
        try:
            plan, looked = in_worker(plan_shown, text, *told, True), True
        except (WorkerTimeoutError, WorkerLostError):
            lost = True
    wide, phone = map(Markup, plan.pictures)
    return Answer(
        verdict=plan.verdict,
        facts=plan.facts | {"taken": [(called(key), value, why) for key, value, why in plan.facts["taken"]]},
        wide=wide,
        phone=phone,
        cures=tuple(_cure(asked, row, system) for row in plan.cures) if looked or lost else None,
        cut=lost or plan.cut,
        before=read.job.task[place - 1].name if place > 0 else "",
    )


def by_planner(function: Callable[..., R], *args: object) -> R:
    """What the process that plans answers; BusyError where too many ask it. [-]"""
    try:
        return in_planner(function, *args)
    except (WorkerTimeoutError, WorkerLostError) as error:
        raise BusyError from error


def what_was_read(text: str, job: str, task: str) -> str:
    """Of tables in JSON, what was read and its tasks use: no draft that cannot be read, no row without a use. [-]"""
    return _used_once(text, job, task) if len(text) <= SMALL else _used(text, job, task)


def _used(text: str, job: str, task: str) -> str:
    return json.dumps(used_tables(as_json(read_text(text, job, task)[0].written)))


_used_once = lru_cache(maxsize=REMEMBERED)(_used)


def shown_for(
    task: Task,
    person: Person,
    asked: Asked | None,
    answer: Answer | None,
    *,
    way: InTheWay = NOTHING,
    beside: bool = False,
    told: str = "",
    typed: str = "",
    wrong: str = "",
    oob: bool = False,
) -> Shown:
    """What a page of the plan shows to somebody. [-]"""
    aside = oob and asked is not None and not asked.is_kept  # what is signed has no say in a question's answer
    role = person.role_in(task.job.crew)
    role_may = {act: person.is_superuser or role in RIGHTS[act] for act in ("plan", "sign", "keep yard")}
    pieces = {line.number: tool_piece(task, line.tool) for line in (asked.refilled if asked else ())}
    return Shown(
        task=task,
        system=person.units,
        asked=asked,
        answer=answer,
        way=way,
        signed=None if asked is None or aside else signed_of(task.job, [task], asked.tables).get(task.pk),
        beside=beside_kept(asked, person.units) if asked is not None and beside and not asked.is_kept else (),
        may_plan=role_may["plan"],
        may_sign=role_may["sign"],
        may_keep_yard=role_may["keep yard"],
        tool_versions={number: piece.version for number, piece in pieces.items() if piece is not None},
        also_in=_also_in(asked),
        told=told,
        typed=typed,
        wrong=wrong,
        unread_before="" if asked is None else unread_before(task, asked.place),
        oob=oob,
    )


def beside_kept(asked: Asked, system: str) -> tuple[tuple[str, str, str], ...]:
    """What is kept and what is asked, line by line; nothing where what is kept cannot be planned. [-]"""
    names = (asked.read.job.title, asked.read.job.task[asked.place].name)
    try:
        ways = [what_was_read(text, *names) for text in (json.dumps(asked.tables), asked.text)]
        rows = by_planner(beside_shown, *ways, *names, system, spoken())
    except FileError:
        return ()
    return ((_(TARGETS[asked.kept.kind]), asked.kept.target, asked.question.target), *rows)


def tool_piece(task: Task, name: str) -> Any:
    """The tool of that name in the yard of the task's crew; None where it has none in use. [-]"""
    return task.job.crew.pieces.filter(kind="tool", name=name, retired_at=None).first()


def _also_in(asked: Asked | None) -> tuple[str, ...]:
    """Other tasks of the job that have a tool which other tips would be in. [-]"""
    if asked is None:
        return ()
    refilled = {line.tool for line in asked.refilled}
    return tuple(
        one.name
        for at, one in enumerate(asked.read.job.task)
        if at != asked.place and refilled & {one.tool, *(branch.tool for branch in one.branches)}
    )


def _cure(asked: Asked, row: Any, system: str) -> CureShown:
    one = try_for(asked.read, asked.place, row.cure)
    if one is None:
        return CureShown(row.words, None, "")
    question = tried(asked.question, one, system)
    words = _("Try {new} in place of {old}").format(new=one.new, old=one.old)
    if one.target is not None:
        words = _("Try {target}").format(target=question.target)
    return CureShown(row.words, question, words)
