"""What a gauge reading says about a rig, and the reading kept in the job file."""

import dataclasses
import datetime
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from pathlib import Path

from jetwright.actions.plan import basis_for
from jetwright.errors import FileError, NotServedError, Problem, RigError
from jetwright.files.job import JobFile, read_job
from jetwright.files.layout import difference, replace_whole
from jetwright.files.model import nearest, parse
from jetwright.files.readings import with_reading
from jetwright.files.shapes import JOB, shape_at
from jetwright.limits.limit import Limit
from jetwright.plan.answer import Plan, ProvingPoint
from jetwright.plan.assess import assess
from jetwright.plan.basis import Basis
from jetwright.plan.fit import Fitted, fit_of, reading_problems
from jetwright.plan.proving import proving_point
from jetwright.plan.same_rig import taken_with
from jetwright.plan.setting import Machine, machine_for, target_of
from jetwright.rig.check import CheckedRig, check, problems_of
from jetwright.rig.description import Job, Reading

ROW = shape_at(JOB, ("reading", 0))


@dataclass(frozen=True, slots=True)
class Fits:
    """Readings of a job, each with what it says; plan: the day and the rules, without a task.

    row: of one that is not in the job file, as it would be written; empty where they stand in it.
    """

    plan: Plan
    read: JobFile
    found: tuple[Fitted, ...]
    row: Mapping[str, str | datetime.date] = field(default_factory=dict)

    @property
    def job(self) -> Job:
        """As described. [-]"""
        return self.read.job

    @property
    def hold(self) -> bool:
        """Whether every one holds. [-]"""
        return all(one.holds for one in self.found)


@dataclass(frozen=True, slots=True)
class Adopted:
    """A job file's text before and after a reading was kept in it, to the byte, and whether it replaced another."""

    path: str
    before: str
    after: str
    replaced: bool

    def diff(self) -> str:
        """What changes, line by line, as `diff -u` shows it. [-]"""
        return difference(self.path, self.before, self.after)


def held_readings(path: str | Path, task: str | None = None, day: datetime.date | None = None) -> Fits:
    """The readings that a job file holds, and whether each still holds. [-]

    Parameters
    ----------
    path : str or Path
        The job file. [-]
    task : str or None
        Only of the task of this name. [-]
    day : date or None
        Of the job; else the job's, else today. [-]

    Raises
    ------
    FileError
        With every problem, each with its file and line.

    Examples
    --------
    >>> held_readings("no such job.toml")
    Traceback (most recent call last):
    jetwright.errors.FileError: : not_found

    References
    ----------
    Our own convention, docs/fit.md.
    """
    read, basis = _read(path, day)
    if task is not None:
        _place(read, task)
    rows = [reading for reading in read.job.reading if task in (None, reading.task)]
    tasks = {name: _Asked(read.job, _place(read, name), basis) for name in dict.fromkeys(row.task for row in rows)}
    return _fits(read, basis, *(tasks[reading.task].fitted(reading) for reading in rows))


def fit_reading(
    path: str | Path,
    measured: Mapping[str, str],
    task: str | None = None,
    day: datetime.date | None = None,
) -> Fits:
    """What a reading says that is not in the job file. [-]

    Parameters
    ----------
    path : str or Path
        The job file. [-]
    measured : Mapping
        Key of a reading → as a person wrote it; pump_speed and gauge at least. [-]
    task : str or None
        Name of the task; None: the only one. [-]
    day : date or None
        On which it was read; else the job's, else today. [-]

    Raises
    ------
    FileError
        With every problem of the file, or of what was measured: those have only the key of a reading.

    Examples
    --------
    >>> fit_reading("no such job.toml", {"pump_speed": "120 rpm", "gauge": "696 bar"})
    Traceback (most recent call last):
    jetwright.errors.FileError: : not_found

    References
    ----------
    Our own convention, docs/fit.md.
    """
    read, basis = _read(path, day)
    row = _row(read, basis, measured, task)
    reading = _checked(read, row)
    return _fits(read, basis, _Asked(read.job, _place(read, reading.task), basis).fitted(reading), row=row)


def keep_reading(fits: Fits, write: bool = True) -> Adopted:
    """Keep a reading in the job file, as it was written, in the place of one of that task and day. [-]

    Parameters
    ----------
    fits : Fits
        From `fit_reading`, of a regular file, not a link, that holds what was then judged. [-]
    write : bool
        Write it; False changes nothing. [-]

    Raises
    ------
    FileError
        Where the file has changed or cannot be written; reading_not_adopted for one that is not adopted;
        reading_of_refused_task where its task is not allowed whatever was read.

    Examples
    --------
    >>> keep_reading(fit_reading("no such job.toml", {"pump_speed": "120 rpm", "gauge": "696 bar"}))
    Traceback (most recent call last):
    jetwright.errors.FileError: : not_found

    References
    ----------
    Our own convention, docs/fit.md.
    """
    [found], path, raw = fits.found, fits.read.path, fits.read.raw
    if found.refused_without:
        raise FileError([Problem(("task",), "reading_of_refused_task", found.reading.task)])
    if not found.fit.adopted:
        raise FileError([Problem(("gauge",), "reading_not_adopted", str(fits.row["gauge"]))])
    after, replaced = with_reading(raw.decode(), fits.row, str(path))
    replace_whole(path, raw, after.encode(), write)
    return Adopted(str(path), raw.decode(), after, replaced)


def _read(path: str | Path, day: datetime.date | None) -> tuple[JobFile, Basis]:
    read = read_job(path)
    try:
        return read, basis_for(read.job, read.path.parent, day)
    except RigError as error:
        raise FileError([read.locate(problem) for problem in error.problems]) from error


def _fits(read: JobFile, basis: Basis, *found: Fitted, row: Mapping[str, str | datetime.date] | None = None) -> Fits:
    return Fits(Plan(read.job.title, basis.rules, (), basis.day), read, found, row or {})


def _place(read: JobFile, task: str | None) -> int:
    """Which task, from 0."""
    names = [one.name for one in read.job.task]
    if task is None and len(names) == 1:
        return 0
    if task is None:
        raise FileError([Problem(("task",), "reading_of_which_task", facts={"known": names})])
    if task not in names:
        facts: dict[str, object] = {"noun": "task", "known": names, "nearest": nearest(task, names)}
        raise FileError([Problem(("task",), "unknown_name", task, facts)])
    return names.index(task)


def _row(read: JobFile, basis: Basis, measured: Mapping[str, str], task: str | None) -> dict[str, str | datetime.date]:
    """A reading's row as it would be written, at the opening of the proving point, of the rig as it is described."""
    index = _place(read, task)
    rig, machine = _set(read, index)
    row: dict[str, str | datetime.date] = {"task": read.job.task[index].name, "day": basis.day}
    row |= {key: " ".join(text.split()) for key, text in measured.items()}
    area = _proving(rig, machine).bypass_area
    if area > 0.0 and read.job.unit.bypass.kind != "hand-set":
        raise FileError([Problem(("gauge",), "reading_held_by_valve", measured.get("gauge", ""))])
    if area > 0.0:
        row.setdefault("bypass_area", f"{1e6 * area:.4g} mm2")
    row["taken_with"] = taken_with(rig)
    order = [field.name for field in dataclasses.fields(Reading)]
    return dict(sorted(row.items(), key=lambda one: order.index(one[0])))


def _set(read: JobFile, index: int) -> tuple[CheckedRig, Machine]:
    """A task's rig and the setting that a reading is compared with."""
    rig = check(read.job, index)
    machine = _machine(rig)
    if machine is None:
        raise FileError([read.locate(Problem(("task", index, "target"), "reading_no_setting"))])
    return rig, machine


def _machine(rig: CheckedRig) -> Machine | None:
    try:
        machine = machine_for(rig, *target_of(rig))
    except NotServedError:
        return None
    return None if machine.speed is None else machine


def _proving(rig: CheckedRig, machine: Machine) -> ProvingPoint:
    return proving_point(rig, machine.state.pump_pressure)


def _checked(read: JobFile, row: Mapping[str, str | datetime.date]) -> Reading:
    """The reading in SI, or everything that is wrong with it."""
    reading, faults = parse(dict(row), ROW)
    if faults:
        problems = [Problem(fault.key, fault.code, _written(row, fault.key), dict(fault.facts)) for fault in faults]
        raise FileError(problems)
    assert isinstance(reading, Reading)
    index = _place(read, reading.task)
    found = [
        replace(problem, key=problem.key[2:])
        for problem in problems_of(replace(read.job, reading=(reading,)))
        if problem.key[:1] == ("reading",)
    ]
    if not found:
        try:
            found = reading_problems(*_set(read, index), reading)
        except NotServedError as error:
            found = [Problem(("pump_speed",), error.code, facts=error.facts)]
    if found:
        raise FileError([replace(problem, written=_written(row, problem.key)) for problem in found])
    return reading


def _written(row: Mapping[str, str | datetime.date], key: tuple[str | int, ...]) -> str:
    return str(row.get(str(key[0]), "")) if key else ""


@dataclass(frozen=True)
class _Asked:
    """A task that readings are of; what all of them share is worked out once."""

    job: Job
    index: int
    basis: Basis

    @cached_property
    def rig(self) -> CheckedRig:
        return check(replace(self.job, reading=()), self.index)

    @cached_property
    def machine(self) -> Machine | None:
        return _machine(self.rig)

    @cached_property
    def proving(self) -> ProvingPoint | None:
        return None if self.machine is None else _proving(self.rig, self.machine)

    @cached_property
    def limits(self) -> tuple[Limit, ...]:
        """As judged without a reading, and with one that is not adopted."""
        return assess(self.rig, self.index, self.basis, steps=False).limits

    def fitted(self, reading: Reading) -> Fitted:
        """What a reading says, with every limit as a plan would then judge it."""
        fit = fit_of(self.rig, self.machine, reading, self.basis.day)
        if not fit.adopted:
            return Fitted(reading, fit, self.limits, self.proving, self.machine)
        alone = check(replace(self.job, reading=(reading,)), self.index)
        judged = assess(alone, self.index, self.basis, steps=False).limits
        return Fitted(reading, fit, judged, self.proving, self.machine)
