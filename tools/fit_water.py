"""Write src/jetwright/water/fits.py: polynomials fitted to the equation of state and the viscosity of water.

    python tools/fit_water.py            writes the module
    python tools/fit_water.py --check    compares a fresh fit with the module as it stands; exit 1 if they differ

A development tool: it needs CoolProp and numpy, and to write also ruff, which jetwright itself does not.

Each fit is a least-squares tensor of Chebyshev polynomials, most of degree 5 in temperature and 5 in pressure, at the
Chebyshev nodes of a range slightly wider than the one served, written out as nested (Horner) sums. The states
are found by Newton's method on density at a given temperature, because a flash by pressure and entropy refuses the
supercooled water that a jet leaves as.
"""

import argparse
import subprocess
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import CoolProp
import numpy as np
from CoolProp import CoolProp as Props
from numpy.polynomial import chebyshev
from numpy.polynomial.polynomial import polyfit, polyval

MODULE = Path(__file__).parent.parent / "src" / "jetwright" / "water" / "fits.py"

REFERENCE_PRESSURE = 1e5  # Pa, the cold end of a jet and the inlet of a pump
COLDEST, HOTTEST = 272.65, 333.65  # K, half a kelvin more than is served
LOWEST, HIGHEST = 0.05e6, 402e6  # Pa
HOTTEST_THROTTLED = 356.0  # K, ahead of a throttle at HIGHEST
STEEPEST_THROTTLING = 2.45e-7  # K/Pa, no throttle heats by more
DEGREE_IN_PRESSURE = 5

water = CoolProp.AbstractState("HEOS", "Water")
water.specify_phase(CoolProp.iphase_liquid)


@dataclass(frozen=True)
class Fit:
    """One fitted quantity: what it is called, what it says, and how closely it must be met again."""

    name: str
    says: str
    unit: str
    source: str
    promise: float  # relative, of the quantity that stands on it
    value: Callable[[float, float], float]
    degree: int = 5  # in temperature
    centre: float = 303.15  # K
    half_width: float = 30.0  # K
    hottest: Callable[[float], float] = lambda pressure: HOTTEST


# --- states ----------------------------------------------------------------------------------------------------------


def set_state(temperature: float, pressure: float) -> None:
    """Bring `water` to liquid at this temperature and pressure, supercooled or superheated if it must be."""
    density = 1000.0
    for _ in range(60):
        water.update(CoolProp.DmassT_INPUTS, density, temperature)
        step = (water.p() - pressure) / water.first_partial_deriv(CoolProp.iP, CoolProp.iDmass, CoolProp.iT)
        density -= step
        if abs(step) < 1e-11 * density:
            break
    water.update(CoolProp.DmassT_INPUTS, density, temperature)


def follow_isentrope(temperature: float, pressure: float, end: float) -> float:
    """Bring `water` along its isentrope to the pressure `end`; the enthalpy it gained on the way."""
    set_state(temperature, pressure)
    entropy, enthalpy = water.smass(), water.hmass()
    for _ in range(60):
        set_state(temperature, end)
        step = (water.smass() - entropy) * temperature / water.cpmass()
        temperature -= step
        if abs(step) < 1e-12 * temperature:
            break
    set_state(temperature, end)
    return float(water.hmass() - enthalpy)


# --- the quantities ---------------------------------------------------------------------------------------------------


def volume(temperature: float, pressure: float) -> float:
    """Specific volume, m³/kg."""
    set_state(temperature, pressure)
    return float(1.0 / water.rhomass())


def fluidity(temperature: float, pressure: float) -> float:
    """One over the dynamic viscosity, 1/(Pa s)."""
    set_state(temperature, pressure)
    return float(1.0 / water.viscosity())


def sound_speed(temperature: float, pressure: float) -> float:
    """Speed of sound, m/s."""
    set_state(temperature, pressure)
    return float(water.speed_sound())


def jet_volume(temperature: float, pressure: float) -> float:
    """Enthalpy let go on the isentrope down to 1 bar, by pascal, m³/kg."""
    return follow_isentrope(temperature, pressure, REFERENCE_PRESSURE) / (REFERENCE_PRESSURE - pressure)


def jet_density(temperature: float, pressure: float) -> float:
    """Density at the end of that isentrope, kg/m³."""
    follow_isentrope(temperature, pressure, REFERENCE_PRESSURE)
    return float(water.rhomass())


def pump_volume(temperature: float, pressure: float) -> float:
    """Enthalpy gained on the isentrope up from 1 bar, by pascal, m³/kg."""
    return follow_isentrope(temperature, REFERENCE_PRESSURE, pressure) / (pressure - REFERENCE_PRESSURE)


def pump_warming(temperature: float, pressure: float) -> float:
    """Warming on that isentrope, by pascal, K/Pa."""
    follow_isentrope(temperature, REFERENCE_PRESSURE, pressure)
    return float((water.T() - temperature) / (pressure - REFERENCE_PRESSURE))


def throttle_warming(temperature: float, pressure: float) -> float:
    """Warming at constant enthalpy down to 1 bar, by pascal, K/Pa; the cold end may be superheated liquid."""
    set_state(temperature, pressure)
    enthalpy, reached = water.hmass(), temperature
    for _ in range(60):
        set_state(reached, REFERENCE_PRESSURE)
        step = (water.hmass() - enthalpy) / water.cpmass()
        reached -= step
        if abs(step) < 1e-12 * reached:
            break
    return (reached - temperature) / (pressure - REFERENCE_PRESSURE)


def boost_correction(temperature: float) -> float:
    """What a boosted inlet takes off the specific volume on the pump's isentrope, as a share, by pascal of boost."""
    inlet, outlet = 5e6, 200e6
    right = follow_isentrope(temperature, inlet, outlet)
    straight = sum(
        sign * (end - REFERENCE_PRESSURE) * pump_volume(temperature, end) for sign, end in ((1, outlet), (-1, inlet))
    )
    return (1.0 - right / straight) / (inlet - REFERENCE_PRESSURE)


EQUATION_OF_STATE = "IAPWS R6-95(2018), Thermodynamic Properties of Ordinary Water Substance."
VISCOSITY = "IAPWS R12-08, Viscosity of Ordinary Water Substance."

FITS = (
    Fit("volume", "Specific volume", "m³/kg", EQUATION_OF_STATE, 5e-4, volume),
    Fit("fluidity", "Fluidity, one over the dynamic viscosity", "1/(Pa s)", VISCOSITY, 1e-2, fluidity),
    Fit("sound", "Speed of sound", "m/s", EQUATION_OF_STATE, 1e-3, sound_speed),
    Fit("jet_volume", "Mean volume on the isentrope down to 1 bar", "m³/kg", EQUATION_OF_STATE, 2e-3, jet_volume),
    Fit("jet_density", "Density after expanding to 1 bar", "kg/m³", EQUATION_OF_STATE, 5e-4, jet_density),
    Fit("pump_volume", "Mean volume on the isentrope up from 1 bar", "m³/kg", EQUATION_OF_STATE, 1e-3, pump_volume),
    Fit("pump_warming", "Mean rise on the isentrope up from 1 bar", "K/Pa", EQUATION_OF_STATE, 2e-2, pump_warming),
    Fit(
        "throttle_warming",
        "Mean rise in a throttle down to 1 bar",
        "K/Pa",
        EQUATION_OF_STATE,
        5e-3,
        throttle_warming,
        degree=6,
        centre=360.0,
        half_width=90.0,
        hottest=lambda pressure: HOTTEST_THROTTLED + STEEPEST_THROTTLING * (HIGHEST - pressure),
    ),
)

BOOST_DEGREE = 3


# --- fitting ----------------------------------------------------------------------------------------------------------


def nodes(count: int, low: float, high: float) -> np.ndarray:
    """Chebyshev nodes of a range."""
    return (low + high) / 2 + (high - low) / 2 * np.cos(np.pi * (np.arange(count) + 0.5) / count)


def states(fit: Fit) -> Iterator[tuple[float, float]]:
    """The temperatures and pressures a quantity is fitted at."""
    for pressure in nodes(22, LOWEST, HIGHEST):
        for temperature in nodes(14, COLDEST, fit.hottest(pressure)):
            yield float(temperature), float(pressure)


def coefficients(fit: Fit) -> np.ndarray:
    """Power series in (temperature, pressure), both reduced."""
    points = np.array([(t, p, fit.value(t, p)) for t, p in states(fit)])
    x = (points[:, 0] - fit.centre) / fit.half_width
    y = points[:, 1] * 5e-9 - 1.0
    values = points[:, 2]
    # relative residuals, but of the largest value where the quantity passes through zero
    weight = np.where(values.min() * values.max() > 0.0, 1.0 / values, 1.0 / abs(values).max())
    tensor = chebyshev.chebvander2d(x, y, [fit.degree, DEGREE_IN_PRESSURE])
    found = np.linalg.lstsq(tensor * weight[:, None], values * weight, rcond=None)[0]
    found = found.reshape(fit.degree + 1, DEGREE_IN_PRESSURE + 1)
    to_powers_x = np.array([padded(chebyshev.cheb2poly(row), fit.degree + 1) for row in np.eye(fit.degree + 1)])
    to_powers_y = np.array(
        [padded(chebyshev.cheb2poly(row), DEGREE_IN_PRESSURE + 1) for row in np.eye(DEGREE_IN_PRESSURE + 1)]
    )
    return to_powers_x.T @ found @ to_powers_y


def padded(series: np.ndarray, length: int) -> np.ndarray:
    """The series with zeros for its missing powers."""
    return np.pad(series, (0, length - len(series)))


def boost_coefficients() -> np.ndarray:
    """Power series of the boost correction in temperature, reduced."""
    temperatures = nodes(12, COLDEST, HOTTEST)
    return polyfit((temperatures - 303.15) / 30.0, [boost_correction(float(t)) for t in temperatures], BOOST_DEGREE)


# --- writing ----------------------------------------------------------------------------------------------------------


def nested(series: np.ndarray) -> str:
    """The series as Python text, nested."""
    if len(series) == 1:
        return f"{series[0]:.10g}"
    return f"{series[0]:.10g} + x * ({nested(series[1:])})"


HEAD = f'''"""Polynomials of water's properties. Generated by tools/fit_water.py; do not edit, run it again.

Fitted to IAPWS R6-95(2018) and IAPWS R12-08 as CoolProp {Props.get_global_param_string("version")} computes them. Each
kernel collapses a fit at one temperature to a power series in the reduced pressure y = pressure/200 MPa - 1.
"""

from jetwright.kernel import kernel

Terms = tuple[float, float, float, float, float, float]
'''

TERMS = '''

@kernel
def {name}_terms(temperature: float) -> Terms:
    """{says}, as a power series. [{unit}]

    Parameters
    ----------
    temperature : float
        {coldest:.2f} to {hottest:.2f}. [K]

    Examples
    --------
    >>> f"{{{name}_terms(293.15)[0]:.5g}}"
    '{shown:.5g}'

    References
    ----------
    {source}
    """
    x = (temperature - {centre}) * {scale!r}
    return ({terms})
'''

BOOST = '''

@kernel
def boost_correction(temperature: float) -> float:
    """Share that a pump's isentropic work loses by pascal of inlet pressure above 1 bar. [1/Pa]

    Water that is boosted to the inlet pressure at the supply's temperature starts on a cooler isentrope than water
    that was compressed to it.

    Parameters
    ----------
    temperature : float
        273.15 to 333.15. [K]

    Examples
    --------
    >>> f"{{boost_correction(293.15):.4g}}"
    '{shown:.4g}'

    References
    ----------
    {source}
    """
    x = (temperature - 303.15) * {scale!r}
    return {series}
'''


def module_text() -> str:
    """The module of fits, afresh."""
    parts = [HEAD]
    for fit in FITS:
        found = coefficients(fit)
        at_20_c = polyval((293.15 - fit.centre) / fit.half_width, found[:, 0])
        parts.append(
            TERMS.format(
                name=fit.name,
                says=fit.says,
                unit=fit.unit,
                source=fit.source,
                coldest=273.15,
                hottest=333.15 if fit.hottest(LOWEST) == HOTTEST else fit.hottest(LOWEST) - 0.5,
                shown=at_20_c,
                centre=fit.centre,
                scale=1.0 / fit.half_width,
                terms=", ".join(nested(series) for series in found.T) + ",",
            )
        )
    boost = boost_coefficients()
    at_20_c = polyval(-1.0 / 3.0, boost)
    parts.append(BOOST.format(shown=at_20_c, source=EQUATION_OF_STATE, scale=1.0 / 30.0, series=nested(boost)))
    return "".join(parts)


def formatted(text: str) -> str:
    """The text as the repository formats its code."""
    command = [sys.executable, "-m", "ruff", "format", "--line-length", "120", "--stdin-filename", str(MODULE), "-"]
    return subprocess.run(command, input=text, capture_output=True, text=True, check=True).stdout


# --- checking ---------------------------------------------------------------------------------------------------------


def deviations(fresh: dict, committed: dict) -> Iterator[tuple[str, float, float]]:
    """Of each fit: its name, how far the two modules are apart over its range, and how far they may be."""
    for fit in FITS:
        grid = [(t, p) for p in np.linspace(8e4, 4.01e8, 21) for t in np.linspace(273.15, fit.hottest(p) - 0.5, 13)]
        pair = [
            np.array([polyval(p * 5e-9 - 1.0, module[f"{fit.name}_terms"](t)) for t, p in grid])
            for module in (fresh, committed)
        ]
        scale = abs(pair[0]) if pair[0].min() * pair[0].max() > 0.0 else abs(pair[0]).max()
        yield fit.name, float((abs(pair[1] - pair[0]) / scale).max()), fit.promise / 10.0
    boost = [np.array([m["boost_correction"](t) for t in np.linspace(273.15, 333.15, 13)]) for m in (fresh, committed)]
    # on a boost of 5 MPa, as a share of the pump's work
    yield "boost_correction", float(5e6 * abs(boost[1] - boost[0]).max()), 1e-4


def main() -> int:
    """Write the module, or check it."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--check", action="store_true", help="compare with the module as it stands, write nothing")
    parser.add_argument("--module", type=Path, default=MODULE, help="the module to write or check")
    asked = parser.parse_args()
    text = module_text()
    if not asked.check:
        asked.module.write_text(formatted(text), encoding="utf-8")
        return 0
    fresh: dict = {"__name__": "fresh"}
    committed: dict = {"__name__": "committed"}
    exec(compile(text, "fresh fit", "exec"), fresh)
    exec(compile(asked.module.read_text(encoding="utf-8"), str(asked.module), "exec"), committed)
    worst = 0.0
    for name, apart, allowed in deviations(fresh, committed):
        worst = max(worst, apart / allowed)
        print(f"{name:18s} differs by {apart:.1e}, may differ by {allowed:.1e}")
    return 1 if worst > 1.0 else 0


if __name__ == "__main__":
    sys.exit(main())
