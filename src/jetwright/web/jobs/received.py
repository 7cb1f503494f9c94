"""A job file into what a crew keeps: pieces of its yard, a job, and the job's tasks."""

import re
import tempfile
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import Any

from jetwright.errors import FileError, Problem
from jetwright.files.job import read_job
from jetwright.files.tables import as_json, thawed
from jetwright.files.texts import LARGEST, parse_tables
from jetwright.report.wording import N_
from jetwright.web.jobs.models import Job, Task
from jetwright.web.people.models import Crew
from jetwright.web.signs import one_line, same_name, unread
from jetwright.web.yard.models import IN_A_RUN, OF_A_UNIT, Piece
from jetwright.web.yard.tables import GROUPS, unit_parts

LONGEST_JOB, LONGEST_PIECE = 120, 80
"""Most signs of a job's or a task's name, and of a piece's."""
MOST_TASKS = 100
"""Most tasks in use of a job: so many are planned in some seconds."""

STATES = {
    "new": N_("new in the yard"),
    "same": N_("as in the yard"),
    "differs": N_("differs from the yard; the yard's own row stays"),
    "taken": N_("a hose or a fitting of the yard has this name already"),
}
"""How a row of a file stands to the yard → in words."""


@dataclass(frozen=True, slots=True)
class Row:
    """A piece that a file describes; on: name of the unit it sits on; state: a key of `STATES`."""

    kind: str
    name: str
    spec: dict[str, Any]
    on: str = ""
    state: str = "new"


@dataclass(frozen=True, slots=True)
class Received:
    """A job file taken apart; spec and tasks as the models keep them."""

    title: str
    day: date | None
    spec: dict[str, Any]
    unit: str
    rows: tuple[Row, ...]
    tasks: tuple[tuple[str, dict[str, Any]], ...]

    @property
    def readings(self) -> list[dict[str, Any]]:
        """What gauges showed, as it is written: each with its task and its day; a plan of that task uses it. [-]"""
        readings: list[dict[str, Any]] = self.spec.get("reading", [])
        return readings

    def named_too_long(self) -> list[str]:
        """The names that have no room. [-]"""
        long = [name for name in (self.title, *(name for name, _ in self.tasks)) if len(name) > LONGEST_JOB]
        return long + [row.name for row in self.rows if len(row.name) > LONGEST_PIECE]

    def unread(self) -> list[tuple[str, str]]:
        """The names that cannot be read, as far as they can, each with what is wrong with it. [-]"""
        names = (self.title, *(name for name, _ in self.tasks), *(row.name for row in self.rows))
        return [(one_line(name), unread(name)) for name in names if unread(name)]

    def beside(self, crew: Crew) -> "Received":
        """The same, with each row compared with the crew's yard. [-]"""
        owned = _owned(crew)
        rows = []
        for row in self.rows:
            found = owned.get(_place(row.kind, row.name, row.on))
            if found is None:
                state = "differs" if _place("unit", row.on) in owned else "new"  # such a unit has its own, or none
            elif found.kind != row.kind:
                state = "taken"
            else:
                state = "same" if found.spec == row.spec else "differs"
            rows.append(replace(row, state=state))
        return replace(self, rows=tuple(rows))


class SiteRulesError(ValueError):
    """A job file names rules of a site, which lie beside a file and nowhere else."""


def read_texts(job: str, yard: str = "") -> Received:
    """A job file's text, and its yard file's, taken apart; FileError with every problem, files by their names. [-]"""
    top = _top(job)
    if "site_rules" in top:
        raise SiteRulesError
    with tempfile.TemporaryDirectory() as made:
        folder = Path(made)
        path = folder / "job.toml"
        path.write_text(job, encoding="utf-8", newline="")
        if yard:
            _put_beside(folder, str(top.get("yard", "")), yard)
        try:
            read = read_job(path)
        except FileError as error:
            raise FileError([_named(problem, folder) for problem in error.problems]) from error
    return taken_apart(as_json(thawed(read.written)))


def taken_apart(tables: Mapping[str, Any]) -> Received:
    """A job's tables, in JSON, into rows of a yard, a job and tasks. [-]"""
    unit, carried = unit_parts(tables["unit"])
    name = tables["unit"]["name"]
    rows = [Row("unit", name, unit), *(Row(kind, of, spec, name) for kind, of, spec in carried)]
    rows += [Row(kind, named, spec) for kind, group in GROUPS.items() for named, spec in tables.get(group, {}).items()]
    kept = {"title", "date", "yard", "unit", "task", *GROUPS.values()}
    names: list[str] = []
    for task in tables["task"]:  # two that differ in capitals alone stay: readings name them
        names.append(unused_name(task["name"], names) if task["name"] in names else task["name"])
    return Received(
        title=tables["title"],
        day=date.fromisoformat(tables["date"]) if "date" in tables else None,
        spec={key: value for key, value in tables.items() if key not in kept},
        unit=name,
        rows=tuple(rows),
        tasks=tuple(
            (name, {key: value for key, value in task.items() if key != "name"})
            for name, task in zip(names, tables["task"], strict=True)
        ),
    )


def put_in(crew: Crew, received: Received) -> Job:
    """Keep a job with its tasks, and the pieces that the yard lacks; the caller holds the crew. [-]"""
    owned = _owned(crew)
    added = []
    for row in received.beside(crew).rows:
        if row.state == "new":
            on = owned[_place("unit", row.on)] if row.on else None
            piece = Piece(crew=crew, kind=row.kind, name=row.name, spec=row.spec, on=on)
            piece.note_test()
            added.append(piece)
            owned[_place(row.kind, row.name, row.on)] = piece
    Piece.objects.bulk_create(added)
    unit = owned[_place("unit", received.unit)]
    job = Job.objects.create(crew=crew, name=received.title, unit=unit, spec=received.spec, day=received.day)
    for place, (name, spec) in enumerate(received.tasks):
        Task.objects.create(job=job, name=name, place=place, spec=spec)
    return job


def unused_name(name: str, names: Iterable[str]) -> str:
    """The name, with a number behind it where it is taken. [-]"""
    there = set(map(same_name, names))
    stem = re.sub(r" \(\d+\)$", "", name)
    numbers = (f"{stem[: LONGEST_JOB - 6]} ({number})" for number in range(2, len(there) + 3))
    return name if same_name(name) not in there else next(made for made in numbers if same_name(made) not in there)


def _owned(crew: Crew) -> dict[tuple[str, str, str], Piece]:
    pieces = Piece.objects.filter(crew=crew).in_use().select_related("on")
    return {_place(piece.kind, piece.name, piece.on.name if piece.on else ""): piece for piece in pieces}


def _place(kind: str, name: str, on: str = "") -> tuple[str, str, str]:
    """Where a job file would find a piece: a hose run looks for hoses and fittings in one place."""
    return IN_A_RUN[0] if kind in IN_A_RUN else kind, name, on if kind in OF_A_UNIT else ""


def _put_beside(folder: Path, named: str, yard: str) -> None:
    """The yard's text where the job's says that it lies, inside the folder; else in a file that it does not name."""
    try:
        path = _beside(folder, named)
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(yard, encoding="utf-8", newline="")
    except OSError:  # a name that no file can have
        (folder / "yard.toml").write_text(yard, encoding="utf-8", newline="")


def _beside(folder: Path, named: str) -> Path:
    path = (folder / named).resolve() if named.isprintable() else folder
    if not path.is_relative_to(folder.resolve()) or path in (folder.resolve(), folder.resolve() / "job.toml"):
        return folder / "yard.toml"
    return path


def _top(job: str) -> dict[str, Any]:
    """The keys of a text that is TOML; none of one that is not, or is larger than a job file may be."""
    if len(job.encode()) > LARGEST:
        return {}
    try:
        return parse_tables(job.replace("\r\n", "\n"), "job.toml").data
    except FileError:
        return {}


def _named(problem: Problem, folder: Path) -> Problem:
    return replace(problem, file=Path(problem.file).name if problem.file else "")
