"""The open hose end: what a flush at start speed does there, before a tip is fitted."""

from dataclasses import dataclass, replace

from jetwright.errors import NotServedError
from jetwright.parts.nozzle import HOLE_DISCHARGE, jet_flow, round_area
from jetwright.parts.pump import delivered_per_turn
from jetwright.rig.check import CheckedRig
from jetwright.rig.condition import SOUND, Condition
from jetwright.solve.balance import settle
from jetwright.solve.network import Network, network_of
from jetwright.solve.steady import State, read_out
from jetwright.water.state import jet_speed_of

FLUSHES = 3.0
"""Volumes of the hose run that flush it (common practice)."""


@dataclass(frozen=True, slots=True)
class Flush:
    """A flush, tips off: gauge with the bypass fully open and shut [Pa], None where it is not known;
    push of the open end with the bypass shut [N], and the tool it is at; water of three hose-run volumes [m³] and the
    least time they take [s].
    """

    open: float | None
    shut: float | None
    push: float | None
    tool: str
    volume: float
    time: float


def flush_of(rig: CheckedRig, speed: float | None = None) -> Flush:
    """What a flush does at the open hose end. [-]

    The bypass is brought in until water runs; fully open and shut are the ends of what the gauge may then show, and
    shut is the cautious end for the push. One tool after the other is flushed; the worst of them counts.

    Parameters
    ----------
    rig : CheckedRig
        The rig. [-]
    speed : float | None
        Of the pump; start speed when not given. [rev/s]

    Examples
    --------
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> flush = flush_of(check(JOB))
    >>> f"{flush.push:.1f} N, {flush.open / 1e5:.1f} to {flush.shut / 1e5:.1f} bar, {1e3 * flush.volume:.1f} L"
    '3.6 N, 2.3 to 28.0 bar, 6.0 L'

    References
    ----------
    Momentum of a free jet; three hose-run volumes are common practice.
    """
    described, turns = rig.job.unit.bypass, rig.start_speed if speed is None else speed
    opens, shuts, pushes = [], [], []
    volume, time = _volume(rig, turns)
    for number, branch in enumerate(rig.branches, 1):
        network = open_end(rig, number)
        try:
            state = _settled(network, turns, 0.0)
            if described.full_open_area is not None:
                opens.append(_settled(network, turns, described.full_open_area).pump_pressure)
        except NotServedError:
            return Flush(None, None, None, branch.tool_name, volume, time)
        line = state.lines[number - 1]
        pushes.append((line.jets * jet_speed_of(rig.water, line.nozzle + rig.water.ambient), branch.tool_name))
        shuts.append(state.pump_pressure)
    if described.kind == "unloader" and not opens:
        opens = shuts  # it stays shut
    push, tool = max(pushes)
    return Flush(min(opens, default=None), max(shuts), push, tool, volume, time)


def _volume(rig: CheckedRig, speed: float) -> tuple[float, float]:
    """Three volumes of every hose, and the time that the whole flow of the pump takes for them."""
    items = [*rig.main, *(item for branch in rig.branches for item in branch.items)]
    volume = FLUSHES * sum(round_area(item.piece.bore) * item.piece.length for item in items)
    flow = speed * delivered_per_turn(rig.water, rig.pump, 0.0) / rig.water.reference_density
    return volume, volume / flow


def open_end(rig: CheckedRig, number: int, condition: Condition = SOUND) -> Network:
    """The rig with the tips of one tool off and its trigger held, the others let go. [-]

    A tool that cannot be let go by itself has its tips off too.

    Parameters
    ----------
    rig : CheckedRig
        The rig. [-]
    number : int
        The branch, from 1. [-]
    condition : Condition
        Wear and faults; sound when not given. [-]

    Examples
    --------
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> f"{1e6 * open_end(check(JOB), 1).lines[0].outlet:.1f} mm²"
    '28.3 mm²'

    References
    ----------
    Our own convention: a hole of the tool's bore with a coefficient of 1, on the cautious side for the push.
    """
    ends, shut, dumping = {number}, [], []
    for other, branch in enumerate(rig.branches, 1):
        if other == number:
            continue
        if branch.tool.release == "dry shut-off":
            shut.append(other)
        elif branch.tool.release == "dump" and not 0 <= branch.dump_item < len(rig.main):
            dumping.append(other)
        else:
            ends.add(other)
    network = network_of(rig, condition, shut=tuple(shut), dumping=tuple(dumping))
    lines = tuple(
        replace(line, outlet=round_area(line.bore)) if other in ends else line
        for other, line in enumerate(network.lines, 1)
    )
    return replace(network, lines=lines)


def flush_opening(rig: CheckedRig, pump_pressure: float) -> float | None:
    """Opening of a bypass, by hand, at which the gauge stands at a pressure while an open end is flushed. [m²]

    None where the bypass cannot open so far, or no hand sets an opening.

    Parameters
    ----------
    rig : CheckedRig
        The rig. [-]
    pump_pressure : float
        That the gauge is to show at most, whichever tool is flushed. [Pa]

    Examples
    --------
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> f"{1e6 * flush_opening(check(JOB), 20e5):.2f} mm²"
    '1.20 mm²'

    References
    ----------
    Mass balance at the pump's outlet.
    """
    described = rig.job.unit.bypass
    if described.kind == "regulating" or described.full_open_area is None:
        return None
    given = rig.start_speed * delivered_per_turn(rig.water, rig.pump, pump_pressure)
    least = 0.0
    for number in range(1, len(rig.branches) + 1):
        state = _settled(open_end(rig, number), 0.0, 0.0, pump_pressure)
        surplus = given - state.mass_flow
        least = max(least, surplus / jet_flow(rig.water, HOLE_DISCHARGE, pump_pressure)[0])
    return least if least <= described.full_open_area else None


def flush_time(rig: CheckedRig, pump_pressure: float) -> float:
    """Least time that a flush takes with the gauge held at a pressure, the rest of the flow over the bypass. [s]

    Parameters
    ----------
    rig : CheckedRig
        The rig. [-]
    pump_pressure : float
        That the gauge shows, whichever tool is flushed. [Pa]

    Examples
    --------
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> rig = check(JOB)
    >>> f"{flush_of(rig).time:.0f} s with the bypass shut, {flush_time(rig, 10e5):.0f} s at 10 bar"
    '19 s with the bypass shut, 33 s at 10 bar'

    References
    ----------
    The flow through the hose at that pressure, and three hose-run volumes (common practice).
    """
    volume, least = _volume(rig, rig.start_speed)
    flows = [
        _settled(open_end(rig, number), 0.0, 0.0, pump_pressure).mass_flow for number in range(1, len(rig.branches) + 1)
    ]
    return max(least, volume * rig.water.reference_density / min(flows))


def _settled(network: Network, speed: float, area: float, held: float = 0.0) -> State:
    out = [0.0] * (3 + 2 * len(network.lines))
    settle(
        network.water,
        network.pump,
        network.bypass,
        network.reliefs,
        network.pieces,
        network.main,
        network.lines,
        speed,
        area,
        held,
        out,
    )
    return read_out(network, out)
