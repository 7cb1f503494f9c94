"""What an unknown key was meant to be: a key misspelt, or one that slid into the wrong table."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from jetwright.errors import Problem
from jetwright.files import model, positions
from jetwright.files.model import Fault, Loc
from jetwright.files.positions import Spot
from jetwright.files.problems import MOST
from jetwright.files.shapes import JOB, Key, Shape, keys_of


def dotted(path: Loc) -> str:
    """The name of a table, its places in lists left out. [-]

    Parameters
    ----------
    path : tuple
        Of a table. [-]

    Examples
    --------
    >>> dotted(("unit", "relief", 0))
    'unit.relief'

    References
    ----------
    Our own convention.
    """
    return ".".join(str(part) for part in path if isinstance(part, str))


@dataclass(frozen=True, slots=True)
class _Table:
    path: Loc
    keys: Mapping[str, Key]
    rows: dict[str, Any]
    line: int


class UnknownKeys:
    """Finds out what unknown keys of a job were meant to be; the tables are then read on as if they were written so."""

    def __init__(self, data: dict[str, Any], where: Mapping[Loc, Spot]) -> None:
        self.data = data
        self.where = where
        self.tables = list(self._walk(data, JOB, ()))

    def _walk(self, data: Any, shape: Shape, path: Loc) -> list[_Table]:
        found: list[_Table] = []
        if shape.table is not None and isinstance(data, dict):
            keys = keys_of(shape.table)
            found.append(_Table(path, keys, data, self._line(path)))
            for name, value in data.items():
                if name in keys:
                    found += self._walk(value, keys[name].shape, (*path, name))
        elif shape.sort == "rows" and isinstance(data, dict):
            for name, value in data.items():
                found += self._walk(value, shape.parts[0], (*path, name))
        elif shape.sort == "list" and isinstance(data, list):
            for index, value in enumerate(data):
                found += self._walk(value, shape.parts[0], (*path, index))
        return found

    def _line(self, path: Loc) -> int:
        at = positions.table_of(self.where, path)
        return self.where[at].line if at else 0

    def settle(self, unknown: list[Fault], moved: dict[Loc, Loc]) -> list[Problem]:
        """Problems of the unknown keys, which are taken out of the tables or put where they belong. [-]

        Parameters
        ----------
        unknown : list[Fault]
            What the reader found. [-]
        moved : dict
            Filled: path as understood → path in the file. [-]

        Examples
        --------
        >>> data = {"titel": "Rack"}
        >>> UnknownKeys(data, {}).settle([Fault(("titel",), "unknown_key", {})], {})[0].facts["nearest"], data
        ('title', {'title': 'Rack'})

        References
        ----------
        Our own convention.
        """
        problems = []
        by_path = {table.path: table for table in self.tables}
        for count, fault in enumerate(sorted(unknown, key=lambda fault: self._line(fault.key))):
            table, name = by_path[fault.key[:-1]], str(fault.key[-1])
            value = table.rows.pop(name)
            facts: dict[str, object] = {"name": name, "table": dotted(table.path), "known": list(table.keys)}
            if count < MOST:
                close = model.nearest(name, [key for key in table.keys if key not in table.rows])
                facts["nearest"] = close or model.nearest(name, list(table.keys))
                home, belongs = self._home(table, name, value, self._line(fault.key))
                if belongs is not None:
                    facts["belongs"] = belongs
                if home is not None:
                    home.rows[name] = value
                    moved[(*home.path, name)] = fault.key
                elif close and belongs is None:
                    table.rows[close] = value
                    moved[(*table.path, close)] = fault.key
            problems.append(Problem(fault.key, "unknown_key", name, facts))
        return problems

    def _home(self, table: _Table, name: str, value: object, line: int) -> tuple[_Table | None, str | None]:
        """The table in the file that lacks this key, nearest above it, and the name of the table it belongs to."""
        fits = [t for t in self.tables if name in t.keys and t.path != table.path and _fits(t.keys[name].shape, value)]
        lacking = [t for t in fits if name not in t.rows]
        above = [t for t in lacking if t.line <= line]
        if above or lacking:
            best = max(above, key=lambda t: (t.line, len(t.path))) if above else min(lacking, key=lambda t: t.line)
            return best, dotted(best.path)
        if fits:
            return None, dotted(fits[0].path)
        return None, _anywhere(JOB, name, value, "")


def _anywhere(shape: Shape, name: str, value: object, path: str) -> str | None:
    if shape.table is None:
        for part in shape.parts if shape.sort in ("rows", "list") else ():
            inside = f"{path}.*" if shape.sort == "rows" else path
            return _anywhere(part, name, value, inside)
        return None
    keys = keys_of(shape.table)
    if name in keys and _fits(keys[name].shape, value):
        return path
    for key in keys.values():
        found = _anywhere(key.shape, name, value, f"{path}.{key.key}".lstrip("."))
        if found is not None:
            return found
    return None


def _fits(shape: Shape, value: object) -> bool:
    """Whether a value is at least of the sort that a place takes."""
    wanted: dict[str, type[Any] | tuple[type[Any], ...]] = {
        "table": dict, "rows": dict, "list": list, "pair": list, "text": str, "words": str, "quantity": str,
        "rated": str, "yes_no": bool, "number": (int, float), "count": int,
    }  # fmt: skip
    return isinstance(value, wanted.get(shape.sort, object))
