"""Where a checked rig settles, and where it must settle for a target: the plain way into the balance."""

from dataclasses import dataclass

from jetwright.errors import NotServedError
from jetwright.parts.hose import lumped_loss, piece_inlet
from jetwright.parts.nozzle import jet_flow
from jetwright.rig.check import CheckedRig
from jetwright.rig.condition import SOUND, Condition
from jetwright.solve.balance import GRAVITY, reach_nozzle, run_inlet, settle
from jetwright.solve.network import Line, Network, network_of

SERVED_TO = 400.9e6
"""Highest gauge pressure that is served. [Pa]"""


@dataclass(frozen=True, slots=True)
class Levers:
    """Where the crew's hands have put the machine: speed [rev/s], bypass hole [m²] or opening pressure [Pa], triggers.

    shut, dumping: branches, from 1, at which nothing flows or whose dump port is open. relief: let the valves lift.
    """

    speed: float
    area: float = 0.0
    opening: float = 0.0
    shut: tuple[int, ...] = ()
    dumping: tuple[int, ...] = ()
    relief: bool = False


@dataclass(frozen=True, slots=True)
class LineState:
    """One line: pressures behind the tips and at the tool's inlet [Pa], mass flows [kg/s], ends of each item [Pa]."""

    nozzle: float
    inlet: float
    jets: float
    leak: float
    items: tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class State:
    """A steady state: pump and manifold pressure [Pa], mass flow into the hose run [kg/s], ends of each item [Pa]."""

    pump_pressure: float
    manifold: float
    mass_flow: float
    main: tuple[tuple[float, float], ...]
    lines: tuple[LineState, ...]


def solve(rig: CheckedRig, levers: Levers, condition: Condition = SOUND) -> State:
    """Where the rig settles with the machine set as it is. [-]

    Parameters
    ----------
    rig : CheckedRig
        From `rig.check.check`. [-]
    levers : Levers
        Speed, bypass, triggers. [-]
    condition : Condition
        Wear and faults; sound when not given. [-]

    Raises
    ------
    NotServedError
        When it settles above 4000 bar.

    Examples
    --------
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> rig = check(JOB)
    >>> held, dumped = (solve(rig, Levers(177 / 60, dumping=triggers)).pump_pressure for triggers in ((), (1,)))
    >>> f"{held / 1e5:.0f} bar held, {dumped / 1e5:.0f} bar let out"
    '897 bar held, 54 bar let out'

    References
    ----------
    `solve.balance`.
    """
    network = network_of(
        rig, condition, shut=levers.shut, dumping=levers.dumping, opening=levers.opening, relief=levers.relief
    )
    out = [0.0] * (3 + 2 * len(network.lines))
    settle(
        network.water,
        network.pump,
        network.bypass,
        network.reliefs,
        network.pieces,
        network.main,
        network.lines,
        levers.speed,
        levers.area,
        0.0,
        out,
    )
    return read_out(network, out)


def reach(rig: CheckedRig, kind: str, value: float, at: int = 1, condition: Condition = SOUND) -> State:
    """The state in which a target is met, whatever machine would be needed for it. [-]

    Parameters
    ----------
    rig : CheckedRig
        From `rig.check.check`. [-]
    kind : str
        "nozzle_pressure", "pump_pressure" or "flow" (through the jets of branch `at`). [-]
    value : float
        Of the target. [Pa or m³/s]
    at : int
        Branch, from 1; ignored for a pump pressure. [-]
    condition : Condition
        Wear and faults; sound when not given. [-]

    Raises
    ------
    NotServedError
        When it needs more than 4000 bar.

    Examples
    --------
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> f"{reach(check(JOB), 'nozzle_pressure', 850e5).pump_pressure / 1e5:.0f} bar"
    '893 bar'

    References
    ----------
    `solve.balance`.
    """
    network = network_of(rig, condition)
    out = [0.0] * (3 + 2 * len(network.lines))
    if kind == "pump_pressure":
        settle(
            network.water,
            network.pump,
            network.bypass,
            (),
            network.pieces,
            network.main,
            network.lines,
            0.0,
            0.0,
            value,
            out,
        )
    else:
        nozzle = value if kind == "nozzle_pressure" else nozzle_for_flow(network, network.lines[at - 1], value)
        reach_nozzle(network.water, network.pieces, network.main, network.lines, at - 1, nozzle, out)
    return read_out(network, out)


def nozzle_for_flow(network: Network, line: Line, flow: float) -> float:
    """Gauge pressure behind the tips at which a line's jets carry a flow. [Pa]

    Parameters
    ----------
    network : Network
        The rig, lowered. [-]
    line : Line
        One of its lines. [-]
    flow : float
        Of all its jets. [m³/s]

    Raises
    ------
    NotServedError
        When it needs more than 4000 bar.

    Examples
    --------
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> from jetwright.solve.network import network_of
    >>> network = network_of(check(JOB), SOUND)
    >>> f"{nozzle_for_flow(network, network.lines[0], 25.0e-3 / 60.0) / 1e5:.0f} bar"
    '853 bar'

    References
    ----------
    The inverse of `parts.nozzle.jet_flow`, by Newton's method in the square root of the pressure.
    """
    mass = flow * network.water.reference_density
    if mass > jet_flow(network.water, line.outlet, SERVED_TO)[0]:
        raise NotServedError("above_served", highest=SERVED_TO)
    root = 3e3
    for _step in range(60):  # flow is nearly a straight line in the root: a handful of steps arrive
        passed, steep = jet_flow(network.water, line.outlet, root * root)
        change = (passed - mass) / (steep * 2.0 * root)
        root = root - change if change < root else 0.1 * root
        if abs(change) <= 1e-13 * root:
            break
    return root * root


def read_out(network: Network, out: list[float]) -> State:
    """Every pressure and flow of a network, from the unknowns that were solved for. [-]

    Parameters
    ----------
    network : Network
        The rig, lowered. [-]
    out : list of float
        As `solve.balance.settle` leaves it. [-]

    Raises
    ------
    NotServedError
        When a pressure lies above 4000 bar.

    Examples
    --------
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> from jetwright.solve.network import network_of
    >>> network, out = network_of(check(JOB), SOUND), [0.0] * 5
    >>> _ = reach_nozzle(network.water, network.pieces, 0, network.lines, 0, 850e5, out)
    >>> f"{read_out(network, out).lines[0].inlet / 1e5:.1f} bar"
    '853.1 bar'

    References
    ----------
    `solve.balance`.
    """
    if not out[0] <= SERVED_TO:
        raise NotServedError("above_served", highest=SERVED_TO)
    water = network.water
    lines = []
    for line, u in zip(network.lines, out[3 : 3 + len(network.lines)], strict=True):
        nozzle = u * u
        jets = jet_flow(water, line.outlet, nozzle)[0]
        inlet = nozzle + lumped_loss(water, line.loss_k, line.bore, nozzle, jets)
        leak = jet_flow(water, line.leak, inlet)[0]
        flow = jets + leak
        if flow == 0.0:  # nothing moves: the tool stands at the manifold's pressure less the rise
            head = water.reference_density * GRAVITY * line.rise
            still = ((out[1], out[1]),) * (line.last - line.first)
            lines.append(LineState(0.0, out[1] - head, 0.0, 0.0, still))
            continue
        below = inlet + water.reference_density * GRAVITY * line.rise
        items = []
        for index in range(line.last - 1, line.first - 1, -1):
            above = piece_inlet(water, network.pieces[index], below, flow)[0]
            items.append((above, below))
            below = above
        lines.append(LineState(nozzle, inlet, jets, leak, tuple(reversed(items))))
    below = out[1]
    main = []
    for index in range(network.main - 1, -1, -1):
        above = run_inlet(water, network.pieces, index, index + 1, below, out[2])[0]
        main.append((above, below))
        below = above
    return State(out[0], out[1], out[2], tuple(reversed(main)), tuple(lines))
