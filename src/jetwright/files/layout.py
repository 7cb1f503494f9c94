"""A job file rewritten in the usual order of tables and keys, with its comments and everything that was written.

The text is cut into statements (a table header, or a key with its value) with the comments that belong to each. Only
their order, the blanks round `=` and the blank lines change; values are never touched. A text whose tables would come
out different is not rewritten. Comments straight above a statement move with it; comments straight below one, before a
blank line, move with that one; comments at the very top stay there.
"""

import contextlib
import difflib
import io
import os
import stat
import tempfile
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from types import MappingProxyType

from jetwright.errors import FileError, Problem
from jetwright.files import positions
from jetwright.files.texts import LARGEST, parse_tables, read_raw

try:
    import fcntl
except ImportError:  # Windows has no such locks
    fcntl = None  # type: ignore[assignment]

MARK = "\ufeff"
"""Byte order mark that a text may start with; it stays."""
_DUMP = "bore cd"
_BORE_LENGTH = "bore length"

ORDER: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        table: tuple(keys.split())
        for table, keys in {
            "": "title rule_set site_rules altitude air_temperature yard date supply unit hoses fittings tips tools "
            "restraints task reading waste prices spread",
            "supply": "pressure flow temperature filter hose hydrant",
            "supply.hose": _BORE_LENGTH,
            "supply.hydrant": "static pressure flow",
            "unit": "name shows damper remote engine drive pump kits bypass relief gauge tank suction",
            "unit.engine": "power fuel_rate fuel_tank def_tank auxiliary",
            "unit.drive": "kind efficiency top_ratio ratio",
            "unit.pump": "plungers plunger_diameter kit stroke flow_per_turn start_speed top_speed rating rod_load "
            "clearance slip efficiency measured",
            "unit.pump.measured": "speed pressure flow",
            "unit.kits.*": "plunger_diameter rating",
            "unit.bypass": "kind full_open_area turns accumulation full_flow spill set idle_pressure reset returns_to "
            "loop",
            "unit.relief": "kind set accumulation tolerance reseat full_flow tested",
            "unit.gauge": "full_scale class division",
            "unit.tank": "volume usable hottest",
            "unit.suction": "bore length loss_k level boost needed rod_ratio outlet cover",
            "hoses.*": "bore length rating tested traceable count mass roughness tails",
            "hoses.*.tails": _BORE_LENGTH,
            "fittings.*": "bore loss_k rating dump",
            "fittings.*.dump": _DUMP,
            "tips.*": "bore inlet cd rated count life price",
            "tools.*": "kind held_by holder support length rating bore loss_k release dump leak turns ports",
            "tools.*.dump": _DUMP,
            "tools.*.ports": "tip count angle radius skew",
            "task": "name hose_run tool branches rise target object goal planned_time times jet travel extent pipe "
            "operator stops remote_tested hazards",
            "task.branches": "hose_run tool rise",
            "task.target": "nozzle_pressure pump_pressure flow at",
            "task.object": "what withstands source threshold",
            "task.operator": "lightest place guard_rail",
            "task.hazards": "ignition confined_space live_electrical product",
            "task.goal": "grade edition",
            "task.times": "setup change standby crew",
            "task.jet": "standoff approach footprint",
            "task.travel": "length time overlap at_work",
            "task.extent": "length width count",
            "task.pipe": "bore length climb bends friction flooded blocked",
            "reading": "task day pump_speed gauge bypass_area tips flow pin flush taken_with",
            "waste": "volume share",
            "prices": "currency water_m3 waste_m3 fuel_l def_l crew_h unit_h",
            "restraints": "whip_checks shrouds",
            "spread": "cd tip_bore hose_bore roughness pump_flow speed supply_temperature",
        }.items()
    }
)
"""Each table's keys in the order in which they are written; a table may stand under any of its parents' rows ("*")."""


@dataclass(slots=True)
class _Statement:
    """A header or a key with its value, and the comments that move with it; spaced: a blank line stands before it."""

    path: positions.Path
    text: str
    header: bool
    spaced: bool = False
    above: list[str] = field(default_factory=list)
    below: list[str] = field(default_factory=list)


def format_job(text: str, file: str = "") -> str:
    """A job file's text in order. [-]

    Parameters
    ----------
    text : str
        Any TOML; keys that no job file knows come last in their table. A byte order mark stays, each line ends with a
        line feed. [-]
    file : str
        The name given in problems. [-]

    Raises
    ------
    FileError
        Where the text is not TOML, or could not be put in order without changing what it says.

    Examples
    --------
    >>> print(format_job('[hoses.A] # one\\nlength="20 m"\\n# by tape\\nbore = "8 mm"\\n[supply]'), end="")
    [supply]
    <BLANKLINE>
    [hoses.A] # one
    # by tape
    bore = "8 mm"
    length = "20 m"

    References
    ----------
    Our own convention; TOML v1.0.0.
    """
    mark = MARK if text.startswith(MARK) else ""
    text = text[len(mark) :].replace("\r\n", "\n")
    before = parse_tables(text, file).data
    top, statements, bottom = _cut(text)
    made = _written(top, _ordered(statements), bottom)
    try:
        same = parse_tables(made, file).data == before
    except FileError:
        same = False
    if not same:
        raise FileError([Problem((), "not_rewritten", file=file)])
    return mark + made


def difference(file: str, before: str, after: str) -> str:
    """What changes in a file, line by line, as `diff -u` shows it; only a line feed ends a line. [-]

    Parameters
    ----------
    file : str
        Its name. [-]
    before : str
        Its text, line ends as they stand. [-]
    after : str
        The text it gets. [-]

    Examples
    --------
    >>> print(difference("job.toml", "a = 1\\n", "a = 2"), end="")
    --- job.toml
    +++ job.toml
    @@ -1 +1 @@
    -a = 1
    +a = 2
    \\ No newline at end of file

    References
    ----------
    Our own convention.
    """
    old, new = (list(io.StringIO(text, newline="\n")) for text in (before, after))
    lines = difflib.unified_diff(old, new, file, file)
    return "".join(line if line.endswith("\n") else line + "\n\\ No newline at end of file\n" for line in lines)


def replace_whole(path: Path, before: bytes, after: bytes, write: bool = True) -> None:
    """Put other bytes into a file: all of them or, whatever happens on the way, none. [-]

    Nothing is written into a file that does not hold any more what was judged. Two who write at once are kept apart by
    a lock on the file where the system has such; the lock of one who is gone is gone with him.

    Parameters
    ----------
    path : Path
        A regular file, not a link; its permissions are kept. [-]
    before : bytes
        What it held as it was judged. [-]
    after : bytes
        What it then holds. [-]
    write : bool
        False: only see whether it would be taken. [-]

    Raises
    ------
    FileError
        As `read_raw`, and with the code would_be_too_large, changed_meanwhile or not_writable.

    Examples
    --------
    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     file = Path(folder) / "job.toml"
    ...     _ = file.write_text("before")
    ...     replace_whole(file, b"before", b"after")
    ...     print(file.read_text())
    after

    References
    ----------
    Our own convention.
    """
    name = str(path)
    if len(after) > LARGEST:
        raise FileError([Problem((), "would_be_too_large", facts={"limit_kb": LARGEST // 1024}, file=name)])
    if read_raw(path, links=False) != before:
        raise _changed(path)
    if write:
        try:
            _replace(path, before, after)
        except OSError:
            raise FileError([Problem((), "not_writable", file=name)]) from None


def _changed(path: Path) -> FileError:
    return FileError([Problem((), "changed_meanwhile", file=str(path))])


def _replace(path: Path, before: bytes, after: bytes) -> None:
    mode = stat.S_IMODE(path.stat().st_mode) & 0o777
    if not mode & 0o222 or not os.access(path, os.W_OK):  # the folder alone would let it be replaced
        raise PermissionError
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(after)
            file.flush()
            os.fsync(file.fileno())
        Path(name).chmod(mode)
        _put(path, before, Path(name))
    except BaseException:
        with contextlib.suppress(OSError):
            Path(name).unlink()
        raise
    if hasattr(os, "O_DIRECTORY"):
        folder = os.open(path.parent, os.O_RDONLY | os.O_DIRECTORY)
        try:
            os.fsync(folder)
        finally:
            os.close(folder)


def _put(path: Path, before: bytes, made: Path) -> None:
    """Put a file in the place of another that still holds what it held; what was opened is still what stands there."""
    with contextlib.ExitStack() as opened:
        file = opened.enter_context(path.open("rb"))
        _lock(path, file.fileno())
        there = os.path.samestat(os.fstat(file.fileno()), path.lstat())
        if not there or file.read(len(before) + 1) != before:
            raise _changed(path)
        if fcntl is None:
            opened.close()  # an open file cannot be replaced there
        made.replace(path)


def _lock(path: Path, handle: int) -> None:
    if fcntl is not None:
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            raise _changed(path) from None
        except OSError:
            return  # a share without locks


def _cut(text: str) -> tuple[list[str], list[_Statement], list[str]]:
    """Comments at the top, the statements with theirs, comments at the bottom."""
    lines = text.split("\n")
    found: list[_Statement] = []
    top: list[str] = []
    done = 0  # lines
    for place in positions.statements(text):
        gap = _squeezed(lines[done : place.first - 1])
        statement = _Statement(place.path, _text(text, place), header=not place.equals)
        if found:
            found[-1].below, rest = _split(gap, last=False)
            statement.spaced = bool(found[-1].below) or gap[:1] == [""]
        else:
            at = _last_blank(gap)
            top, rest = gap[:at], gap[at:]
        statement.above = rest[1:] if rest[:1] == [""] else rest
        found.append(statement)
        done = place.last
    bottom = _squeezed(lines[done:])
    if found:
        found[-1].below, bottom = _split(bottom, last=True)
    return _trimmed(top), found, _trimmed(bottom)


def _text(text: str, place: positions.Statement) -> str:
    line_end = text.find("\n", place.end)
    rest = text[place.end : line_end if line_end >= 0 else len(text)].rstrip()
    if not place.equals:
        return text[place.start : place.end] + rest
    value = text[place.equals + 1 : place.end].lstrip(" \t")
    return f"{text[place.start : place.equals].rstrip()} = {value}{rest}"


def _squeezed(lines: list[str]) -> list[str]:
    """Comments and blanks, never two blanks on end."""
    made: list[str] = []
    for line in (each.strip() for each in lines):
        if line or made[-1:] != [""]:
            made.append(line)
    return made


def _trimmed(lines: list[str]) -> list[str]:
    first = 1 if lines[:1] == [""] else 0
    return lines[first : len(lines) - 1 if lines[first:] and not lines[-1] else len(lines)]


def _split(gap: list[str], last: bool) -> tuple[list[str], list[str]]:
    """Comments straight below a statement, and the rest; without a blank line all belong to what follows."""
    at = gap.index("") if "" in gap else (len(gap) if last else 0)
    return gap[:at], gap[at:]


def _last_blank(gap: list[str]) -> int:
    return len(gap) - gap[::-1].index("") if "" in gap else 0


def _ordered(statements: list[_Statement]) -> list[_Statement]:
    """Sections by their table, keys by their place in it; what is unknown comes last, as written."""
    seen: dict[positions.Path, int] = {}
    for statement in statements:
        for length in range(1, len(statement.path) + 1):
            seen.setdefault(statement.path[:length], len(seen))

    def rank(statement: _Statement) -> list[tuple[int, int]]:
        return _rank(statement.path, seen)

    sections: list[list[_Statement]] = [[]]
    for statement in statements:
        if statement.header:
            sections.append([statement])
        else:
            sections[-1].append(statement)
    first, *others = sections
    others.sort(key=lambda section: rank(section[0]))
    made = sorted(first, key=rank)
    for header, *keys in others:
        made += [header, *sorted(keys, key=rank)]
    return made


def _rank(path: positions.Path, seen: Mapping[positions.Path, int]) -> list[tuple[int, int]]:
    name: str | None = ""
    ranks = []
    for length, part in enumerate(path, start=1):
        if isinstance(part, int):
            ranks.append((0, part))
            continue
        keys = ORDER.get(name, ()) if name is not None else ()
        if name is not None and name.endswith(":"):  # a row of its own name
            name, known = name[:-1] + ".*", False
        else:
            known = part in keys
            name = f"{name}.{part}".lstrip(".") if name is not None and known else None
            name = f"{name}:" if f"{name}.*" in ORDER else name
        ranks.append((keys.index(part), 0) if known else (len(keys), seen[path[:length]]))
    return ranks


def _written(top: list[str], statements: list[_Statement], bottom: list[str]) -> str:
    made = list(top)
    blank = bool(top)
    after_header = False
    for statement in statements:
        free = "" in statement.above
        if (blank or statement.header or free or (statement.spaced and not after_header)) and made:
            made.append("")
        made += [*statement.above, statement.text, *statement.below]
        blank, after_header = bool(statement.below), statement.header
    if bottom:
        made += ["", *bottom] if made else bottom
    return "\n".join(made) + "\n" if made else ""
