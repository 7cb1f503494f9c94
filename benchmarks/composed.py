"""The same rigs put together by hand from fluids (friction) and SciPy (roots), in plain Python.

Twice: with water of constant density, and with the physics of the package (its fits of water, three points a hose).
One branch is one bracketed root; three branches are solved together, which is faster than roots inside roots.
"""

import math
from collections.abc import Callable

from fluids.friction import Clamond
from scipy.optimize import brentq, fsolve

from benchmarks.rigs import Rig
from jetwright.parts.nozzle import jet_flow
from jetwright.parts.pump import delivered_per_turn
from jetwright.water.state import fluidity_of, viscosity_of, volume_of

Hose = Callable[[float, float], float]


def constant(rig: Rig) -> tuple[list[Hose], Callable[[float, float], float], Callable[[float], float]]:
    """Inlet pressure of each hose from (outlet, mass flow), a jet's flow from (Cd × area, pressure), mass of a turn."""
    water = rig.network.water
    density, viscosity, turn = water.reference_density, viscosity_of(water, water.ambient), rig.turn

    def hose(bore: float, length: float, roughness: float) -> Hose:
        area = 0.25 * math.pi * bore * bore
        thinness, relative = bore / (area * viscosity), roughness / bore
        k = 0.5 * length / (bore * area * area * density)

        def inlet(outlet: float, mass: float) -> float:
            return outlet + Clamond(mass * thinness, relative) * k * mass * mass

        return inlet

    def jet(area: float, pressure: float) -> float:
        return area * math.sqrt(2.0 * density * pressure)

    return [hose(p.bore, p.length, p.roughness) for p in rig.network.pieces], jet, lambda _pressure: turn


def compressible(rig: Rig) -> tuple[list[Hose], Callable[[float, float], float], Callable[[float], float]]:
    """As `constant`, with density and viscosity at the local pressure."""
    n = rig.network
    water, ambient = n.water, n.water.ambient

    def hose(bore: float, length: float, roughness: float) -> Hose:
        area, relative = 0.25 * math.pi * bore * bore, roughness / bore

        def inlet(outlet: float, mass: float) -> float:
            flux = mass / area
            reynolds, k, p = flux * bore, 0.5 * flux * flux / bore, outlet + ambient
            first = k * Clamond(reynolds * fluidity_of(water, p), relative) * volume_of(water, p)
            middle = p + 0.5 * length * first
            second = k * Clamond(reynolds * fluidity_of(water, middle), relative) * volume_of(water, middle)
            last = p + length * (2.0 * second - first)
            third = k * Clamond(reynolds * fluidity_of(water, last), relative) * volume_of(water, last)
            return outlet + length * (first + 4.0 * second + third) / 6.0

        return inlet

    def jet(area: float, pressure: float) -> float:
        return jet_flow(water, area, pressure)[0]

    return (
        [hose(p.bore, p.length, p.roughness) for p in n.pieces],
        jet,
        lambda pressure: delivered_per_turn(water, n.pump, pressure),
    )


def solver(rig: Rig, physics: Callable[[Rig], tuple]) -> Callable[[float], float]:
    """Pump pressure [Pa] at a speed [rev/s]; every run of these rigs is one hose."""
    n = rig.network
    hoses, jet, turn = physics(rig)
    density, valve = n.water.reference_density, n.bypass
    steepness = valve.full_flow / (valve.accumulation * valve.opening) if valve.full_flow > 0.0 else 0.0

    def line(index: int, behind: float) -> tuple[float, float]:
        one = n.lines[index]
        mass = jet(one.outlet, behind)
        flux = mass / (0.25 * math.pi * one.bore * one.bore)
        if physics is constant:
            tool = 0.5 * one.loss_k * flux * flux / density
        else:
            tool = 0.5 * one.loss_k * flux * flux * volume_of(n.water, behind + n.water.ambient)
        return hoses[one.first](behind + tool, mass), mass

    def single(speed: float) -> float:
        pressure = 0.0

        def excess(u: float) -> float:
            nonlocal pressure
            pressure, mass = line(0, u * u)
            spill = steepness * (pressure - valve.opening) if pressure > valve.opening else 0.0
            return speed * turn(pressure) - spill - mass

        brentq(excess, 0.5 * top, top, rtol=1e-7)
        return pressure

    def several(speed: float) -> float:
        pressure = 0.0

        def excess(u: list[float]) -> list[float]:
            nonlocal pressure
            (p0, m0), (p1, m1), (p2, m2) = line(0, u[0] * u[0]), line(1, u[1] * u[1]), line(2, u[2] * u[2])
            mass = m0 + m1 + m2
            pressure = hoses[0](p0, mass)
            return [(p1 - p0) / top, (p2 - p0) / top, (speed * turn(pressure) - mass) * top]

        fsolve(excess, start, xtol=1e-7)
        return pressure

    top = 1.2 * math.sqrt(rig.pressure)
    start = [0.8 * top] * 3
    return single if len(n.lines) == 1 else several
