"""What the job file's tables look like, read from the rig's dataclasses: the one place that walks their type hints."""

import dataclasses
import datetime
import functools
import types
import typing
from collections.abc import Mapping
from typing import Any, Literal, get_args, get_origin

from jetwright.rig.description import FlowAt, Job
from jetwright.rig.quantity import Quantity


@dataclasses.dataclass(frozen=True, slots=True)
class Shape:
    """What may stand in one place.

    sort: "text", "words", "yes_no", "date", "number", "count", "quantity", "rated", "table", "list", "pair", "rows" or
    "any" (read where more is known).
    quantity: what a number means, for number, count, quantity and rated.
    words: what may stand there, for words.
    table: the dataclass, for table.
    parts: the shape of an element for list and of a row for rows; both shapes for pair.
    """

    sort: str
    quantity: Quantity | None = None
    words: tuple[str, ...] = ()
    table: type[Any] | None = None
    parts: tuple["Shape", ...] = ()


@dataclasses.dataclass(frozen=True, slots=True)
class Key:
    """One key of a table: as written in the file, as named in the dataclass, and what may stand there."""

    key: str
    name: str
    shape: Shape
    required: bool
    default: object


def keys_of(table: type[Any]) -> Mapping[str, Key]:
    """The keys of a table, in the order of its dataclass. [-]

    Parameters
    ----------
    table : type
        A dataclass of `rig.description`. [-]

    Examples
    --------
    >>> from jetwright.rig.description import Gauge
    >>> list(keys_of(Gauge))
    ['full_scale', 'class', 'division']

    References
    ----------
    Our own convention.
    """
    return _keys_of(table)  # type: ignore[arg-type]  # mypy takes a class for unhashable


def shape_of(hint: object) -> Shape:
    """What a type hint of the description allows. [-]

    Parameters
    ----------
    hint : object
        As `typing.get_type_hints(..., include_extras=True)` gives it. [-]

    Raises
    ------
    TypeError
        For a hint that no job file can hold: a mistake in the description, not in a file.

    Examples
    --------
    >>> shape_of(tuple[str, ...]).parts[0].sort
    'text'

    References
    ----------
    Our own convention.
    """
    if get_origin(hint) in (types.UnionType, typing.Union):
        (hint,) = (part for part in get_args(hint) if part is not type(None))
    plain: dict[object, str] = {str: "text", bool: "yes_no", datetime.date: "date", object: "any"}
    if hint in plain:
        return Shape(plain[hint])
    origin, args = get_origin(hint), get_args(hint)
    if origin is typing.Annotated:
        return Shape(_sort(args[0], args[1]), quantity=args[1])
    if origin is Literal:
        return Shape("words", words=args)
    if origin is tuple:
        if args[-1] is Ellipsis:
            return Shape("list", parts=(shape_of(args[0]),))
        return Shape("pair", parts=tuple(shape_of(arg) for arg in args))
    if origin is Mapping:
        return Shape("rows", parts=(shape_of(args[1]),))
    if isinstance(hint, type) and dataclasses.is_dataclass(hint):
        return Shape("table", table=hint)
    raise TypeError(f"no job file can hold {hint!r}")


JOB = Shape("table", table=Job)
"""The whole job file."""

YARD = ("unit", "hoses", "fittings", "tips", "tools", "restraints")
"""The keys a yard file may hold."""


def shape_at(shape: Shape, path: tuple[str | int, ...]) -> Shape:
    """What may stand at a path below a place. [-]

    Parameters
    ----------
    shape : Shape
        Of the place. [-]
    path : tuple
        Keys of tables and rows, places in lists. [-]

    Examples
    --------
    >>> shape_at(JOB, ("hoses", "R8-20", "bore")).sort
    'quantity'

    References
    ----------
    Our own convention.
    """
    for part in path:
        if shape.table is not None:
            shape = keys_of(shape.table)[str(part)].shape
        else:
            shape = shape.parts[part if shape.sort == "pair" else 0]  # type: ignore[index]
    return shape


def tables() -> dict[str, list[str]]:
    """Name of each table of a job file → its keys, in the order of the dataclasses. [-]

    Examples
    --------
    >>> tables()["supply.hose"]
    ['bore', 'length']

    References
    ----------
    Our own convention.
    """
    found: dict[str, list[str]] = {}

    def walk(shape: Shape, name: str) -> None:
        if shape.table is not None:
            keys = keys_of(shape.table)
            found[name] = list(keys)
            for key in keys.values():
                walk(key.shape, f"{name}.{key.key}".lstrip("."))
        elif shape.sort in ("rows", "list"):
            walk(shape.parts[0], f"{name}.*" if shape.sort == "rows" else name)

    walk(JOB, "")
    return found


def _sort(kind: type[Any], quantity: Quantity) -> str:
    if kind is FlowAt:
        return "rated"
    if kind is int:
        return "count"
    return "number" if quantity.kind == "ratio" else "quantity"


@functools.cache
def _keys_of(table: type[Any]) -> Mapping[str, Key]:
    hints = typing.get_type_hints(table, include_extras=True)
    found = {}
    for field in dataclasses.fields(table):
        key = field.metadata.get("key", field.name)
        default = field.default
        if field.default_factory is not dataclasses.MISSING:
            default = field.default_factory()
        required = default is dataclasses.MISSING
        found[key] = Key(key, field.name, shape_of(hints[field.name]), required, None if required else default)
    return types.MappingProxyType(found)
