"""Pressure along a hose: one step of ours against an integrator of its own on the same differential equation."""

import itertools
import math

import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from jetwright.parts.hose import Piece, friction_loss, piece_inlet
from jetwright.water.state import fluidity_of, volume_of, water_at

PROMISED = 1e-5
INTEGRATOR = pytest.mark.published("SciPy's DOP853 integrator at rtol 1e-11, Colebrook by Brent's method")

TEMPERATURES = (273.15, 291.15, 333.15)
LOSSES = (1e5, 100e5, 199e5, 300e5)
OUTLETS = (0.5e5, 300e5, 2500e5)
LAMINAR = (300.0, 1500.0, 1999.0)
BLEND = (1960.0, 2001.0, 2040.0, 3000.0, 3920.0, 3999.0)
TURBULENT = (4001.0, 4080.0, 4500.0, 1e4, 1e5, 1e6)


def factor(reynolds, relative):
    def colebrook(x):
        return x + 2.0 * math.log10(relative / 3.7 + 2.51 * x / reynolds)

    if reynolds <= 2000.0:
        return 64.0 / reynolds
    if reynolds >= 4000.0:
        return brentq(colebrook, 1.0, 20.0, xtol=1e-14) ** -2
    return 0.032 + (factor(4000.0, relative) - 0.032) * (reynolds - 2000.0) / 2000.0


def slope_of(water, bore, roughness, mass_flow):
    """Pressure lost in a metre at an absolute pressure."""
    flux = mass_flow / (0.25 * math.pi * bore**2)

    def slope(pressure):
        reynolds = flux * bore * fluidity_of(water, pressure)
        return factor(reynolds, roughness / bore) * flux**2 * volume_of(water, pressure) / (2.0 * bore)

    return slope


def hose_with(water, bore, roughness, reynolds, outlet, loss):
    """Mass flow with a Reynolds number at the outlet, and the length that loses about so much."""
    start = outlet + water.ambient
    mass_flow = reynolds / fluidity_of(water, start) / bore * (0.25 * math.pi * bore**2)
    return mass_flow, loss / slope_of(water, bore, roughness, mass_flow)(start)


def integrated(water, bore, roughness, mass_flow, length, outlet):
    """Loss in pascals; integrated as pressure over loss scale so that the tolerance bites on the loss."""
    slope, start = slope_of(water, bore, roughness, mass_flow), outlet + water.ambient
    scale = slope(start) * length
    whole = solve_ivp(
        lambda _, y: [slope(start + scale * y[0]) * length / scale], (0.0, 1.0), [0.0], "DOP853", rtol=1e-11, atol=1e-11
    )
    return scale * whole.y[0, -1]


def compare(temperature, loss, outlet, bore, roughness, reynolds):
    water = water_at(temperature, 101325.0)
    mass_flow, length = hose_with(water, bore, roughness, reynolds, outlet, loss)
    expected = integrated(water, bore, roughness, mass_flow, length, outlet)
    ours = friction_loss(water, bore, length, roughness, outlet, mass_flow)[0]
    return abs(ours / expected - 1.0)


def worst(numbers, bore, roughness):
    grid = itertools.product(TEMPERATURES, LOSSES, OUTLETS, numbers)
    found = {case: compare(*case[:3], bore, roughness, case[3]) for case in grid}
    return max((error, case) for case, error in found.items())


@INTEGRATOR
@pytest.mark.parametrize(
    ("bore", "roughness"), [(0.004, 2e-4), (0.008, 1.6e-4), (0.008, 0.0), (0.008, 1e-5), (0.020, 1e-6)]
)
def test_turbulent_loss(bore, roughness):
    error, case = worst(TURBULENT, bore, roughness)
    assert error < PROMISED, case


@INTEGRATOR
def test_laminar_loss():
    error, case = worst(LAMINAR, 0.002, 1e-5)
    assert error < PROMISED, case


@INTEGRATOR
@pytest.mark.parametrize("roughness", [0.0, 1e-5])
def test_loss_in_the_blend(roughness):
    """The Reynolds number may cross an end of the blend on its way, where the slope of the factor jumps."""
    error, case = worst(BLEND, 0.002, roughness)
    assert error < PROMISED, case


@INTEGRATOR
def test_a_piece_in_a_run_of_many():
    """Item by item as in one go: the march of a whole run is as good as that of a piece."""
    water, mass_flow, outlet = water_at(291.15, 100845.0), 0.9, 300e5
    whole = integrated(water, 0.008, 1e-5, mass_flow, 60.0, outlet)
    pressure = outlet
    for _piece in range(3):
        pressure = piece_inlet(water, Piece(0.008, 20.0, 1e-5), pressure, mass_flow)[0]
    assert pressure - outlet == pytest.approx(whole, rel=PROMISED)


@pytest.mark.parametrize("loss", [1e5, 50e5, 150e5, 500e5])
@pytest.mark.parametrize("reynolds", [500.0, 1990.0, 3000.0, 3990.0, 1e4, 1e5, 1e6])
def test_slopes_are_those_of_the_loss(reynolds, loss):
    """By central differences of our own loss; the last step of a search is applied along these slopes."""
    water, outlet, bore = water_at(291.15, 101325.0), 900e5, 0.008
    mass_flow, length = hose_with(water, bore, 1e-5, reynolds, outlet, loss)

    def lost(outlet, mass_flow):
        return friction_loss(water, bore, length, 1e-5, outlet, mass_flow)[0]

    step = 1e-4 * mass_flow
    _, by_flow, by_outlet = friction_loss(water, bore, length, 1e-5, outlet, mass_flow)
    steepness = (lost(outlet, mass_flow + step) - lost(outlet, mass_flow - step)) / (2.0 * step)
    assert by_flow == pytest.approx(steepness, rel=0.003)
    along = 1.0 + (lost(outlet + 1e5, mass_flow) - lost(outlet - 1e5, mass_flow)) / 2e5
    assert by_outlet == pytest.approx(along, abs=3e-4)
