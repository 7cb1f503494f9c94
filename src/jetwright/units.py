"""What a person types to SI and back: one closed table of units, standard library only.

Inside, everything is a float in SI: Pa (gauge), m³/s, m, m², K, rev/s, W, N, N m, kg, m³, s, kg/J, rad, 1. A unit is
part of what a person types; a number without one, or one that can be read in two ways, is refused with the readings
named.

Conversion factors are exact by definition: NIST Special Publication 811 (2008), appendix B, and the SI Brochure, 9th
edition (BIPM 2019): inch 25.4 mm, foot 0.3048 m, pound 0.45359237 kg, standard gravity 9.80665 m/s², US gallon 231 in³,
mechanical horsepower 550 ft lbf/s.
"""

import difflib
import math
import re
from dataclasses import dataclass
from types import MappingProxyType

from jetwright.errors import UnitError

LONGEST = 60
"""Most characters of a written quantity."""

LARGEST = 1e15
"""A written number above this, or below its reciprocal, is refused as absurd."""

GALLON_L = 3.785411784  # 231 in³
POUND_KG = 0.45359237
GRAVITY = 9.80665
POUND_FORCE_N = POUND_KG * GRAVITY


@dataclass(frozen=True, slots=True)
class Unit:
    """A row of the table: SI value = (number + shift)·times/over."""

    name: str
    kind: str
    times: float = 1.0
    over: float = 1.0
    shift: float = 0.0
    typed: bool = True


TABLE = (
    Unit("bar", "pressure", 1e5),
    Unit("kPa", "pressure", 1e3),
    Unit("MPa", "pressure", 1e6),
    Unit("psi", "pressure", POUND_FORCE_N * 1e4, 6.4516),
    Unit("ksi", "pressure", POUND_FORCE_N * 1e7, 6.4516),
    Unit("L/min", "flow", 1.0, 60e3),
    Unit("gpm", "flow", GALLON_L, 60e3),
    Unit("m3/h", "flow", 1.0, 3600.0),
    Unit("L/h", "flow", 1.0, 3.6e6),
    Unit("gal/h", "flow", GALLON_L, 3.6e6, typed=False),
    Unit("mm", "length", 1.0, 1e3),
    Unit("cm", "length", 1.0, 1e2),
    Unit("m", "length"),
    Unit("um", "length", 1.0, 1e6),
    Unit("in", "length", 25.4, 1e3),
    Unit("ft", "length", 0.3048),
    Unit("mm2", "area", 1.0, 1e6),
    Unit("in2", "area", 645.16, 1e6),
    Unit("degC", "temperature", shift=273.15),
    Unit("degF", "temperature", 5.0, 9.0, 459.67),
    Unit("K", "temperature_difference"),
    Unit("degC", "temperature_difference"),
    Unit("degF", "temperature_difference", 5.0, 9.0),
    Unit("rpm", "speed", 1.0, 60.0),
    Unit("kW", "power", 1e3),
    Unit("hp", "power", 550.0 * 0.3048 * POUND_FORCE_N),
    Unit("N", "force"),
    Unit("kN", "force", 1e3),
    Unit("lbf", "force", POUND_FORCE_N),
    Unit("N m", "torque"),
    Unit("kg", "mass"),
    Unit("lb", "mass", POUND_KG),
    Unit("L", "volume", 1.0, 1e3),
    Unit("m3", "volume"),
    Unit("gal", "volume", GALLON_L, 1e3),
    Unit("s", "time"),
    Unit("min", "time", 60.0),
    Unit("h", "time", 3600.0),
    Unit("d", "time", 86400.0, typed=False),
    Unit("s", "age"),
    Unit("min", "age", 60.0),
    Unit("h", "age", 3600.0),
    Unit("d", "age", 86400.0),
    Unit("g/kWh", "fuel_rate", 1.0, 3.6e9),
    Unit("deg", "angle", math.pi, 180.0),
    Unit("deg", "direction", math.pi, 180.0),
    Unit("%", "percent", 1.0, 100.0),
    Unit("m/s", "velocity"),
    Unit("ft/s", "velocity", 0.3048),
)
"""Every unit, kind by kind; a row that is not `typed` is for showing only."""

_TYPED = [row for row in TABLE if row.typed]

KINDS = MappingProxyType(
    {kind: {row.name: row for row in _TYPED if row.kind == kind} for kind in dict.fromkeys(row.kind for row in _TYPED)}
    | {"flow_at": {row.name: row for row in _TYPED if row.kind == "flow"}}
)
"""kind → name → unit, as a person may type them; "flow_at" is a flow and a pressure, read by `read_rated`."""

EXAMPLES = MappingProxyType(
    {
        "pressure": "950 bar",
        "flow": "150 L/min",
        "length": "20 m",
        "area": "20 mm2",
        "temperature": "18 degC",
        "temperature_difference": "3 K",
        "speed": "400 rpm",
        "power": "290 kW",
        "force": "90 kN",
        "torque": "500 N m",
        "mass": "75 kg",
        "volume": "600 L",
        "time": "4 h",
        "age": "366 d",
        "fuel_rate": "208 g/kWh",
        "angle": "10 deg",
        "direction": "30 deg back",
        "percent": "3 %",
        "velocity": "20 m/s",
        "flow_at": "18 L/min at 900 bar",
    }
)
"""kind → how one is written."""

RULE_KINDS = ("age", "velocity")
"""Kinds that a rule set holds and no job file."""

_US = {
    "bar": "psi", "kPa": "psi", "MPa": "psi", "L/min": "gpm", "m3/h": "gpm", "L/h": "gal/h", "mm": "in", "cm": "in",
    "m": "ft", "mm2": "in2", "degC": "degF", "kW": "hp", "N": "lbf", "kN": "lbf", "kg": "lb", "L": "gal", "m3": "gal",
    "m/s": "ft/s",
}  # fmt: skip

_ALSO = {
    "um": ("µm", "\u03bcm", "micron", "microns"),  # the sign of micro, the Greek letter, and how it is said
    "degC": ("°C",), "degF": ("°F",), "mm2": ("mm²",), "in2": ("in²",), "m3": ("m³",), "m3/h": ("m³/h",),
}  # fmt: skip


def _spelt(row: Unit) -> set[str]:
    """How a unit may be written: as its name, in capitals, in small letters, or with a capital in front.

    Where a small m would be milli and a large one mega, the first letter is as in the name, or all are capitals.
    """
    name = row.name
    ways = {name.upper(), name.lower(), name.capitalize()}
    sure = {way for way in ways if name[0] not in "mM" or way[0] == name[0] or (name[0] == "m" and way == name.upper())}
    return {name, *sure, *_ALSO.get(name, ())}


_SPELT = {kind: {way: row for row in rows.values() for way in _spelt(row)} for kind, rows in KINDS.items()}
_FIRST = {way: row for row in reversed(TABLE) for way in _spelt(row)}
_NUMBER = re.compile(r"[+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]+)?")
_GAP = r"[.,'_’ \u00a0\u2009\u202f]"
_DIGITS = re.compile(rf"([+-]?)([0-9]*(?:{_GAP}[0-9]+)*)")
_ABSOLUTE = re.compile(r"\babs|\(a\)|^(?:bara|psia)$", re.IGNORECASE)
_MEANT = {
    "lpm": "L/min", "l/m": "L/min", "°c": "degC", "c": "degC", "°f": "degF", "f": "degF", "mm²": "mm2", "in²": "in2",
    "m³": "m3", "m³/h": "m3/h", "°": "deg", "pct": "%", "litre": "L", "liter": "L", "feet": "ft", "inch": "in",
    '"': "in", "'": "ft", "lbs": "lb", "gallon": "gal", "hr": "h", "sec": "s", "nm": "N m", "1/min": "rpm",
}  # fmt: skip


def units_of(kind: str) -> list[str]:
    """Names of the units in which a kind may be typed. [-]

    Parameters
    ----------
    kind : str
        A key of `KINDS`. [-]

    Examples
    --------
    >>> units_of("area")
    ['mm2', 'in2']

    References
    ----------
    Our own convention.
    """
    return list(KINDS[kind])


def read(text: str, kind: str) -> float:
    """Value of a written quantity. [SI]

    Parameters
    ----------
    text : str
        A number and its unit, e.g. "950 bar"; "850 BAR" and "25 µm" are read too, "1 mPa" is not taken for "1 MPa". [-]
    kind : str
        A key of `KINDS` other than "flow_at". A "direction" may also be written "30 deg back". [-]

    Raises
    ------
    UnitError
        With the code missing_unit, decimal_comma, ambiguous_thousands, not_a_number, absurd_number, too_long,
        unknown_unit, other_kind or absolute_pressure; its facts always hold `kind`, `units` and `example`.

    Examples
    --------
    >>> f"{read('14500 psi', 'pressure') / 1e5:.2f}"
    '999.74'
    >>> f"{read('30 deg back', 'direction') * 180 / 3.141592653589793:.1f}"
    '150.0'
    >>> read("2,5 L/min", "flow")
    Traceback (most recent call last):
    jetwright.errors.UnitError: decimal_comma: '2,5 L/min' {'kind': 'flow', 'units': ['L/min', 'gpm', 'm3/h', 'L/h'], \
'example': '150 L/min', 'readings': ['2.5 L/min', '25 L/min']}

    References
    ----------
    NIST SP 811 (2008), appendix B; the rules of writing are our own convention.
    """
    written = " ".join(text[: LONGEST + 1].split())
    if kind == "direction" and written.endswith(" back"):
        forward = _read(text, written.removesuffix(" back"), kind)
        return math.pi - forward
    return _read(text, written, kind)


def unit_of(text: str, kind: str) -> str:
    """The name of the unit that a quantity is written in, however it is spelt; "" where it has none of the kind. [-]

    Parameters
    ----------
    text : str
        A number and its unit, as `read` takes them. [-]
    kind : str
        A key of `KINDS` other than "flow_at". [-]

    Examples
    --------
    >>> unit_of("850 BAR", "pressure"), unit_of("25 micron", "length"), unit_of("850", "pressure")
    ('bar', 'um', '')

    References
    ----------
    Our own convention.
    """
    written = " ".join(text[: LONGEST + 1].split()).removesuffix(" back")
    found = _NUMBER.match(written)
    row = _SPELT[kind].get(written[found.end() :].strip()) if found else None
    return row.name if row else ""


def read_rated(text: str) -> tuple[float, float]:
    """Flow and pressure of a written pair, "18 L/min at 900 bar". [m³/s, Pa]

    Parameters
    ----------
    text : str
        A flow and the gauge pressure it was measured at. [-]

    Raises
    ------
    UnitError
        As `read`, and with the code missing_at where the pressure is missing.

    Examples
    --------
    >>> flow, pressure = read_rated("18 L/min at 900 bar")
    >>> f"{flow * 60e3:.1f} {pressure / 1e5:.0f}"
    '18.0 900'

    References
    ----------
    Our own convention.
    """
    written = " ".join(text[: LONGEST + 1].split())
    flow, at, pressure = written.partition(" at ")
    if len(text) <= LONGEST and not at:
        raise _error("missing_at", text, "flow_at")
    return _read(text, flow, "flow"), _read(text, pressure, "pressure")


def to(value: float, unit: str, kind: str = "") -> float:
    """Number of a quantity in a unit. [the unit]

    Parameters
    ----------
    value : float
        The quantity. [SI]
    unit : str
        A name of the table. [-]
    kind : str
        Which row, where one name serves two kinds, e.g. "temperature_difference"; default the first row. [-]

    Raises
    ------
    UnitError
        With the code unknown_unit where the table does not hold it.

    Examples
    --------
    >>> to(95e6, "bar")
    950.0
    >>> round(to(293.15, "degF"), 2)
    68.0

    References
    ----------
    NIST SP 811 (2008), appendix B.
    """
    row = _row(unit, kind)
    return value * row.over / row.times - row.shift


def of(number: float, unit: str, kind: str = "") -> float:
    """Value of a number in a unit. [SI]

    Parameters
    ----------
    number : float
        The number in front of the unit. [the unit]
    unit : str
        A name of the table. [-]
    kind : str
        Which row, where one name serves two kinds; default the first row. [-]

    Raises
    ------
    UnitError
        With the code unknown_unit where the table does not hold it.

    Examples
    --------
    >>> of(950.0, "bar")
    95000000.0

    References
    ----------
    NIST SP 811 (2008), appendix B.
    """
    row = _row(unit, kind)
    return (number + row.shift) * row.times / row.over


def show(value: float, unit: str, digits: int = 4, kind: str = "") -> str:
    """A quantity as a person writes it, e.g. "950 bar". [-]

    Parameters
    ----------
    value : float
        The quantity. [SI]
    unit : str
        A name of the table; "" shows the bare number. [-]
    digits : int
        Significant digits kept; digits before the point are never rounded away. [-]
    kind : str
        Which row, where one name serves two kinds; default the first row. [-]

    Raises
    ------
    UnitError
        With the code unknown_unit where the table does not hold it.

    Examples
    --------
    >>> show(95e6, "bar")
    '950 bar'
    >>> show(1e8, "psi")
    '14504 psi'
    >>> show(0.03, "%")
    '3 %'

    References
    ----------
    Our own convention.
    """
    number = to(value, unit, kind) if unit else value
    return f"{_plain(number, digits)} {unit}".rstrip()


def shown(unit: str, system: str) -> str:
    """The unit that stands in for another in a system of units. [-]

    Parameters
    ----------
    unit : str
        A name of the table, as a result is shown in SI. [-]
    system : str
        "si" leaves it as it is; "us" gives psi, gpm, in, ft, in2, lbf, hp, degF, gal, lb. [-]

    Examples
    --------
    >>> shown("bar", "us"), shown("mm", "us"), shown("rpm", "us"), shown("bar", "si")
    ('psi', 'in', 'rpm', 'bar')

    References
    ----------
    Our own convention.
    """
    return _US.get(unit, unit) if system == "us" else unit


def _error(code: str, text: str, kind: str, **facts: object) -> UnitError:
    facts = {"kind": kind, "units": units_of(kind), "example": EXAMPLES[kind]} | facts
    return UnitError(code, text if len(text) <= LONGEST else text[:LONGEST] + "…", **facts)


def _row(unit: str, kind: str) -> Unit:
    for row in TABLE:
        if row.name == unit and kind in ("", row.kind):
            return row
    raise UnitError("unknown_unit", unit, kind=kind, units=[*dict.fromkeys(row.name for row in TABLE)])


def _plain(number: float, digits: int) -> str:
    if number == 0.0 or not math.isfinite(number):
        return f"{number + 0.0:.0f}"
    places = max(0, digits - 1 - math.floor(math.log10(abs(number))))
    text = f"{number:.{places}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text == "-0" else text


def _read(text: str, written: str, kind: str) -> float:
    if len(text) > LONGEST:
        raise _error("too_long", text, kind, limit=LONGEST)
    digits = _DIGITS.match(written)
    sign, run = digits.groups() if digits else ("", "")
    if run and not _NUMBER.fullmatch(run):
        code, readings = _readings(run)
        rest = written[len(sign) + len(run) :].strip()
        raise _error(code, text, kind, readings=[f"{sign}{r} {rest}".strip() for r in readings])
    found = _NUMBER.match(written)
    if found is None:
        raise _error("not_a_number", text, kind)
    unit = written[found.end() :].strip()
    row = _SPELT[kind].get(unit)
    if row is None:
        raise _wrong_unit(text, unit, kind)
    try:
        number = float(found.group())
    except ValueError:  # pragma: no cover - the pattern admits only what float reads
        raise _error("not_a_number", text, kind) from None
    if not (number == 0.0 or 1.0 / LARGEST <= abs(number) <= LARGEST):
        raise _error("absurd_number", text, kind)
    return (number + row.shift) * row.times / row.over


def _readings(run: str) -> tuple[str, list[str]]:
    """Code and the numbers that a run of digits with separators may mean, each written so that it has one reading."""
    gaps = re.findall(_GAP, run)
    together = re.sub(_GAP, "", run)
    head, _, tail = run.rpartition(gaps[-1])
    head = re.sub(_GAP, "", head) or "0"
    with_point = f"{head}.{tail}"
    if gaps == [","]:
        whole = together.lstrip("0") or "0"
        if len(tail) == 3 and len(head) <= 3 and head != "0":
            plain = with_point.rstrip("0").rstrip(".") if tail[-1] == "0" else f"{with_point}0"
            return "ambiguous_thousands", [plain, whole]
        return "decimal_comma", [with_point, whole]
    if gaps[-1] in ",." and gaps.count(gaps[-1]) == 1:
        return "ambiguous_thousands", [with_point, together]
    return "ambiguous_thousands", [together]


def _wrong_unit(text: str, unit: str, kind: str) -> UnitError:
    if not unit:
        return _error("missing_unit", text, kind)
    if kind == "pressure" and _ABSOLUTE.search(unit):
        return _error("absolute_pressure", text, kind)
    if unit in _FIRST and _FIRST[unit].typed:
        return _error("other_kind", text, kind, unit=unit, unit_kind=_FIRST[unit].kind)
    if not unit[0].isalpha() and unit[0] not in "%°\"'":
        return _error("not_a_number", text, kind)
    return _error("unknown_unit", text, kind, unit=unit, nearest=_nearest(unit, kind))


def _nearest(unit: str, kind: str) -> str:
    known = KINDS[kind]
    for name in known:
        if name.lower() == unit.lower():
            return name
    meant = _MEANT.get(unit.lower(), "")
    if meant in known:
        return meant
    close = difflib.get_close_matches(unit, known, 1, 0.5)
    return close[0] if close else ""
