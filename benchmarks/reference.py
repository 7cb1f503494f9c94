"""A tight answer to the same equations, slow: hoses in 32 classical Runge-Kutta steps, Colebrook's equation to the
last digits, roots inside roots by SciPy. It shares the fits of water with the package, so what differs is numerics;
the error of the model itself is the business of tests/independent."""

import math
from collections.abc import Callable

from scipy.optimize import brentq

from benchmarks.rigs import Rig
from jetwright.parts.bypass import bypass_flow
from jetwright.parts.hose import Piece, lumped_loss
from jetwright.parts.nozzle import jet_flow
from jetwright.parts.pump import delivered_per_turn
from jetwright.water.state import Water, fluidity_of, volume_of

STEPS = 32


def factor(reynolds: float, relative: float) -> float:
    """Colebrook's, turbulent, by substitution until it stands."""
    if reynolds < 4000.0:
        raise ValueError("these rigs run turbulent")
    x, before = 7.0, 0.0
    while abs(x - before) > 1e-14 * x:
        before, x = x, -2.0 * math.log10(relative / 3.7 + 2.51 * x / reynolds)
    return 1.0 / (x * x)


def root(excess: Callable[[float], float], low: float, high: float) -> float:
    """A pressure [Pa] to 1e-13 of it."""
    return brentq(excess, low, high, xtol=1e-6, rtol=1e-13)


def inlet(water: Water, piece: Piece, outlet: float, mass: float) -> float:
    """Pressure ahead of a plain hose."""
    flux = mass / (0.25 * math.pi * piece.bore**2)

    def slope(p: float) -> float:
        f = factor(flux * piece.bore * fluidity_of(water, p + water.ambient), piece.roughness / piece.bore)
        return 0.5 * f * flux * flux / piece.bore * volume_of(water, p + water.ambient)

    h, p = piece.length / STEPS, outlet
    for _ in range(STEPS):
        a = slope(p)
        b = slope(p + 0.5 * h * a)
        c = slope(p + 0.5 * h * b)
        p += h / 6.0 * (a + 2.0 * b + 2.0 * c + slope(p + h * c))
    return p


def pump_pressure(rig: Rig, speed: float) -> float:
    """Pump pressure [Pa] at a speed [rev/s]."""
    n, water = rig.network, rig.network.water
    top = 1.3 * rig.pressure
    if any(p.tail_bore > 0.0 or p.loss_k > 0.0 for p in n.pieces):
        raise ValueError("plain hoses only")

    def line(index: int, behind: float) -> tuple[float, float]:
        one = n.lines[index]
        mass = jet_flow(water, one.outlet, behind)[0]
        p = behind + lumped_loss(water, one.loss_k, one.bore, behind, mass)
        for piece in reversed(n.pieces[one.first : one.last]):
            p = inlet(water, piece, p, mass)
        return p, mass

    def at(manifold: float) -> tuple[float, float]:
        mass = 0.0
        for index in range(len(n.lines)):
            behind = root(lambda p, i=index: line(i, p)[0] - manifold, 0.3 * manifold, manifold)
            mass += line(index, behind)[1]
        p = manifold
        for piece in reversed(n.pieces[: n.main]):
            p = inlet(water, piece, p, mass)
        return p, mass

    def excess(manifold: float) -> float:
        p, mass = at(manifold)
        return speed * delivered_per_turn(water, n.pump, p) - bypass_flow(water, n.bypass, 0.0, p)[0] - mass

    return at(root(excess, 0.5 * rig.pressure, top))[0]
