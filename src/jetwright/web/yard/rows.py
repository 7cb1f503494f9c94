"""Pieces as the rows of a CSV file, one file a kind, and back, exactly.

What a spreadsheet would take for a formula gets an apostrophe in front on the way out, and so does what begins with an
apostrophe; on the way in that one is taken away. This goes for what follows a semicolon or a tab too, where a
spreadsheet of another country begins a cell.
"""

import csv
import datetime
import io
import re
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from jetwright.files.shapes import Shape, keys_of
from jetwright.web.yard.forms import ELSEWHERE, TABLES

OWN = ("name", "serial", "note", "on", "retired", "retired_why")
"""Columns that every file has, before those of the table."""
MOST_ROWS = 2000
"""Most rows of a file that is read."""
MOST_OF_A_LIST = 60
"""Most elements of a list in a row."""

_FORMULA = "=+-@\uff1d\uff0b\uff0d\uff20\ufe66\ufe62\ufe63\ufe6b\t\r\n'"  # the wide and the small ones too
_GAPS = "\u00a0\u1680\u2000-\u200d\u202f\u205f\u2060\u3000\ufeff "
_BEGINNING = f'(^|[;\t\r\n])(["{_GAPS}]*)'
_TO_GUARD = re.compile(f"{_BEGINNING}(?=[{re.escape(_FORMULA)}])")
_GUARDED = re.compile(f"{_BEGINNING}'(?=[{re.escape(_FORMULA)}])")
_NUMBER = re.compile(r"[+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]+)?")
_WHOLE = re.compile(r"[+-]?[0-9]{1,15}")


class RefusedCellError(Exception):
    """A file that is no such file, or a cell that has no place; row counts from 1, heads too; column: its head."""

    def __init__(self, code: str, row: int = 0, column: str = "", text: str = "") -> None:
        self.code = code
        self.row = row
        self.column = column
        self.text = text
        super().__init__(f"{code} {row} {column} {text}")


def guarded(text: str) -> str:
    """A cell that no spreadsheet takes for a formula. [-]"""
    return _TO_GUARD.sub(r"\1\2'", text)


def unguarded(text: str) -> str:
    """The cell that was guarded. [-]"""
    return _GUARDED.sub(r"\1\2", text)


def csv_text(kind: str, rows: Iterable[tuple[Mapping[str, str], Mapping[str, Any]]]) -> str:
    """The file of some pieces of a kind: of each its own cells, and its table. [-]"""
    shape = _shape(kind)
    cells = [{**own, **_cells(shape, spec, "")} for own, spec in rows]
    columns = [*OWN, *_columns(shape, cells)]
    into = io.StringIO(newline="")
    writer = csv.writer(into)
    writer.writerow(columns)
    writer.writerows([[guarded(row.get(column, "")) for column in columns] for row in cells])
    return into.getvalue()


def csv_rows(kind: str, text: str) -> list[tuple[int, dict[str, str], dict[str, Any]]]:
    """The rows of a file: which row it is, its own cells, its table. [-]

    Empty rows are left out. RefusedCellError where it is no such file, or a column has no place.
    """
    shape = _shape(kind)
    heads = text.lstrip("\ufeff").split("\n", 1)[0]
    delimiter = ";" if ";" in heads and "," not in heads else ","
    reader = csv.reader(io.StringIO(text.removeprefix("\ufeff"), newline=""), delimiter=delimiter, strict=True)
    found: list[tuple[int, dict[str, str], dict[str, Any]]] = []
    columns: list[str] = []
    try:
        for number, cells in enumerate(reader, 1):
            if number > MOST_ROWS:
                raise RefusedCellError("too_many_rows", number)
            if not columns:
                columns = _heads(shape, cells, number)
            elif any(cells):
                found.append((number, *_row(shape, columns, cells, number)))
    except csv.Error:
        raise RefusedCellError("no_csv", reader.line_num) from None
    if not columns:
        raise RefusedCellError("no_heads", 1)
    return found


def column_of(key: Sequence[str | int]) -> str:
    """The column that a key of a table stands in; places in lists count from 1. [-]"""
    return ".".join(str(part + 1) if isinstance(part, int) else part for part in key)


def _shape(kind: str) -> Shape:
    return Shape("table", table=TABLES[kind])


def _heads(shape: Shape, cells: list[str], number: int) -> list[str]:
    columns = [unguarded(cell).strip() for cell in cells]
    while columns and not columns[-1]:
        columns.pop()
    if "name" not in columns:
        raise RefusedCellError("no_heads", number)
    for place, column in enumerate(columns):
        if column in columns[:place]:
            raise RefusedCellError("column_twice", number, column)
        if column not in OWN and _leaf(shape, column.split(".")) is None:
            raise RefusedCellError("unknown_column", number, column)
    return columns


def _row(shape: Shape, columns: list[str], cells: list[str], number: int) -> tuple[dict[str, str], dict[str, Any]]:
    if any(cells[len(columns) :]):
        raise RefusedCellError("too_many_cells", number, "", cells[len(columns)])
    own: dict[str, str] = {}
    spec: dict[str, Any] = {}
    for column, cell in zip(columns, cells, strict=False):
        text = unguarded(cell)
        if column in OWN:
            own[column] = text
        elif text:
            path = column.split(".")
            leaf = _leaf(shape, path)
            assert leaf is not None
            _put(spec, path, _value(leaf, text))
    return own, _closed(spec)


def _leaf(shape: Shape, path: list[str]) -> Shape | None:
    """What may stand in a column; None where there is no such key."""
    for depth, part in enumerate(path):
        if shape.table is not None:
            keys = keys_of(shape.table)
            if part not in keys or (depth == 0 and shape.table is TABLES["unit"] and part in ELSEWHERE):
                return None
            shape = keys[part].shape
        elif shape.sort == "list" and shape.parts[0].table is not None:
            if not (part.isascii() and part.isdigit() and 1 <= int(part) <= MOST_OF_A_LIST and part[0] != "0"):
                return None
            shape = shape.parts[0]
        else:
            return None
    return None if shape.table is not None or (shape.sort == "list" and shape.parts[0].table is not None) else shape


def _columns(shape: Shape, cells: list[dict[str, str]]) -> list[str]:
    """The table's columns in its own order; of a list as many as the longest has, and one that is empty."""
    used = dict.fromkeys(column for row in cells for column in row if column not in OWN)
    return list(dict.fromkeys([*_walk(shape, "", used)]))


def _walk(shape: Shape, stem: str, used: Mapping[str, None]) -> Iterable[str]:
    assert shape.table is not None
    for key in keys_of(shape.table).values():
        at = f"{stem}{key.key}"
        if not stem and shape.table is TABLES["unit"] and key.key in ELSEWHERE:
            continue
        if key.shape.table is not None:
            yield from _walk(key.shape, f"{at}.", used)
        elif key.shape.sort == "list" and key.shape.parts[0].table is not None:
            places = [int(one[len(at) + 1 :].split(".")[0]) for one in used if one.startswith(f"{at}.")]
            for number in range(1, max([*places, 1]) + 1):
                yield from _walk(key.shape.parts[0], f"{at}.{number}.", used)
        else:
            yield at


def _cells(shape: Shape, value: Any, stem: str) -> dict[str, str]:
    assert shape.table is not None
    found: dict[str, str] = {}
    for key in keys_of(shape.table).values():
        if key.key not in value or (not stem and shape.table is TABLES["unit"] and key.key in ELSEWHERE):
            continue
        one, at = value[key.key], f"{stem}{key.key}"
        if key.shape.table is not None:
            found |= _cells(key.shape, one, f"{at}.")
        elif key.shape.sort == "list" and key.shape.parts[0].table is not None:
            for number, row in enumerate(one, 1):
                found |= _cells(key.shape.parts[0], row, f"{at}.{number}.")
        else:
            found[at] = _said(one)
    return found


def _said(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        return "; ".join(", ".join(map(str, one)) if isinstance(one, list) else str(one) for one in value)
    return str(value)


def _value(shape: Shape, text: str) -> Any:
    if shape.sort == "yes_no":
        return {"yes": True, "no": False}.get(text.strip().lower(), text)
    if shape.sort in ("number", "count"):
        plain = text.strip()
        return (int(plain) if _WHOLE.fullmatch(plain) else float(plain)) if _NUMBER.fullmatch(plain) else text
    if shape.sort == "date":
        return text.strip()
    if shape.sort == "list":
        parts = [part.strip() for part in text.split(";") if part.strip()]
        if shape.parts[0].sort == "pair":
            return [[half.strip() for half in part.split(",")] for part in parts]
        return parts
    return text


def _put(spec: dict[str, Any], path: list[str], value: Any) -> None:
    """Lists are kept as tables by number until the row is whole."""
    inside = spec
    for part in path[:-1]:
        inside = inside.setdefault(part, {})
    inside[path[-1]] = value


def _closed(value: Any) -> Any:
    """Tables by number as lists, in order."""
    if not isinstance(value, dict):
        return value
    closed = {key: _closed(one) for key, one in value.items()}
    if closed and all(key.isdigit() for key in closed):
        return [closed[key] for key in sorted(closed, key=int)]
    return closed


def day_in(text: str) -> datetime.date | None:
    """The day a cell names, None for none; ValueError for what is no day. [-]"""
    return datetime.date.fromisoformat(text.strip()) if text.strip() else None
