"""What stands in the way of planning a task, in words beside what it is about."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from uuid import UUID

from django.utils import timezone

from jetwright.actions.called import called
from jetwright.errors import FileError, Problem
from jetwright.report.wording import _
from jetwright.web.jobs.models import Task
from jetwright.web.jobs.written import place_of, read_alone
from jetwright.web.typed import words_of
from jetwright.web.yard.models import IN_A_RUN, Piece

RIG = ("hose_run", "tool", "branches")
"""Keys of a task's table that are put together from pieces."""


@dataclass(frozen=True, slots=True)
class InTheWay:
    """Problems as lines, by what they are about: the rig, the task's other facts, the job, the rows of the yard."""

    of_rig: tuple[str, ...] = ()
    of_facts: tuple[str, ...] = ()
    of_job: tuple[str, ...] = ()
    of_yard: tuple[str, ...] = ()

    @property
    def lines(self) -> tuple[str, ...]:
        """All of them. [-]"""
        return (*self.of_rig, *self.of_facts, *self.of_job, *self.of_yard)

    @property
    def any(self) -> bool:
        """Whether there is one. [-]"""
        return bool(self.of_rig or self.of_facts or self.of_job or self.of_yard)


def in_the_way(task: Task, pieces: Sequence[Piece] | None = None) -> InTheWay:
    """What stands in the way of planning a task; nothing, where it can be planned, or is retired. [-]

    pieces: what its crew has in use, where somebody has it already.
    """
    if task.retired_at is not None:
        return InTheWay()
    try:
        read_alone(task, pieces)
    except FileError as error:
        return sorted_out(error.problems, task)
    return InTheWay()


def unread_before(task: Task, place: int) -> str:
    """What is said of a task with a draft before it; "" where every task before it was read. [-]

    place: of the task among those that were read, from 0.
    """
    if place == place_of(task):
        return ""
    return _("A task before this one cannot be read, and what it leaves on is not known: finish it or retire it.")


def sorted_out(problems: Iterable[Problem], task: Task | None = None) -> InTheWay:
    """Problems as lines, by what they are about; of a task, what it names and is retired is said to be. [-]"""
    problems = list(problems)
    unknown = {problem.written for problem in problems if problem.code == "unknown_name" and problem.written}
    gone = retired_words(task.job.crew_id, unknown) if task is not None and unknown else {}
    lines: dict[str, list[str]] = {"rig": [], "facts": [], "job": [], "yard": []}
    for problem in problems:
        key = problem.key
        if key[:1] == ("task",) and len(key) > 2:
            lines["rig" if key[2] in RIG else "facts"].append(line(problem, gone))
        elif key[:1] == ("unit",) and len(key) == 1:
            lines["job"].append(_("Unit: none is named yet"))
        elif key and key[0] in ("unit", "hoses", "fittings", "tips", "tools"):
            lines["yard"].append(line(problem, gone))
        else:
            lines["job"].append(line(problem, gone))
    each = {name: tuple(dict.fromkeys(said)) for name, said in lines.items()}
    return InTheWay(each["rig"], each["facts"], each["job"], each["yard"])


def retired_words(crew: UUID, names: Iterable[str]) -> dict[tuple[str, str], str]:
    """When and why the pieces of these names were retired, by kind and name, of each the last. [-]"""
    rows = Piece.objects.filter(crew=crew, name__in=set(names)).exclude(retired_at=None).order_by("retired_at")
    return {
        (piece.kind, piece.name): _("retired on {day}: {why}").format(
            day=timezone.localtime(piece.retired_at).date().isoformat(), why=piece.retired_why or _("nobody said why")
        )
        for piece in rows
    }


def line(problem: Problem, gone: Mapping[tuple[str, str], str] = MappingProxyType({})) -> str:
    """One problem: what it is about, what was written, what is wrong. [-]"""
    plain = _plain().get((problem.code, str(problem.key[-1]) if problem.key else ""))
    if plain is not None:
        about = _("Branch {n}").format(n=int(problem.key[3]) + 1) if problem.key[2:3] == ("branches",) else ""
        return f"{about}: {plain}" if about else plain
    written = _("“{text}”").format(text=problem.written) if problem.written else ""
    kinds = {"tool": ("tool",), "tip": ("tip",)}.get(str(problem.facts.get("noun", "")), IN_A_RUN)
    retired = [gone[kind, problem.written] for kind in kinds if (kind, problem.written) in gone]
    words = retired[0] if problem.code == "unknown_name" and retired else words_of(problem)
    parts = (called(problem.key), written, words)
    return ": ".join(part for part in parts if part)


def _plain() -> Mapping[tuple[str, str], str]:
    """Code and last key → what a page says instead of what a file would be told."""
    tool = _("There is no tool yet: pick one for the end of the run.")
    asked = _("Nothing is asked for yet: give a pressure at the nozzle, one at the pump, or a flow.")
    return {
        ("no_tool", "tool"): tool,
        ("missing_key", "tool"): tool,
        ("missing_key", "target"): asked,
        ("no_target", "target"): asked,
        ("two_targets", "target"): _(
            "More than one thing is asked for: give a pressure at the nozzle, one at the pump, or a flow."
        ),
        ("missing_key", "supply"): _("The water supply is not described yet."),
    }
