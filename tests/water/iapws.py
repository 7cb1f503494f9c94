"""Liquid water by the releases, as CoolProp computes them; shares no code with the fits or the tool that made them.

States are found by bracketing, not by a flash: a flash by pressure and entropy refuses the supercooled water that a jet
leaves as.
"""

import CoolProp
from scipy.optimize import brentq

RELEASE = f"IAPWS R6-95(2018) as CoolProp {CoolProp.__version__} computes it"
VISCOSITY_RELEASE = f"IAPWS R12-08 as CoolProp {CoolProp.__version__} computes it"

_water = CoolProp.AbstractState("HEOS", "Water")
_water.specify_phase(CoolProp.iphase_liquid)


def state(temperature, pressure):
    """The state at a temperature and a pressure, held until the next call."""

    def too_dense(density):
        _water.update(CoolProp.DmassT_INPUTS, density, temperature)
        return _water.p() - pressure

    lightest = 970.0 - 0.85 * max(0.0, temperature - 340.0)  # kg/m³: under tension at every temperature asked for
    density = brentq(too_dense, lightest, 1180.0, xtol=1e-11, rtol=1e-14)
    _water.update(CoolProp.DmassT_INPUTS, density, temperature)
    return _water


def isentropic(temperature, pressure, end):
    """Along the isentrope to another pressure: gain of enthalpy, density and temperature there."""
    start = state(temperature, pressure)
    enthalpy, entropy = start.hmass(), start.smass()
    reached = brentq(lambda t: state(t, end).smass() - entropy, temperature - 20.0, temperature + 20.0, xtol=1e-11)
    arrived = state(reached, end)
    return arrived.hmass() - enthalpy, arrived.rhomass(), reached


def isenthalpic(temperature, pressure, end):
    """Along constant enthalpy to another pressure: the temperature there."""
    enthalpy = state(temperature, pressure).hmass()
    return brentq(lambda t: state(t, end).hmass() - enthalpy, temperature - 1.0, temperature + 110.0, xtol=1e-10)
