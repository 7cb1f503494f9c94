"""Figures as a crew reads them: SI in, a number and its unit out, no finer than anyone on site can set or see."""

import math
import re

from jetwright import units

POUND_FOOT = units.POUND_FORCE_N * 0.3048
"""A pound-force foot, NIST SP 811. [N m]"""

# shown unit → significant digits, fewest and most decimals
_STEPS: dict[str, tuple[int, int, int]] = {
    "bar": (3, 0, 1),
    "psi": (3, -1, 0),
    "L/min": (3, 0, 2),
    "gpm": (3, 0, 2),
    "L/h": (3, 0, 1),
    "gal/h": (3, 0, 2),
    "rpm": (3, 0, 0),
    "kW": (3, 0, 1),
    "hp": (3, 0, 1),
    "N": (3, 0, 0),
    "lbf": (3, -1, 1),
    "N m": (3, 0, 2),
    "kg": (3, 0, 1),
    "lb": (3, 0, 1),
    "mm": (3, 0, 2),
    "um": (2, 0, 1),
    "in": (3, 0, 4),
    "m": (3, 0, 2),
    "ft": (3, 0, 2),
    "mm2": (3, 0, 3),
    "in2": (3, 0, 5),
    "m/s": (3, 0, 1),
    "ft/s": (3, 0, 1),
    "degC": (3, 0, 0),
    "degF": (3, 0, 0),
    "L": (3, 0, 1),
    "gal": (3, 0, 1),
    "kN": (3, 0, 1),
    "s": (2, 0, 1),
    "min": (2, 0, 1),
    "h": (2, 0, 1),
    "d": (3, 0, 0),
}
_PRINTED = {
    "um": "µm", "mm2": "mm²", "in2": "in²", "m3": "m³", "m3/h": "m³/h", "degC": "°C", "degF": "°F",
}  # fmt: skip
_NAMED = re.compile(rf"(?<![\w/])(?:{'|'.join(sorted(_PRINTED, key=len, reverse=True))})(?![\w/])")

# the unit a quantity is shown in where nobody chose one
USUAL = {
    "pressure": "bar",
    "flow": "L/min",
    "speed": "rpm",
    "power": "kW",
    "force": "N",
    "length": "mm",
    "area": "mm2",
    "temperature": "degC",
    "temperature_difference": "degC",
    "mass": "kg",
    "volume": "L",
    "velocity": "m/s",
    "time": "min",
    "fuel_rate": "g/kWh",
    "angle": "deg",
    "direction": "deg",
    "percent": "%",
}
HALF_METRE = 0.5
KILONEWTONS = 10e3
AS_GOOD_AS = 1e-6
"""Share of the last digit printed that a value may be off it and still be it, where an end is rounded outward."""
LOPSIDED = 0.6
"""Below this share of the wider side, the narrower one needs its own number."""
SHORT = (("s", 120.0), ("min", 3.0 * 3600.0), ("h", 2.0 * 86400.0))
"""A time is shown in the first of these units that it is shorter than, else in days. [s]"""


def unit_for(kind: str, value: float, system: str = "si") -> str:
    """The unit a quantity is shown in; "" for a bare number. [-]

    Parameters
    ----------
    kind : str
        The quantity, a kind of `units`; "", "ratio" and "count" are bare. [-]
    value : float
        Its value: a length from half a metre on is shown in metres or feet, a time in what it is said in. [SI]
    system : str
        "si" or "us". [-]

    Examples
    --------
    >>> unit_for("pressure", 9e7, "us"), unit_for("length", 20.0), unit_for("length", 0.008), unit_for("ratio", 0.9)
    ('psi', 'm', 'mm', '')
    >>> unit_for("time", 10.0), unit_for("time", 1220.0), unit_for("time", 61200.0), unit_for("time", 3.2e7)
    ('s', 'min', 'h', 'd')

    References
    ----------
    Our own convention.
    """
    unit = USUAL.get(kind, "")
    if kind == "length" and abs(value) >= HALF_METRE:
        unit = "m"
    if kind == "force" and abs(value) >= KILONEWTONS:
        unit = "kN"
    if kind == "time":
        unit = next((name for name, longest in SHORT if abs(value) < longest), "d")
    return units.shown(unit, system)


def number(value: float, unit: str, system: str = "si", *, up: bool | None = None) -> str:
    """The number alone, in the system's unit. [the unit]

    Parameters
    ----------
    value : float
        The quantity. [SI]
    unit : str
        The unit it is shown in under "si". [-]
    system : str
        "si" or "us". [-]
    up : bool | None
        An end of a band: never below the value, or never above it; None: the nearest. [-]

    Examples
    --------
    >>> number(93.31e6, "bar"), number(93.31e6, "bar", "us"), number(2.0, "rpm"), number(3.15e6, "bar")
    ('933', '13530', '120', '31.5')
    >>> number(260.4, "N", up=True), number(260.6, "N", up=False)
    ('261', '260')

    References
    ----------
    Our own convention; conversion factors from NIST SP 811 (2008), through `units`.
    """
    unit = units.shown(unit, system)
    shown = units.to(value, unit)
    digits, fewest, most = _STEPS.get(unit, (4, 0, 4))
    if shown == 0.0:
        return "0"
    size = math.floor(math.log10(abs(shown)))
    places = min(max(digits - 1 - size, fewest), most)
    if up is not None:
        steps = shown * 10.0**places
        shown = (math.ceil(steps - AS_GOOD_AS) if up else math.floor(steps + AS_GOOD_AS)) / 10.0**places
    text = f"{round(shown, places):.{max(places, 0)}f}"
    return text.removeprefix("-") if float(text) == 0.0 else text.replace("-", "−")


def printed(unit: str, system: str = "si") -> str:
    """The unit's sign on paper. [-]

    Parameters
    ----------
    unit : str
        The unit under "si". [-]
    system : str
        "si" or "us". [-]

    Examples
    --------
    >>> printed("mm2"), printed("mm2", "us"), printed("L/min", "us")
    ('mm²', 'in²', 'gpm')

    References
    ----------
    Our own convention.
    """
    unit = units.shown(unit, system)
    return _PRINTED.get(unit, unit)


def signed(text: str) -> str:
    """A text in which units that have a sign on paper stand with it. [-]

    Parameters
    ----------
    text : str
        With quantities as a person types them. [-]

    Examples
    --------
    >>> signed("18 degC"), signed("mm2, in2"), signed("5 m3/h at 20 m")
    ('18 °C', 'mm², in²', '5 m³/h at 20 m')

    References
    ----------
    Our own convention.
    """
    return _NAMED.sub(lambda found: _PRINTED[found[0]], text)


def rated(pressure: float, system: str = "si") -> str:
    """What is marked on a part as the most it bears: never printed above what it is. [-]

    Parameters
    ----------
    pressure : float
        The rating. [Pa]
    system : str
        "si" or "us". [-]

    Examples
    --------
    >>> rated(1400e5), rated(1400e5, "us"), figure(1400e5, "bar", "us")
    ('1400 bar', '20300 psi', '20310 psi')

    References
    ----------
    Our own convention: 1400 bar are 20 305 psi.
    """
    return f"{number(pressure, 'bar', system, up=False)} {printed('bar', system)}"


def figure(value: float, unit: str, system: str = "si") -> str:
    """Number and unit. [-]

    Parameters
    ----------
    value : float
        The quantity. [SI]
    unit : str
        The unit it is shown in under "si"; "" for a bare number. [-]
    system : str
        "si" or "us". [-]

    Examples
    --------
    >>> figure(90e6, "bar"), figure(90e6, "bar", "us"), figure(6.6e-7, "mm2")
    ('900 bar', '13050 psi', '0.660 mm²')

    References
    ----------
    Our own convention.
    """
    return f"{number(value, unit, system)} {printed(unit, system)}"


def rough(value: float, unit: str, system: str = "si") -> str:
    """An estimate, with no more digits than it is worth, and never a power of ten. [-]

    Parameters
    ----------
    value : float
        The quantity. [SI]
    unit : str
        The unit it is shown in under "si". [-]
    system : str
        "si" or "us". [-]

    Examples
    --------
    >>> rough(467e5, "bar"), rough(467e5, "bar", "us"), rough(0.00101, "mm")
    ('470 bar', '6800 psi', '1 mm')

    References
    ----------
    Our own convention: two digits.
    """
    unit = units.shown(unit, system)
    return f"{units.show(float(f'{units.to(value, unit):.2g}'), '', 3)} {unit}"


def half_width(
    value: float, band: tuple[float, float], unit: str, system: str = "si", finest: float = 0.0
) -> str | None:
    """How far a value may be off, said as one number rounded up; None where the two sides differ too much. [the unit]

    Parameters
    ----------
    value : float
        The value. [SI]
    band : tuple of float
        From and to. [SI]
    unit : str
        The unit it is shown in under "si". [-]
    system : str
        "si" or "us". [-]
    finest : float
        No width is printed finer than this. [SI]

    Examples
    --------
    >>> half_width(6.87, (6.72, 7.01), "rpm"), half_width(933e5, (925e5, 941e5), "bar", finest=26e5)
    ('9', '26')
    >>> half_width(933e5, (920e5, 1033e5), "bar") is None
    True

    References
    ----------
    Our own convention: a width is rounded up, never down.
    """
    below, above = value - band[0], band[1] - value
    wide = max(below, above, finest)
    if min(below, above) < LOPSIDED * wide and wide > finest:
        return None
    shown = units.shown(unit, system)
    size = abs(units.to(value + wide, shown) - units.to(value, shown))
    if size == 0.0:
        return number(0.0, unit, system)
    step = 10.0 ** (math.floor(math.log10(size)) - 1)
    step = max(step, 10.0 if shown == "psi" else 1.0 if shown in ("bar", "rpm") and size >= 1.0 else step)
    return f"{math.ceil(size / step - 1e-9) * step:.{max(0, -math.floor(math.log10(step)))}f}"


def percent(share: float) -> str:
    """A share as a crew says it. [%]

    Parameters
    ----------
    share : float
        The share. [-]

    Examples
    --------
    >>> percent(0.314), percent(0.0275), percent(0.0)
    ('31 %', '2.8 %', '0 %')

    References
    ----------
    Our own convention.
    """
    hundredths = 100.0 * share
    return f"{hundredths:.1f} %" if 0.0 < abs(hundredths) < 9.95 else f"{hundredths:.0f} %"


def as_written(value: float | str, kind: str, system: str = "si") -> str:
    """A fact as a person would write it in a job file. [-]

    Parameters
    ----------
    value : float or str
        The fact; a word stays as it is. [SI]
    kind : str
        Its quantity, "" or "ratio" for a bare number. [-]
    system : str
        "si" or "us". [-]

    Examples
    --------
    >>> as_written(0.9, ""), as_written(1.2, "ratio"), as_written(1e-5, "length"), as_written("machine", "")
    ('0.90', '1.2', '0.01 mm', 'machine')

    References
    ----------
    Our own convention.
    """
    if isinstance(value, str):
        return value
    unit = unit_for(kind, value, system)
    if unit:
        return signed(units.show(value, unit, digits=3, kind=kind if kind in ("temperature_difference",) else ""))
    if isinstance(value, int):
        return str(value)
    return f"{value:.2f}" if round(value, 1) == round(value, 3) and abs(value) < 1 else f"{value:.4g}"


def as_number(value: object) -> float:
    """A fact that is a number; 0 for anything else. [-]

    Parameters
    ----------
    value : object
        The fact, None where there is none. [-]

    Examples
    --------
    >>> as_number(3), as_number(None)
    (3.0, 0.0)

    References
    ----------
    Our own convention.
    """
    return float(value) if isinstance(value, int | float) else 0.0
