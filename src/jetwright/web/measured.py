"""Quantities in the units of whoever reads a page: what was typed stays, with the other beside it."""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

from jetwright.errors import UnitError
from jetwright.report.figures import figure, number, printed, rated, signed, unit_for
from jetwright.report.wording import _
from jetwright.units import KINDS, TABLE, read, shown, to, unit_of

_SYSTEM: ContextVar[str] = ContextVar("system", default="si")
_AMERICAN = {shown(row.name, "us") for row in TABLE if shown(row.name, "us") != row.name} | {"ksi"}
MARKED = ("rating", "withstands")
"""Keys of what a part bears at most: in another unit it is never said higher."""
NO_OTHER = ("temperature_difference", "direction")
"""Kinds that are said as they are typed."""


@contextmanager
def measuring(system: str) -> Iterator[None]:
    """What is said inside is said in these units, "si" or "us", in this thread or task alone. [-]"""
    before = _SYSTEM.set(system)
    try:
        yield
    finally:
        _SYSTEM.reset(before)


def system() -> str:
    """The units of whoever reads the page. [-]"""
    return _SYSTEM.get()


def in_both(text: str, kind: str, key: str = "") -> str:
    """A typed quantity as it was typed, with the reader's unit beside it where that is another one. [-]

    key: which of a table's keys it stands under: "1400 bar (20300 psi)" is a rating, rounded down.
    """
    other = in_other(text, kind, key)
    return f"{signed(text)} ({other})" if other else signed(text)


def in_other(text: str, kind: str, key: str = "") -> str:
    """A typed quantity in the reader's unit; "" where it is typed in one of those, or cannot be read. [-]"""
    if kind == "flow_at":
        flow, at, pressure = text.partition(" at ")
        parts = in_other(flow, "flow"), in_other(pressure, "pressure")
        return _("{flow} at {pressure}").format(flow=parts[0], pressure=parts[1]) if at and all(parts) else ""
    try:
        value = read(text, kind) if _foreign(text, kind) else None
    except UnitError:
        value = None
    if value is None or (value == 0.0 and kind != "temperature"):
        return ""
    return rated(value, system()) if key in MARKED else figure(value, unit_for(kind, value, system()), system())


def as_example(text: str, kind: str) -> str:
    """How a quantity might be written, in the reader's units, in round numbers. [-]"""
    if kind == "flow_at":
        flow, _at, pressure = text.partition(" at ")
        return f"{as_example(flow, 'flow')} at {as_example(pressure, 'pressure')}"
    if not _foreign(text, kind):
        return signed(text)
    unit = unit_for(kind, read(text, kind), system())
    return f"{float(f'{to(read(text, kind), unit):.2g}'):g} {printed(unit)}"


def as_bound(text: str, kind: str, *, most: bool) -> str:
    """A bound of what may be typed, in the reader's units, rounded to its safe side. [-]"""
    if not _foreign(text, kind):
        return signed(text)
    value = read(text, kind)
    unit = unit_for(kind, value, system())
    return f"{number(value, unit, system(), up=not most)} {printed(unit)}"


def _foreign(text: str, kind: str) -> bool:
    """Whether a quantity is written in a unit that is none of the reader's."""
    if kind not in KINDS or kind in NO_OTHER:
        return False
    unit = unit_of(text, kind)
    return shown(unit, "us") != unit if system() == "us" else unit in _AMERICAN
