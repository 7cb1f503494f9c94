"""Water for the second solution: IAPWS-95 and its viscosity by CoolProp, splined per temperature.

Nothing here comes from the package: the package reads fitted polynomials, this reads the library those were fitted to.
"""

import math
from functools import lru_cache

import CoolProp
from scipy.interpolate import CubicSpline
from scipy.optimize import brentq

TOP = 405e6  # Pa abs: a little beyond the 401 MPa served; held constant above, so that a bracket may look there
BOTTOM = 0.02e6
STEP = 2.5e6

_state = CoolProp.AbstractState("HEOS", "Water")
_cold = CoolProp.AbstractState("HEOS", "Water")
_cold.specify_phase(CoolProp.iphase_liquid)


def at(pressure: float, temperature: float) -> CoolProp.AbstractState:
    """The stable liquid at an absolute pressure and a temperature."""
    _state.update(CoolProp.PT_INPUTS, pressure, temperature)
    return _state


def supercooled(pressure: float, temperature: float) -> CoolProp.AbstractState:
    """The liquid by density and temperature, also below its freezing point, where the P-T flash refuses."""

    def miss(density: float) -> float:
        _cold.update(CoolProp.DmassT_INPUTS, density, temperature)
        return _cold.p() - pressure

    density = brentq(miss, 960.0, 1250.0, xtol=1e-10, rtol=1e-14)
    _cold.update(CoolProp.DmassT_INPUTS, density, temperature)
    return _cold


def end_of_isentrope(pressure: float, temperature: float, end: float) -> tuple[float, float]:
    """Enthalpy step [J/kg] and density at the end [kg/m3] of an isentrope from (pressure, temperature) to `end`."""
    begin = at(pressure, temperature)
    enthalpy, entropy = begin.hmass(), begin.smass()

    def miss(t: float) -> float:
        return supercooled(end, t).smass() - entropy

    cold = brentq(miss, temperature - 40.0, temperature + 40.0, xtol=1e-10)
    last = supercooled(end, cold)
    return last.hmass() - enthalpy, last.rhomass()


class _Table:
    """A cubic spline on even knots, read by a few multiplications; held at its ends."""

    def __init__(self, start: float, step: float, values: list[float]) -> None:
        spline = CubicSpline([start + step * i for i in range(len(values))], values)
        self.start, self.step, self.last = start, step, len(values) - 2
        self.pieces = [tuple(spline.c[:, i].tolist()) for i in range(len(values) - 1)]
        self.top = start + step * (len(values) - 1)

    def __call__(self, x: float) -> float:
        x = min(max(x, self.start), self.top)
        i = min(int((x - self.start) / self.step), self.last)
        a, b, c, d = self.pieces[i]
        x -= self.start + self.step * i
        return ((a * x + b) * x + c) * x + d


class Water:
    """Water at one supply temperature [K] and one ambient pressure [Pa abs]; pressures asked for are gauge [Pa]."""

    def __init__(self, temperature: float, ambient: float) -> None:
        self.temperature, self.ambient = temperature, ambient
        knots = math.ceil((TOP - BOTTOM) / STEP) + 1
        densities, viscosities = [], []
        for i in range(knots):
            here = at(BOTTOM + STEP * i, temperature)
            densities.append(here.rhomass())
            viscosities.append(here.viscosity())
        self._density = _Table(BOTTOM, STEP, densities)
        self._viscosity = _Table(BOTTOM, STEP, viscosities)
        self.reference = at(ambient, temperature).rhomass()
        wide = 2.0 * STEP
        ratios, exits = [math.sqrt(2.0 / self.reference)], [self.reference]
        for i in range(1, math.floor((TOP - ambient) / wide) + 1):
            gauge = wide * i
            step, density = end_of_isentrope(ambient + gauge, temperature, ambient)
            ratios.append(math.sqrt(-2.0 * step / gauge))
            exits.append(density)
        self._ratio = _Table(0.0, wide, ratios)
        self._exit = _Table(0.0, wide, exits)

    def density(self, gauge: float) -> float:
        return self._density(gauge + self.ambient)

    def viscosity(self, gauge: float) -> float:
        return self._viscosity(gauge + self.ambient)

    def jet_speed(self, gauge: float) -> float:
        """Speed of a jet out to ambient [m/s]."""
        return self._ratio(gauge) * math.sqrt(gauge) if gauge > 0.0 else 0.0

    def jet_flux(self, gauge: float) -> float:
        """Mass flow through one square metre of contracted jet [kg/(s m2)]."""
        return self._exit(gauge) * self.jet_speed(gauge)

    def pump_work(self, supply: float, delivery: float) -> float:
        """Isentropic enthalpy rise from supply to delivery pressure [J/kg]."""
        if delivery <= supply:
            return 0.0
        end = min(delivery + self.ambient, TOP)
        return end_of_isentrope(supply + self.ambient, self.temperature, end)[0]


@lru_cache(maxsize=64)
def water(temperature: float, ambient: float) -> Water:
    return Water(temperature, ambient)


def ambient_pressure(altitude: float) -> float:
    """The standard atmosphere (ICAO) in the troposphere [Pa abs]."""
    return 101325.0 * (1.0 - 0.0065 * altitude / 288.15) ** 5.255877
