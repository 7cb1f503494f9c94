"""Pressure lost in one item of a hose run: a hose piece with or without tails, or a fitting."""

import math
from dataclasses import dataclass

from jetwright.kernel import kernel
from jetwright.parts.friction import LAMINAR_END, TURBULENT_START, friction, friction_near
from jetwright.water.state import Water, fluidity_of, volume_of

STEPS = 20
ONE_STEP_UP_TO = 20e6  # Pa, a loss that one step follows


@dataclass(frozen=True, slots=True)
class Piece:
    """One item of a hose run, as numbers.

    bore, length, roughness [m]; loss_k on the bore [-]; tail_bore, tail_length [m] of the two tails (0: none modelled).
    A fitting has length 0.
    """

    bore: float
    length: float = 0.0
    roughness: float = 0.0
    loss_k: float = 0.0
    tail_bore: float = 0.0
    tail_length: float = 0.0


@kernel
def stepped_loss(
    water: Water, bore: float, length: float, roughness: float, outlet: float, mass_flow: float
) -> tuple[float, float, float]:
    """Pressure lost to friction over a length of bore, in twenty steps, with its slopes. [Pa, Pa s/kg, -]

    For what one step of `friction_loss` does not follow: an end of the blend between laminar and turbulent flow on the
    way, where the friction factor has a corner, and a loss above 20 MPa.

    Parameters
    ----------
    water : Water
        At the supply temperature. [-]
    bore : float
        Inside diameter. [m]
    length : float
        Along the flow. [m]
    roughness : float
        Of the wall. [m]
    outlet : float
        Gauge pressure at the outlet. [Pa]
    mass_flow : float
        Above 0. [kg/s]

    Examples
    --------
    >>> from jetwright.water.state import water_at
    >>> f"{stepped_loss(water_at(273.15, 101325.0), 0.002, 600.0, 1e-5, 0.5e5, 0.0055)[0] / 1e5:.0f} bar"
    '149 bar'

    References
    ----------
    As `friction_loss`.
    """
    flux = mass_flow / (0.25 * math.pi * bore * bore)
    step = length / STEPS
    gradient = 0.5 * flux * flux / bore * step
    reynolds = flux * bore
    relative = roughness / bore
    pressure = outlet + water.ambient
    factor, slope = friction(reynolds * fluidity_of(water, pressure), relative)
    last = gradient * factor * volume_of(water, pressure)
    at_outlet = last
    exponent = 0.0
    for _step in range(STEPS):
        first = last
        exponent += slope
        middle = pressure + 0.5 * first
        factor, slope = friction(reynolds * fluidity_of(water, middle), relative)
        second = gradient * factor * volume_of(water, middle)
        exponent += 4.0 * slope
        end = pressure + 2.0 * second - first
        factor, slope = friction(reynolds * fluidity_of(water, end), relative)
        last = gradient * factor * volume_of(water, end)
        exponent += slope
        pressure += (first + 4.0 * second + last) / 6.0
    loss = pressure - outlet - water.ambient
    by_flow = (2.0 + exponent / (6.0 * STEPS)) * last * STEPS / mass_flow
    return loss, by_flow, last / at_outlet


@kernel
def friction_loss(
    water: Water, bore: float, length: float, roughness: float, outlet: float, mass_flow: float
) -> tuple[float, float, float]:
    """Pressure lost to friction over a length of bore, with its slopes. [Pa, Pa s/kg, -]

    dp/dx = f/(2d)·G²/ρ with G = mass flow/area and no velocity head recovered, properties at the local pressure; one
    third-order Kutta step from the outlet up, or `stepped_loss`: the error stays below 1e-5 of the loss.
    Returned are the loss, d loss/d mass flow, and d inlet pressure/d outlet pressure.

    Parameters
    ----------
    water : Water
        At the supply temperature. [-]
    bore : float
        Inside diameter. [m]
    length : float
        Along the flow. [m]
    roughness : float
        Of the wall. [m]
    outlet : float
        Gauge pressure at the outlet. [Pa]
    mass_flow : float
        Zero or above. [kg/s]

    Examples
    --------
    >>> from jetwright.water.state import water_at
    >>> loss, _, _ = friction_loss(water_at(293.15, 101325.0), 0.008, 50.0, 1.5e-6, 955e5, 26 / 60000 * 998.2)
    >>> f"{loss / 1e5:.1f} bar"
    '45.1 bar'

    References
    ----------
    Darcy-Weisbach; the friction factor is that of `parts.friction`.
    """
    if mass_flow <= 0.0 or length <= 0.0:
        return 0.0, 0.0, 1.0
    area = 0.25 * math.pi * bore * bore
    flux = mass_flow / area
    gradient = 0.5 * flux * flux / bore
    reynolds = flux * bore
    relative = roughness / bore
    absolute = outlet + water.ambient
    start = reynolds * fluidity_of(water, absolute)
    factor, slope = friction(start, relative)
    first = gradient * factor * volume_of(water, absolute)
    middle = absolute + 0.5 * length * first
    local = friction_near(reynolds * fluidity_of(water, middle), relative, start, factor, slope)
    second = gradient * local * volume_of(water, middle)
    inlet = absolute + length * (2.0 * second - first)
    end = reynolds * fluidity_of(water, inlet)
    local = friction_near(end, relative, start, factor, slope)
    last = gradient * local * volume_of(water, inlet)
    loss = length * (first + 4.0 * second + last) / 6.0
    corner = (start < LAMINAR_END) != (end < LAMINAR_END) or (start < TURBULENT_START) != (end < TURBULENT_START)
    if corner or loss > ONE_STEP_UP_TO:
        return stepped_loss(water, bore, length, roughness, outlet, mass_flow)
    return loss, (2.0 + slope) * last * length / mass_flow, last / first


@kernel
def lumped_loss(water: Water, loss_k: float, bore: float, outlet: float, mass_flow: float) -> float:
    """Pressure lost at a bend, a valve or a step, K·G²/(2ρ), with ρ at its outlet. [Pa]

    Parameters
    ----------
    water : Water
        At the supply temperature. [-]
    loss_k : float
        On the bore. [-]
    bore : float
        That the coefficient refers to. [m]
    outlet : float
        Gauge pressure at the outlet. [Pa]
    mass_flow : float
        Zero or above. [kg/s]

    Examples
    --------
    >>> from jetwright.water.state import water_at
    >>> f"{lumped_loss(water_at(293.15, 101325.0), 3.0, 0.006, 900e5, 0.297) / 1e5:.2f} bar"
    '1.60 bar'

    References
    ----------
    Definition of a loss coefficient.
    """
    flux = mass_flow / (0.25 * math.pi * bore * bore)
    return 0.5 * loss_k * flux * flux * volume_of(water, outlet + water.ambient)


@kernel
def piece_inlet(water: Water, piece: Piece, outlet: float, mass_flow: float) -> tuple[float, float, float]:
    """Gauge pressure ahead of one item of a hose run, with its slopes. [Pa, Pa s/kg, -]

    Marches against the flow: second tail, step from hose into it, hose, step from the first tail into the hose, first
    tail; a fitting is its loss coefficient alone. Steps count on the tail's velocity: 0.5(1-β²) closing, (1-β²)²
    opening, β = tail bore/hose bore. Returned are the pressure, its slope with mass flow and with outlet pressure.

    Parameters
    ----------
    water : Water
        At the supply temperature. [-]
    piece : Piece
        Hose piece or fitting. [-]
    outlet : float
        Gauge pressure behind it. [Pa]
    mass_flow : float
        Zero or above. [kg/s]

    Examples
    --------
    >>> from jetwright.water.state import water_at
    >>> plain = Piece(bore=0.008, length=20.0, roughness=1e-5)
    >>> tailed = Piece(bore=0.008, length=20.0, roughness=1e-5, tail_bore=0.0055, tail_length=0.08)
    >>> water = water_at(291.15, 101325.0)
    >>> [f"{(piece_inlet(water, p, 900e5, 0.58)[0] - 900e5) / 1e5:.1f} bar" for p in (plain, tailed)]
    ['37.3 bar', '40.8 bar']

    References
    ----------
    Borda-Carnot for the opening; 0.5(1-β²) for the closing (common handbook form).
    """
    pressure = outlet
    by_flow = 0.0
    by_outlet = 1.0
    if mass_flow <= 0.0:
        return pressure, by_flow, by_outlet
    if piece.loss_k > 0.0:
        loss = lumped_loss(water, piece.loss_k, piece.bore, pressure, mass_flow)
        pressure += loss
        by_flow += 2.0 * loss / mass_flow
    if piece.tail_bore > 0.0:
        square = (piece.tail_bore / piece.bore) ** 2
        loss, steep, _ = friction_loss(water, piece.tail_bore, piece.tail_length, piece.roughness, pressure, mass_flow)
        pressure += loss
        by_flow += steep
        loss = lumped_loss(water, 0.5 * (1.0 - square), piece.tail_bore, pressure, mass_flow)
        pressure += loss
        by_flow += 2.0 * loss / mass_flow
    if piece.length > 0.0:
        loss, steep, along = friction_loss(water, piece.bore, piece.length, piece.roughness, pressure, mass_flow)
        pressure += loss
        by_flow = by_flow * along + steep
        by_outlet *= along
    if piece.tail_bore > 0.0:
        square = (piece.tail_bore / piece.bore) ** 2
        loss = lumped_loss(water, (1.0 - square) ** 2, piece.tail_bore, pressure, mass_flow)
        pressure += loss
        by_flow += 2.0 * loss / mass_flow
        loss, steep, _ = friction_loss(water, piece.tail_bore, piece.tail_length, piece.roughness, pressure, mass_flow)
        pressure += loss
        by_flow += steep
    return pressure, by_flow, by_outlet
