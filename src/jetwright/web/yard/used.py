"""Where a piece is used: on which unit, in which tool, in which tasks of which jobs."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from jetwright.web.jobs.models import Job, Task
from jetwright.web.yard.models import IN_A_RUN, Piece


@dataclass(frozen=True, slots=True)
class Use:
    """What names a piece: a job, with those of its tasks that do; or a piece of the yard, a tool its tip, say."""

    job: Job | None = None
    tasks: tuple[Task, ...] = ()
    piece: Piece | None = None


def used_by(piece: Piece, name: str = "") -> list[Use]:
    """The tools, units, jobs and tasks in use that name a piece, by the name it has or had. [-]"""
    name = name or piece.name
    tools = list(Piece.objects.filter(crew=piece.crew, kind="tool").in_use()) if piece.kind == "tip" else []
    tools = [tool for tool in tools if name in _tips(tool.spec)]
    uses = [Use(piece=tool) for tool in tools]
    jobs = Job.objects.filter(crew=piece.crew, retired_at=None)
    unit = piece if piece.kind == "unit" else piece.on
    if piece.kind == "kit" and unit is not None and unit.spec.get("pump", {}).get("kit") == name:
        uses.append(Use(piece=unit))
    if piece.kind not in ("hose", "fitting", "tool", "tip"):
        return uses + ([Use(job) for job in jobs.filter(unit=unit)] if unit is not None else [])
    names = {tool.name for tool in tools} if piece.kind == "tip" else {name}
    key = "hose_run" if piece.kind in IN_A_RUN else "tool"
    found: dict[Any, list[Task]] = {}
    for task in Task.objects.filter(job__in=jobs, retired_at=None).select_related("job"):
        if names & set(_named(task.spec, key)):
            found.setdefault(task.job, []).append(task)
    return uses + [Use(job, tuple(tasks)) for job, tasks in found.items()]


def _named(spec: dict[str, Any], key: str) -> Iterable[str]:
    for run in (spec, *rows_of(spec.get("branches"))):
        value = run.get(key)
        yield from [value] if isinstance(value, str) else _texts(value)


def _tips(spec: dict[str, Any]) -> set[str]:
    return {str(port.get("tip", "")) for port in rows_of(spec.get("ports"))}


def rows_of(value: object) -> list[dict[str, Any]]:
    """The tables of a list; none, where it is no list. [-]"""
    return [row for row in value if isinstance(row, dict)] if isinstance(value, list) else []


def _texts(value: object) -> list[str]:
    return [one for one in value if isinstance(one, str)] if isinstance(value, list) else []
