"""The balance of a rig: what the pump delivers is what leaves it. Kernels, marched against the flow.

From a tip's pressure the flow is explicit, then every item up to the pump is explicit: no inner loops on a line. The
unknown of a line is u, the square root of the pressure behind its tips, in which flow is nearly a straight line; the
unknown of a manifold is likewise the square root of its pressure. Newton's steps are kept inside a bracket.
"""

import math
from collections.abc import MutableSequence, Sequence

from jetwright.kernel import kernel
from jetwright.parts.bypass import Bypass, bypass_flow
from jetwright.parts.hose import Piece, lumped_loss, piece_inlet
from jetwright.parts.nozzle import HOLE_DISCHARGE, jet_flow
from jetwright.parts.pump import Pump, delivered_per_turn
from jetwright.parts.relief import Relief, relief_flow
from jetwright.solve.network import Line
from jetwright.water.state import Water

GRAVITY = 9.80665
HIGHEST = 1.0e9  # Pa, beyond anything that is served: the end of every bracket
HIGHEST_ROOT = HIGHEST**0.5
SMALLEST = 1e-6  # √Pa
STEPS = 200
PATIENCE = 15
NEARBY = 1e5  # Pa, step of a difference
LOOSE = 1e-7  # after such a step the next one, applied along the slopes, leaves less than 1e-12
CLOSE = 1e-12  # a Newton step this small, as a share, has nothing left behind it


@kernel
def run_inlet(
    water: Water, pieces: Sequence[Piece], first: int, last: int, outlet: float, mass_flow: float
) -> tuple[float, float, float]:
    """Gauge pressure ahead of a hose run, with its slopes against flow and outlet pressure. [Pa, Pa s/kg, -]

    Parameters
    ----------
    water : Water
        At the supply temperature. [-]
    pieces : Sequence of Piece
        In the order the water flows. [-]
    first : int
        The first of the run. [-]
    last : int
        One past its last. [-]
    outlet : float
        Gauge pressure behind it. [Pa]
    mass_flow : float
        Zero or above. [kg/s]

    Examples
    --------
    >>> from jetwright.water.state import water_at
    >>> run = (Piece(0.008, 30.0, 1e-5), Piece(0.008, 30.0, 1e-5))
    >>> f"{run_inlet(water_at(291.15, 100845.0), run, 0, 2, 901.6e5, 0.29692)[0] / 1e5:.1f} bar"
    '933.1 bar'

    References
    ----------
    `parts.hose.piece_inlet`, item by item.
    """
    pressure = outlet
    by_flow = 0.0
    by_outlet = 1.0
    for index in range(last - 1, first - 1, -1):
        pressure, steep, along = piece_inlet(water, pieces[index], pressure, mass_flow)
        by_flow = by_flow * along + steep
        by_outlet *= along
    return pressure, by_flow, by_outlet


@kernel
def line_inlet(water: Water, line: Line, pieces: Sequence[Piece], u: float) -> tuple[float, float, float, float]:
    """Pressure ahead of a line and mass flow into it, with their slopes in u. [Pa, kg/s, √Pa, kg/(s √Pa)]

    Parameters
    ----------
    water : Water
        At the supply temperature. [-]
    line : Line
        From the manifold to an outlet. [-]
    pieces : Sequence of Piece
        Of the network. [-]
    u : float
        Square root of the gauge pressure behind the tips. [√Pa]

    Examples
    --------
    >>> from jetwright.water.state import water_at
    >>> line = Line(0, 1, 0.0, 0.006, 3.0, 0.9 * 0.7854e-6, 0.0)
    >>> inlet, flow, _, _ = line_inlet(water_at(291.15, 100845.0), line, (Piece(0.008, 60.0, 1e-5),), 900e5**0.5)
    >>> f"{inlet / 1e5:.1f} bar"
    '933.1 bar'

    References
    ----------
    `parts.nozzle.jet_flow`, `parts.hose`.
    """
    behind = u * u
    jets, steep = jet_flow(water, line.outlet, behind)
    by_u = 2.0 * u
    jets_by_u = steep * by_u
    inlet = behind
    if jets > 0.0 and line.loss_k > 0.0:
        loss = lumped_loss(water, line.loss_k, line.bore, behind, jets)
        inlet += loss
        by_u += 2.0 * loss / jets * jets_by_u
    leak, leak_steep = jet_flow(water, line.leak, inlet)
    flow = jets + leak
    flow_by_u = jets_by_u + leak_steep * by_u
    below = inlet + water.reference_density * GRAVITY * line.rise
    pressure, by_flow, by_outlet = run_inlet(water, pieces, line.first, line.last, below, flow)
    return pressure, flow, by_outlet * by_u + by_flow * flow_by_u, flow_by_u


@kernel
def line_root(water: Water, line: Line, pieces: Sequence[Piece], manifold: float, start: float) -> float:
    """u at which a line stands when its inlet is at a pressure; 0 when nothing flows. [√Pa]

    Parameters
    ----------
    water : Water
        At the supply temperature. [-]
    line : Line
        From the manifold to an outlet. [-]
    pieces : Sequence of Piece
        Of the network. [-]
    manifold : float
        Gauge pressure at the line's inlet. [Pa]
    start : float
        u of a neighbouring state, or 0. [√Pa]

    Examples
    --------
    >>> from jetwright.water.state import water_at
    >>> line = Line(0, 1, 0.0, 0.006, 3.0, 0.9 * 0.7854e-6, 0.0)
    >>> u = line_root(water_at(291.15, 100845.0), line, (Piece(0.008, 60.0, 1e-5),), 933.09e5, 0.0)
    >>> f"{u * u / 1e5:.0f} bar"
    '900 bar'

    References
    ----------
    Newton's method inside a bracket.
    """
    head = manifold - water.reference_density * GRAVITY * line.rise
    if head <= 0.0 or line.outlet + line.leak <= 0.0:
        return 0.0
    low = 0.0
    high = math.sqrt(head)
    u = start
    if not (low < u < high):
        u = 0.98 * high
    for _step in range(STEPS):
        pressure, _flow, by_u, _by = line_inlet(water, line, pieces, u)
        excess = pressure - manifold
        if excess > 0.0:
            high = u
        else:
            low = u
        following = u - excess / max(by_u, 1e-30)
        if not (low <= following <= high):
            following = 0.5 * (low + high)
        change = abs(following - u)
        u = following
        if change <= CLOSE * u or u < SMALLEST:
            break
    return u


@kernel
def delivery(
    water: Water,
    pump: Pump,
    bypass: Bypass,
    reliefs: Sequence[Relief],
    speed: float,
    area: float,
    pressure: float,
) -> tuple[float, float]:
    """Mass flow that the pump sends into the hose run, past bypass and relief, with its slope. [kg/s, kg/(s Pa)]

    Parameters
    ----------
    water : Water
        At the supply temperature. [-]
    pump : Pump
        The pump. [-]
    bypass : Bypass
        The bypass. [-]
    reliefs : Sequence of Relief
        Empty when they are held shut. [-]
    speed : float
        Of the pump. [rev/s]
    area : float
        Of the bypass hole. [m²]
    pressure : float
        Gauge pressure at the pump's outlet. [Pa]

    Examples
    --------
    >>> from jetwright.water.state import water_at
    >>> water, pump = water_at(291.15, 100845.0), Pump(2.654e-4, 0.02, 1.2, 0.9)
    >>> f"{delivery(water, pump, Bypass(), (), 2.0, 0.660e-6, 933.1e5)[0] / 0.9986 * 60:.2f} L/min"
    '17.84 L/min'

    References
    ----------
    Mass balance at the pump's outlet. The slope of the pump's own flow is a difference over 1 bar.
    """
    flow = speed * delivered_per_turn(water, pump, pressure)
    slope = (speed * delivered_per_turn(water, pump, pressure + NEARBY) - flow) / NEARBY
    past, steep = bypass_flow(water, bypass, area, pressure)
    flow -= past
    slope -= steep
    for index in range(len(reliefs)):
        past, steep = relief_flow(reliefs[index], pressure)
        flow -= past
        slope -= steep
    return flow, slope


@kernel
def blocked_pressure(
    water: Water, pump: Pump, bypass: Bypass, reliefs: Sequence[Relief], speed: float, area: float
) -> float:
    """Gauge pressure at the pump when nothing enters the hose run. [Pa]

    Parameters
    ----------
    water : Water
        At the supply temperature. [-]
    pump : Pump
        The pump. [-]
    bypass : Bypass
        The bypass. [-]
    reliefs : Sequence of Relief
        Empty when they are held shut. [-]
    speed : float
        Of the pump. [rev/s]
    area : float
        Of the bypass hole. [m²]

    Examples
    --------
    >>> from jetwright.water.state import water_at
    >>> pump = Pump(2.654e-4, 0.02, 1.2, 0.9)
    >>> f"{blocked_pressure(water_at(291.15, 100845.0), pump, Bypass(), (), 2.0, 20e-6) / 1e5:.1f} bar"
    '6.9 bar'

    References
    ----------
    Newton's method inside a bracket.
    """
    low = 0.0
    high = HIGHEST
    pressure = 1e6
    for _step in range(STEPS):
        flow, slope = delivery(water, pump, bypass, reliefs, speed, area, pressure)
        if flow > 0.0:
            low = pressure
        else:
            high = pressure
        following = pressure - flow / min(slope, -1e-30)
        if not (low < following < high):
            following = 4.0 * pressure if high == HIGHEST and pressure < 0.2 * HIGHEST else 0.5 * (low + high)
        change = abs(following - pressure)
        pressure = following
        if change <= CLOSE * pressure or pressure < 1e-9:
            break
    return pressure


@kernel
def lines_flow(
    water: Water,
    pieces: Sequence[Piece],
    lines: Sequence[Line],
    manifold: float,
    exact: bool,
    out: MutableSequence[float],
) -> tuple[float, float, float]:
    """Mass flow into all lines off a manifold, its slope, and the largest step of a line. [kg/s, kg/(s Pa), -]

    Each line takes one Newton step towards the manifold's pressure, or all it needs, and the flow is to first order
    about where it stood. out[3 + line] is its u, out[3 + lines + line] the slope of its inlet pressure in u; a line
    that the pressure does not lift carries nothing. The step is a share of u.

    Parameters
    ----------
    water : Water
        At the supply temperature. [-]
    pieces : Sequence of Piece
        Of the network. [-]
    lines : Sequence of Line
        Off the manifold. [-]
    manifold : float
        Gauge pressure there. [Pa]
    exact : bool
        Take each line all the way. [-]
    out : MutableSequence of float
        Work array; holds the u to start from. [√Pa]

    Examples
    --------
    >>> from jetwright.water.state import water_at
    >>> gun, out = Line(0, 0, 0.0, 0.006, 3.0, 0.9 * 0.7854e-6, 0.0), [0.0] * 7
    >>> flow, _, _ = lines_flow(water_at(291.15, 100845.0), (), (gun, gun), 901.6e5, True, out)
    >>> f"{flow / 0.9986 * 60:.1f} L/min"
    '35.7 L/min'

    References
    ----------
    Mass balance at the manifold; Newton's method.
    """
    total = 0.0
    slope = 0.0
    largest = 0.0
    for index in range(len(lines)):
        line = lines[index]
        head = manifold - water.reference_density * GRAVITY * line.rise
        if head <= 0.0 or line.outlet + line.leak <= 0.0:
            out[3 + index] = 0.0
            out[3 + len(lines) + index] = 0.0
            continue
        highest = math.sqrt(head)
        u = out[3 + index]
        if not (0.0 < u <= highest):
            u = 0.98 * highest
        if exact:
            u = line_root(water, line, pieces, manifold, u)
        pressure, flow, by_u, flow_by_u = line_inlet(water, line, pieces, u)
        by_pressure = flow_by_u / by_u
        following = u + (manifold - pressure) / by_u
        if not (0.0 < following <= highest):
            following = highest if following > highest else 0.1 * u
        out[3 + index] = following
        out[3 + len(lines) + index] = by_u
        total += flow + flow_by_u * (following - u)
        slope += by_pressure
        largest = max(largest, abs(following - u) / u)
    return total, slope, largest


@kernel
def settle(
    water: Water,
    pump: Pump,
    bypass: Bypass,
    reliefs: Sequence[Relief],
    pieces: Sequence[Piece],
    main: int,
    lines: Sequence[Line],
    speed: float,
    area: float,
    held: float,
    out: MutableSequence[float],
) -> float:
    """Steady gauge pressure at the pump, at a speed and a bypass opening, or with the gauge held at a pressure. [Pa]

    out[0]: pump pressure [Pa], out[1]: manifold pressure [Pa], out[2]: mass flow into the hose run [kg/s], then each
    line's u [√Pa], and each line's slope of inlet pressure in u [√Pa]. The search starts from the u of a single line,
    or the manifold pressure and u of several, when they are inside their brackets.

    Parameters
    ----------
    water : Water
        At the supply temperature. [-]
    pump : Pump
        The pump. [-]
    bypass : Bypass
        The bypass. [-]
    reliefs : Sequence of Relief
        Empty when they are held shut. [-]
    pieces : Sequence of Piece
        Main run first. [-]
    main : int
        Items in the main run. [-]
    lines : Sequence of Line
        One or more. [-]
    speed : float
        Of the pump. [rev/s]
    area : float
        Of the bypass hole. [m²]
    held : float
        Pump pressure to find the flows for, whatever the pump delivers; 0: find the balance. [Pa]
    out : MutableSequence of float
        Work array of 3 + 2 × lines. [-]

    Examples
    --------
    >>> from jetwright.water.state import water_at
    >>> gun = Line(0, 1, 0.0, 0.006, 3.0, 0.9 * 0.7854e-6, 0.0)
    >>> water, pump, hose = water_at(291.15, 100845.0), Pump(2.654e-4, 0.02, 1.2, 0.9), Piece(0.008, 60.0, 1e-5)
    >>> f"{settle(water, pump, Bypass(), (), (hose,), 0, (gun,), 2.0, 2e-6, 0.0, [0.0] * 5) / 1e5:.0f} bar"
    '300 bar'

    References
    ----------
    Newton's method inside a bracket; the equations are those of `delivery`, `run_inlet` and `line_inlet`.
    """
    count = len(lines)
    holes = 0.0
    lift = HIGHEST
    for index in range(count):
        hole = lines[index].outlet + lines[index].leak
        holes += hole
        if hole > 0.0:
            lift = min(lift, water.reference_density * GRAVITY * lines[index].rise)
    spare, _slope = delivery(water, pump, bypass, reliefs, speed, area, max(lift, 0.0))
    if holes <= 0.0 or (held > 0.0 and held <= lift) or (held <= 0.0 and spare <= 0.0):
        closed = held if held > 0.0 else blocked_pressure(water, pump, bypass, reliefs, speed, area)
        out[0] = closed
        out[1] = closed
        out[2] = 0.0
        for index in range(count):
            out[3 + index] = 0.0
        return closed
    single = count == 1
    low = 0.0
    high = math.sqrt(held - min(lift, 0.0)) if held > 0.0 else HIGHEST_ROOT
    base = min(lift, 0.0)  # a tool below the pump draws its line under ambient pressure
    root = out[3] if single else 0.0
    if not single and out[1] > 0.0:
        root = math.sqrt(out[1] - base)
    if not (low < root < high):
        root = 0.9 * high
        if held <= 0.0:
            ways_out = holes + HOLE_DISCHARGE * (area + bypass.seat)
            root = min(2e4, 0.95 * spare / (ways_out * math.sqrt(2.0 * water.reference_density)))
    inlet_by_root = 0.0
    before = high
    largest = 0.0
    exact = False
    highest = high
    for step in range(STEPS):
        if step == PATIENCE and not single:  # lines that lag behind: take each all the way, inside a bracket
            exact = True
            low = 0.0
            high = highest
            before = high
        if single:
            pressure, mass, by_root, mass_by_root = line_inlet(water, lines[0], pieces, root)
            out[3] = root
            out[1] = pressure
            inlet_by_root = by_root
            if main > 0:
                pressure, by_flow, by_outlet = run_inlet(water, pieces, 0, main, pressure, mass)
                by_root = by_outlet * by_root + by_flow * mass_by_root
        else:
            manifold = root * root + base
            mass, slope, largest = lines_flow(water, pieces, lines, manifold, exact, out)
            mass_by_root = slope * 2.0 * root
            inlet_by_root = 2.0 * root
            out[1] = manifold
            pressure, by_flow, by_outlet = run_inlet(water, pieces, 0, main, manifold, mass)
            by_root = by_outlet * inlet_by_root + by_flow * mass_by_root
        if not pressure <= HIGHEST and root >= SMALLEST:  # or no number: more is lost on the way than water can stand
            if single or exact:
                high = root
                root = 0.5 * (low + high)
            else:
                root *= 0.5
            before = root
            continue
        out[0] = pressure
        out[2] = mass
        if held > 0.0:
            excess = held - pressure
            steep = -by_root
        else:
            flow, slope = delivery(water, pump, bypass, reliefs, speed, area, pressure)
            excess = flow - mass
            steep = slope * by_root - mass_by_root
        if single or exact:  # with lines still on their way the sign proves nothing
            if excess > 0.0:
                low = root
            else:
                high = root
        wanted = -excess / min(steep, -1e-300)
        arrived = before <= LOOSE * root and abs(wanted) <= LOOSE * root and (exact or largest <= LOOSE)
        change = wanted
        if not arrived and not (low <= root + wanted <= high):
            end = high if wanted > 0.0 else low
            change = 0.5 * (end - root) if end < HIGHEST_ROOT else root
        if not arrived and step > PATIENCE and step % 3 == 0 and high < HIGHEST_ROOT:  # a kink can trap Newton's steps
            change = 0.5 * (low + high) - root
        if arrived or root < SMALLEST:
            out[0] += by_root * change
            out[2] += mass_by_root * change
            out[1] += inlet_by_root * change
            if single:
                out[3] = root + change
            else:
                for index in range(count):
                    if out[3 + count + index] > 0.0:
                        out[3 + index] += inlet_by_root * change / out[3 + count + index]
            break
        before = abs(wanted)
        root += change
    return out[0]


@kernel
def reach_nozzle(
    water: Water,
    pieces: Sequence[Piece],
    main: int,
    lines: Sequence[Line],
    at: int,
    nozzle: float,
    out: MutableSequence[float],
) -> float:
    """Gauge pressure the pump must show for a pressure behind one line's tips. [Pa]

    Explicit along that line and the main run; the other lines find their flow from the manifold's pressure. `out` as in
    `settle`.

    Parameters
    ----------
    water : Water
        At the supply temperature. [-]
    pieces : Sequence of Piece
        Main run first. [-]
    main : int
        Items in the main run. [-]
    lines : Sequence of Line
        One or more. [-]
    at : int
        The line the pressure is for, from 0. [-]
    nozzle : float
        Gauge pressure right behind its tips. [Pa]
    out : MutableSequence of float
        Work array of 3 + 2 × lines. [-]

    Examples
    --------
    >>> from jetwright.water.state import water_at
    >>> gun = Line(0, 1, 0.0, 0.006, 3.0, 0.9 * 0.7854e-6, 0.0)
    >>> water, out = water_at(291.15, 100845.0), [0.0] * 5
    >>> f"{reach_nozzle(water, (Piece(0.008, 60.0, 1e-5),), 0, (gun,), 0, 900e5, out) / 1e5:.1f} bar"
    '933.1 bar'

    References
    ----------
    `line_inlet`, `run_inlet`.
    """
    root = math.sqrt(nozzle)
    manifold, mass, _by_u, _flow_by_u = line_inlet(water, lines[at], pieces, root)
    for index in range(len(lines)):
        if index == at:
            out[3 + index] = root
        else:
            u = line_root(water, lines[index], pieces, manifold, 0.0)
            out[3 + index] = u
            if u > 0.0:
                _pressure, flow, _by_u, _flow_by_u = line_inlet(water, lines[index], pieces, u)
                mass += flow
    pressure, _by_flow, _by_outlet = run_inlet(water, pieces, 0, main, manifold, mass)
    out[0] = pressure
    out[1] = manifold
    out[2] = mass
    return pressure
