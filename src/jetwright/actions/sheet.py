"""Make the job sheets of a job file, and keep them in a folder."""

import contextlib
import datetime
import os
import re
import secrets
import stat
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

from jetwright.actions.called import called
from jetwright.actions.plan import plan
from jetwright.errors import FileError, Problem
from jetwright.files.job import JobFile
from jetwright.files.problems import shorten
from jetwright.plan.answer import Plan, TaskPlan
from jetwright.report.press import sheet_files, unprinted
from jetwright.report.profile import profile_svg
from jetwright.report.sheet import Changed, sheet_facts
from jetwright.report.wording import _
from jetwright.rig.description import Task

Kind = Literal["pdf", "png", "svg"]
RATINGS = (
    *("rating", "set", "full_scale", "withstands", "rod_load", "top_speed", "rule_set", "site_rules"),
    *("tested", "traceable"),
)
"""Keys whose change after a refusal is printed first, and is told whoever signs: what is marked, and when tested."""
HONEST = {"unit": ("name", "shows"), "tools": ("ports",)}
"""Keys of a table whose change is no change of a fact: what a crew calls or screws on."""
FACTS_OF_A_TASK = ("object", "operator", "hazards", "stops", "remote_tested")
LONGEST_ROW = 120
"""Most letters of a part that was not there before."""
LONGEST = 60
"""Most letters of a task's name in a file's name."""


@dataclass(frozen=True, slots=True)
class Earlier:
    """The job file as it was before, who changed it, and when."""

    path: str | Path
    who: str
    when: datetime.date


@dataclass(frozen=True, slots=True)
class Sheet:
    """One file to be kept: its name, its bytes."""

    name: str
    content: bytes


@dataclass(frozen=True, slots=True)
class Kept:
    """Where a sheet is, and what was done for it: "written", "replaced" or "same" (it was there already)."""

    path: Path
    done: Literal["written", "replaced", "same"]


def sheets(
    path: str | Path,
    *,
    task: str | None = None,
    kinds: Sequence[Kind] = ("pdf",),
    paper: str = "a4",
    system: str = "si",
    day: datetime.date | None = None,
    earlier: Earlier | None = None,
    back: bool = False,
    progress: Callable[[str], None] | None = None,
    lost: Callable[[str], None] | None = None,
    boxed: Callable[[str, str], None] | None = None,
) -> tuple[Plan, list[Sheet]]:
    """The plan of a job file and the sheet of each of its tasks, nothing written yet. [-]

    Parameters
    ----------
    path : str or Path
        The job file. [-]
    task : str or None
        Only the task of this name. [-]
    kinds : Sequence of str
        "pdf", "png"; "svg": the pressure profile alone. [-]
    paper : str
        "a4" or "letter". [-]
    system : str
        "si" or "us". [-]
    day : date or None
        On which the job is done; else the job's, else today. [-]
    earlier : Earlier or None
        The job file as it was before: facts written anew after a refusal are printed. [-]
    back : bool
        A second page for the back of each: the change from the task before, and what the work does. [-]
    progress : Callable or None
        Told each task's name before it is planned. [-]
    lost : Callable or None
        Told the name of each task that was refused before and that no task now can be compared with. [-]
    boxed : Callable or None
        Told the name of each task on whose sheet boxes stand for signs that the font lacks, and those signs. [-]

    Raises
    ------
    FileError
        As `actions.plan.plan`, for either file.
    ModuleNotFoundError
        Where typst is not installed and a PDF or PNG is wanted.

    Examples
    --------
    >>> sheets("no such job.toml")
    Traceback (most recent call last):
    jetwright.errors.FileError: : not_found

    References
    ----------
    Our own convention.
    """
    answer, read = plan(path, task=task, progress=progress, day=day)
    before = None if earlier is None else plan(earlier.path, day=answer.day)
    places = [n for n, described in enumerate(read.job.task) if task is None or described.name == task]
    gone: tuple[str, ...] = ()
    if before is not None:
        gone = not_compared(before, read)
        if lost is not None:
            for name in gone:
                lost(name)
    made = []
    by_place = dict(zip(places, answer.tasks, strict=True))
    for place, planned in by_place.items():
        changed: tuple[Changed, ...] = ()
        if earlier is not None and before is not None:
            changed = tuple(Changed(name, "", "", earlier.who, earlier.when) for name in gone)
            changed += changed_since(before, read, place, earlier.who, earlier.when)
        name = file_stem(place + 1, planned.name)
        facts: dict[str, Any] | None = None
        signs = ""
        for kind in dict.fromkeys(kinds):
            if kind == "svg":
                made.append(Sheet(f"{name}.svg", (profile_svg(planned, read.job, system) + "\n").encode()))
                continue
            if facts is None:
                reverse = _reverse(answer, read, place, by_place, system) if back else None
                facts = sheet_facts(answer, planned, read.job, system, paper, changed, place, reverse)
            signs = unprinted(facts)
            made += [
                Sheet(f"{name}{_page(number)}.{kind}", content)
                for number, content in enumerate(sheet_files(facts, kind), 1)
            ]
        if signs and boxed is not None:
            boxed(planned.name, signs)
    return answer, made


def _reverse(
    answer: Plan, read: JobFile, place: int, by_place: Mapping[int, TaskPlan], system: str
) -> Mapping[str, Any]:
    """What stands on the back of a task's sheet; a front alone does not wait for what this needs."""
    from jetwright.actions.change import change_before
    from jetwright.report.back import back_facts

    card = change_before(read, place, by_place, answer.day)
    return back_facts(by_place[place], read.job, system, card)


def _page(number: int) -> str:
    """What a picture of a page other than the front has in its name."""
    return {1: "", 2: "-back"}.get(number, f"-back-{number - 1}")


def keep(folder: str | Path, made: Sequence[Sheet], *, overwrite: bool = False, dry_run: bool = False) -> list[Kept]:
    """Keep sheets in a folder, each whole or not at all; nothing is written when one of them may not be. [-]

    Parameters
    ----------
    folder : str or Path
        It is made where it is not there; no link, and below the current folder none on the way. [-]
    made : Sequence of Sheet
        The sheets. [-]
    overwrite : bool
        Replace a file of that name that says something else. [-]
    dry_run : bool
        Write nothing; answer what would be done. [-]

    Raises
    ------
    FileError
        With the code link_in_the_way, not_a_folder, not_a_file, exists or not_writable, for each file.

    Examples
    --------
    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     sheet = Sheet("01-wall.pdf", b"%PDF-")
    ...     print([kept.done for kept in (keep(folder, [sheet]) + keep(folder, [sheet]))])
    ['written', 'same']

    References
    ----------
    Our own convention.
    """
    folder = Path(folder)
    there = _there(folder)
    problems: list[Problem] = []
    kept: list[Kept] = []
    for sheet in made:
        path = folder / sheet.name
        problem, done = _state(path, sheet.content, overwrite)
        problems += [Problem((), problem, file=str(path))] if problem else []
        kept.append(Kept(path, done))
    if problems:
        raise FileError(problems)
    wanted = [(each.path, sheet.content) for each, sheet in zip(kept, made, strict=True) if each.done != "same"]
    if wanted and not os.access(there, os.W_OK | os.X_OK):
        raise FileError([Problem((), "not_writable", file=str(folder))])
    if not dry_run:
        _write(folder, there, wanted)
    return kept


def older(folder: str | Path, made: Sequence[Sheet]) -> list[str]:
    """Names of files in a folder that carry the number of a sheet and are not among the sheets made. [-]

    Parameters
    ----------
    folder : str or Path
        Where the sheets are. [-]
    made : Sequence of Sheet
        The sheets. [-]

    Examples
    --------
    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     _ = (Path(folder) / "01-hall.pdf").write_bytes(b"%PDF-")
    ...     older(folder, [Sheet("01-wall.pdf", b"%PDF-")])
    ['01-hall.pdf']

    References
    ----------
    Our own convention: a task that was renamed leaves its old sheet behind.
    """
    now = {sheet.name for sheet in made}
    numbers = {_number(name) for name in now}
    try:
        names = [entry.name for entry in os.scandir(folder)]
    except OSError:  # not made yet
        return []
    return sorted(name for name in names if name not in now and _number(name) in numbers - {""})


def _number(name: str) -> str:
    found = re.fullmatch(r"([0-9]{2,})(?:-.*)?\.(?:pdf|png|svg)", name, re.DOTALL)
    return found[1] if found else ""


def file_stem(place: int, name: str) -> str:
    """A file's name for a task, without its ending: its number and its name's letters and digits. [-]

    Parameters
    ----------
    place : int
        Of the task in its job, from 1: it makes the name the only one. [-]
    name : str
        As written. [-]

    Examples
    --------
    >>> file_stem(1, "Morning: hall floor"), file_stem(2, "../../etc/passwd"), file_stem(3, "Tubería Ñ°4")
    ('01-morning-hall-floor', '02-etc-passwd', '03-tubería-ñ-4')

    References
    ----------
    Our own convention.
    """
    words = "".join(letter if letter.isalnum() else " " for letter in name.lower()).split()
    kept = "-".join(words)[:LONGEST]
    while len(kept.encode()) > 3 * LONGEST:
        kept = kept[:-1]
    return f"{place:02d}-{kept.strip('-')}" if kept.strip("-") else f"{place:02d}"


def changed_since(
    before: tuple[Plan, JobFile], now: JobFile, place: int, who: str, when: datetime.date
) -> tuple[Changed, ...]:
    """Facts that were written anew after a task had been refused: of the unit, its parts, and of the task. [-]

    What a task is made of (its hoses, tools, tips and target) may change: those are cures.

    Parameters
    ----------
    before : tuple of Plan and JobFile
        The earlier file, planned. [-]
    now : JobFile
        The file as it is. [-]
    place : int
        Of the task in it, from 0. The earlier one has the same name; else it stands in the same place. [-]
    who : str
        Who changed it. [-]
    when : date
        When. [-]

    Examples
    --------
    >>> from dataclasses import replace
    >>> from jetwright.rig.example import JOB
    >>> file = JobFile(Path("job.toml"), JOB, {}, {})
    >>> changed_since((Plan("", None, (), None), replace(file, job=replace(JOB, task=()))), file, 0, "H. Moe", None)
    ()

    References
    ----------
    Our own convention.
    """
    answer, old = before
    partner = _partners(old.job.task, now.job.task)[place]
    if partner is None or answer.tasks[partner].verdict != "not_allowed":
        return ()
    task = now.job.task[place]
    used = {*task.hose_run, *(name for branch in task.branches for name in branch.hose_run), *_tools(task)}
    first, second = dict(_facts(old.written, partner, used)), dict(_facts(now.written, place, used))
    keys = [key for key in {**first, **second} if first.get(key) != second.get(key)]
    keys.sort(key=lambda key: key.rpartition(".")[2] not in RATINGS)
    new = {".".join(part) for part in _parts(now.written, used) - _parts(old.written, used)}
    rows = [Changed(called(part), "", _row(second, part), who, when) for part in sorted(new)]
    changed = [
        Changed(called(key), first.get(key, ""), second.get(key, ""), who, when)
        for key in keys
        if not any(key.startswith(f"{part}.") for part in new)
    ]
    return tuple(rows + changed)


def not_compared(before: tuple[Plan, JobFile], now: JobFile) -> tuple[str, ...]:
    """Names of earlier tasks that were refused and that no task of now is: neither by name nor by place. [-]

    Parameters
    ----------
    before : tuple of Plan and JobFile
        The earlier file, planned. [-]
    now : JobFile
        The file as it is. [-]

    Examples
    --------
    >>> from dataclasses import replace
    >>> from jetwright.rig.example import JOB
    >>> file = JobFile(Path("job.toml"), JOB, {}, {})
    >>> not_compared((Plan("", None, (), None), replace(file, job=replace(JOB, task=()))), file)
    ()

    References
    ----------
    Our own convention.
    """
    answer, old = before
    found = set(_partners(old.job.task, now.job.task))
    refused = [n for n, planned in enumerate(answer.tasks) if planned.verdict == "not_allowed"]
    return tuple(answer.tasks[n].name for n in refused if n not in found)


def _partners(old: Sequence[Task], now: Sequence[Task]) -> list[int | None]:
    """For each task the place of the earlier one: of the same name, else in the same place."""
    left: dict[str, list[int]] = {}
    for n, task in enumerate(old):
        left.setdefault(task.name, []).append(n)
    found: list[int | None] = [left[task.name].pop(0) if left.get(task.name) else None for task in now]
    free = {n for places in left.values() for n in places}
    return [n if earlier is None and n in free else earlier for n, earlier in enumerate(found)]


def _tools(task: Task) -> set[str]:
    return {branch.tool for branch in task.branches} | ({task.tool} if task.tool is not None else set())


def _parts(written: Mapping[str, Any], used: set[str]) -> set[tuple[str, str]]:
    tables = ("hoses", "fittings", "tools")
    return {(table, name) for table in tables for name in written.get(table, {}) if name in used}


def _row(facts: Mapping[str, str], part: str) -> str:
    """A part on one line, its ratings first."""
    keys = [key for key in facts if key.startswith(f"{part}.")]
    keys.sort(key=lambda key: key.rpartition(".")[2] not in RATINGS)
    above = f"{called(part)}: "
    row = ", ".join(f"{called(key).removeprefix(above)}: {facts[key]}" for key in keys)
    return row if len(row) <= LONGEST_ROW else row[: LONGEST_ROW - 1] + "…"


def _facts(written: Mapping[str, Any], place: int, used: set[str]) -> Iterator[tuple[str, str]]:
    """Every fact that a limit may read, as written: of the file, the unit, the parts used, the task."""
    for key in ("rule_set", "site_rules", "restraints"):
        if key in written:
            yield from _walk(written[key], key)
    for key, value in written.get("unit", {}).items():
        if key not in HONEST["unit"]:
            yield from _walk(value, f"unit.{key}")
    for table in ("hoses", "fittings", "tools"):
        for name, row in written.get(table, {}).items():
            if name in used:
                facts = {key: value for key, value in row.items() if key not in HONEST.get(table, ())}
                yield from _walk(facts, f"{table}.{name}")
    row = written["task"][place]
    for key in FACTS_OF_A_TASK:
        if key in row:
            yield from _walk(row[key], f"task.{key}")


def _walk(value: Any, at: str) -> Iterator[tuple[str, str]]:
    if isinstance(value, Mapping):
        for key, inner in value.items():
            yield from _walk(inner, f"{at}.{key}")
    elif isinstance(value, tuple | list) and any(isinstance(inner, Mapping) for inner in value):
        for n, inner in enumerate(value, 1):
            yield from _walk(inner, f"{at}.{n}")
    else:
        yield at, _said(value)


def _said(value: Any) -> str:
    if isinstance(value, tuple | list):
        return ", ".join(" ".join(map(str, each)) if isinstance(each, tuple | list) else str(each) for each in value)
    if isinstance(value, bool):
        return _("yes") if value else _("no")
    return str(value)


# ---- files


def _there(folder: Path) -> Path:
    """The folder, or the nearest above it that is there; refuse a link, and what is no folder."""
    here = Path.cwd()
    inside = not folder.is_absolute() or folder.is_relative_to(here)
    parts = folder.relative_to(here).parts if folder.is_absolute() and inside else folder.parts
    steps = [Path(*parts[: n + 1]) for n in range(len(parts))] if inside else [*reversed(folder.parents), folder]
    there = Path() if inside else Path(folder.anchor)
    for step in steps:
        try:
            mode = step.lstat().st_mode
            if stat.S_ISLNK(mode) and (inside or step == folder):
                raise FileError([Problem((), "link_in_the_way", file=str(step))])
            if not step.is_dir():
                raise FileError([Problem((), "not_a_folder", file=str(step))])
        except FileNotFoundError:
            break
        except (OSError, ValueError):
            raise FileError([Problem((), "not_writable", file=shorten(str(folder)))]) from None
        there = step
    try:
        folder.lstat()
    except FileNotFoundError:
        pass
    except (OSError, ValueError):  # too long as a whole
        raise FileError([Problem((), "not_writable", file=shorten(str(folder)))]) from None
    return there


def _state(path: Path, content: bytes, overwrite: bool) -> tuple[str, Literal["written", "replaced", "same"]]:
    """Why a file may not be written, or "", and what writing it means."""
    try:
        mode = path.lstat().st_mode
        if stat.S_ISLNK(mode):
            return "link_in_the_way", "written"
        if not stat.S_ISREG(mode):
            return "not_a_file", "written"
        if path.read_bytes() == content:
            return "", "same"
    except FileNotFoundError:
        return "", "written"
    except OSError:
        return "not_writable", "written"
    return ("", "replaced") if overwrite else ("exists", "replaced")


def _write(folder: Path, there: Path, wanted: Sequence[tuple[Path, bytes]]) -> None:
    """Write every file beside its place first: what cannot be written leaves nothing behind."""
    waiting: list[tuple[Path, Path]] = []
    done: list[str] = []
    path = folder
    try:
        for path, content in wanted:
            waiting.append((_beside(there, path, content), path))
        path = folder
        folder.mkdir(parents=True, exist_ok=True)
        for name, path in waiting:
            name.replace(path)
            done.append(path.name)
    except OSError:
        facts: dict[str, object] = {"kept": done} if done else {}
        raise FileError([Problem((), "not_writable", facts=facts, file=str(path))]) from None
    finally:
        for name, _path in waiting[len(done) :]:
            with contextlib.suppress(OSError):
                name.unlink()


def _beside(there: Path, path: Path, content: bytes) -> Path:
    """A new file that holds what another is to hold, with its mode; a new one has what the umask leaves."""
    name = there / f".{path.stem[:20]}.{secrets.token_hex(6)}"
    flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0) | getattr(os, "O_CLOEXEC", 0)
    handle = os.open(name, flags, 0o666)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        with contextlib.suppress(FileNotFoundError):
            name.chmod(stat.S_IMODE(path.lstat().st_mode))
    except OSError:
        name.unlink(missing_ok=True)
        raise
    return name
