"""What each combination of pressed and released triggers does to the rig."""

import math
from collections.abc import Iterator, MutableSequence, Sequence
from dataclasses import dataclass, replace
from itertools import product

from jetwright.kernel import kernel
from jetwright.parts.bypass import Bypass, bypass_flow
from jetwright.parts.hose import Piece, lumped_loss
from jetwright.parts.nozzle import HOLE_DISCHARGE, jet_flow
from jetwright.parts.pump import Pump, delivered_per_turn
from jetwright.parts.relief import Relief, lowest_opening, relief_flow
from jetwright.rig.check import CheckedRig
from jetwright.rig.condition import SOUND
from jetwright.solve.balance import GRAVITY, line_inlet, line_root, settle
from jetwright.solve.network import Line, Network, network_of
from jetwright.solve.push import push_of
from jetwright.solve.steady import SERVED_TO, Levers
from jetwright.water.state import Water, jet_speed_of

IDLE_PRESSURE = 20e5
"""Gauge pressure at which an unloader circulates when none is given (common practice). [Pa]"""

REFERENCE = 1e7
"""Gauge pressure at which a line is tried on its own, to know where to start. [Pa]"""
HEAD = 4
"""Numbers of a state ahead of those of its lines, as `settle_state` writes them."""
EACH = 4
"""Numbers of a line."""
UNLOADED, NOTHING_HOLDS = 1.0, 2.0


@dataclass(frozen=True, slots=True)
class ToolAt:
    """One tool in a state: pressures [Pa], mass flow of its jets [kg/s], recoil along and across its axis [N]."""

    nozzle: float
    inlet: float
    jets: float
    along: float
    across: float


@dataclass(frozen=True, slots=True)
class TriggerState:
    """One combination of triggers: pump pressure [Pa], flow over the bypass and over the relief [kg/s], each tool.

    held: for each branch whether its trigger is held; a released one does what its release does (dump, dry shut-off).
    unloaded: the unloader has opened and the pump circulates at its idle pressure. pump_pressure is None where the
    rig has no way out that it survives (nothing described could carry the flow); the rest then stands as it was at the
    lowest pressure at which a disc bursts, or at the highest that is served.
    """

    held: tuple[bool, ...]
    pump_pressure: float | None
    bypass_flow: float
    relief_flow: float
    unloaded: bool
    tools: tuple[ToolAt, ...]


@dataclass(frozen=True, slots=True)
class MachineAt:
    """How the machine stands in every state: speed [rev/s], hole of the bypass [m²], pressures [Pa].

    unloads: at which an unloader opens, 0 when there is none; idle: at which it then circulates; ceiling: the lowest at
    which something bursts.
    """

    speed: float
    area: float
    unloads: float
    idle: float
    ceiling: float


@dataclass(frozen=True, slots=True)
class Triggers:
    """A rig ready for every combination of its triggers: all of them stand on one list of pieces.

    network: every trigger held, the relief valves free to lift; released: each branch's line let go (a held one where
    there is nothing to let go); can: whether there is; in_main: whether letting go opens a port in the main run, and
    shared: the network that then is left, for all.
    """

    network: Network
    released: tuple[Line, ...]
    can: tuple[bool, ...]
    in_main: tuple[bool, ...]
    shared: Network | None
    machine: MachineAt

    def combinations(self) -> Iterator[tuple[bool, ...]]:
        """Whether each branch is held: first all held, last all let go, the last branch's trigger fastest. [-]"""
        return product(*((True, False) if can else (True,) for can in self.can))

    def is_shared(self, held: Sequence[bool]) -> bool:
        """Whether a port in the main run stands open. [-]"""
        return any(main and not pressed for main, pressed in zip(self.in_main, held, strict=True))


@kernel
def line_start(water: Water, line: Line, pieces: Sequence[Piece]) -> tuple[float, float]:
    """u and mass flow of a line at 100 bar, over the root of that pressure: nearly so at any. [-, kg/(s √Pa)]

    Parameters
    ----------
    water : Water
        At the supply temperature. [-]
    line : Line
        From the manifold to an outlet. [-]
    pieces : Sequence of Piece
        Of the network. [-]

    Examples
    --------
    >>> from jetwright.water.state import water_at
    >>> line = Line(0, 1, 0.0, 0.006, 3.0, 0.9 * 0.7854e-6, 0.0)
    >>> share, _flow = line_start(water_at(291.15, 100845.0), line, (Piece(0.008, 60.0, 1e-5),))
    >>> f"{100 * share**2:.0f} % of the pressure is left behind the tip"
    '96 % of the pressure is left behind the tip'

    References
    ----------
    `solve.balance.line_root`.
    """
    manifold = REFERENCE + water.reference_density * GRAVITY * line.rise
    u = line_root(water, line, pieces, manifold, 0.0)
    if u <= 0.0:
        return 0.0, 0.0
    return u / math.sqrt(REFERENCE), line_inlet(water, line, pieces, u)[1] / math.sqrt(REFERENCE)


@kernel
def start_from(
    water: Water,
    pump: Pump,
    bypass: Bypass,
    reliefs: Sequence[Relief],
    lines: Sequence[Line],
    starts: Sequence[float],
    machine: MachineAt,
    out: MutableSequence[float],
) -> float:
    """Manifold pressure to start the search from, put into `out` with each line's u; 0: there is no telling. [Pa]

    Parameters
    ----------
    water : Water
        At the supply temperature. [-]
    pump : Pump
        The pump. [-]
    bypass : Bypass
        The bypass. [-]
    reliefs : Sequence of Relief
        Those that may lift. [-]
    lines : Sequence of Line
        Each as its trigger has it. [-]
    starts : Sequence of float
        The two of `line_start` for each line. [-]
    machine : MachineAt
        Speed and hole. [-]
    out : MutableSequence of float
        Work array of `solve.balance.settle`, all zero. [-]

    Examples
    --------
    >>> from jetwright.water.state import water_at
    >>> water, machine = water_at(291.15, 100845.0), MachineAt(2.0, 0.0, 0.0, 0.0, 4e8)
    >>> pump, gun = Pump(2.654e-4, 0.02, 1.2, 0.9), Line(0, 0, 0.0, 1.0, 0.0, 7e-7, 0.0)
    >>> starts = line_start(water, gun, ()) * 2
    >>> f"{start_from(water, pump, Bypass(), (), (gun, gun), starts, machine, [0.0] * 7) / 1e5:.0f} bar"
    '691 bar'

    References
    ----------
    Mass balance at the pump's outlet, the lines' flows taken as proportional to the root of the pressure.
    """
    passes = HOLE_DISCHARGE * (machine.area + bypass.seat) * math.sqrt(2.0 * water.reference_density)
    for index in range(len(lines)):
        passes += starts[2 * index + 1]
    if len(lines) == 1 or passes <= 0.0:
        return 0.0
    pressure = (machine.speed * delivered_per_turn(water, pump, 0.0) / passes) ** 2
    if bypass.full_flow > 0.0:
        pressure = min(pressure, bypass.opening * (1.0 + bypass.accumulation))
    for index in range(len(reliefs)):
        pressure = min(pressure, reliefs[index].set * (1.0 + reliefs[index].accumulation))
    out[1] = pressure
    for index in range(len(lines)):
        head = pressure - water.reference_density * GRAVITY * lines[index].rise
        if head > 0.0:
            out[3 + index] = starts[2 * index] * math.sqrt(head)
    return pressure


@kernel
def settle_state(
    water: Water,
    pump: Pump,
    bypass: Bypass,
    reliefs: Sequence[Relief],
    pieces: Sequence[Piece],
    main: int,
    lines: Sequence[Line],
    starts: Sequence[float],
    pressed: Sequence[float],
    machine: MachineAt,
    out: MutableSequence[float],
    row: MutableSequence[float],
) -> float:
    """Gauge pressure at the pump with the triggers as they stand, an unloader open when it must be. [Pa]

    row[0]: pump pressure [Pa], row[1], row[2]: mass flow over bypass and relief [kg/s], row[3]: 1 when the unloader has
    opened, 2 when nothing holds (all is then as it stands at the ceiling), else 0. Then for each line the pressures
    behind its tips and at the tool's inlet [Pa], the mass flow of its jets [kg/s] and their force [N].

    Parameters
    ----------
    water : Water
        At the supply temperature. [-]
    pump : Pump
        The pump. [-]
    bypass : Bypass
        The bypass. [-]
    reliefs : Sequence of Relief
        Those that may lift. [-]
    pieces : Sequence of Piece
        Main run first. [-]
    main : int
        Items in the main run. [-]
    lines : Sequence of Line
        Each as its trigger has it. [-]
    starts : Sequence of float
        The two of `line_start` for each line. [-]
    pressed : Sequence of float
        For each line 1 when its outlet is its jets, 0 when it is a dump port or shut. [-]
    machine : MachineAt
        As it stands. [-]
    out : MutableSequence of float
        Work array of `solve.balance.settle`, all zero. [-]
    row : MutableSequence of float
        Of 4 + 4 × lines; as above. [-]

    Examples
    --------
    >>> from jetwright.water.state import water_at
    >>> water, pump, relief = water_at(291.15, 100845.0), Pump(2.654e-4, 0.02, 1.2, 0.9), Relief(1150e5, 0.10, 2.2)
    >>> shut, machine = Line(0, 0, 0.0, 0.006, 3.0, 0.0, 0.0), MachineAt(2.0, 0.66e-6, 0.0, 0.0, 4e8)
    >>> out, row = [0.0] * 5, [0.0] * 8
    >>> pressure = settle_state(
    ...     water, pump, Bypass(), (relief,), (), 0, (shut,), (0.0, 0.0), (0.0,), machine, out, row
    ... )
    >>> f"{pressure / 1e5:.0f} bar, {row[2] / 0.9986 * 60:.1f} L/min over the relief"
    '1164 bar, 16.2 L/min over the relief'

    References
    ----------
    `solve.balance.settle`.
    """
    speed = machine.speed
    area = machine.area
    ways_out = 0.0
    for index in range(len(lines)):
        ways_out += lines[index].outlet
    unloaded = machine.unloads > 0.0 and ways_out <= 0.0
    how = 0.0
    pressure = 0.0
    if not unloaded:
        start_from(water, pump, bypass, reliefs, lines, starts, machine, out)
        pressure = settle(water, pump, bypass, reliefs, pieces, main, lines, speed, area, 0.0, out)
        unloaded = machine.unloads > 0.0 and pressure >= machine.unloads
    if unloaded:
        how = UNLOADED
        pressure = settle(water, pump, bypass, reliefs, pieces, main, lines, speed, area, machine.idle, out)
    elif not pressure < machine.ceiling:
        how = NOTHING_HOLDS
        pressure = settle(water, pump, bypass, reliefs, pieces, main, lines, speed, area, machine.ceiling, out)
    row[0] = pressure
    row[1] = bypass_flow(water, bypass, area, pressure)[0]
    if unloaded:
        row[1] = max(0.0, speed * delivered_per_turn(water, pump, pressure) - out[2])
    row[2] = 0.0
    for index in range(len(reliefs)):
        row[2] += relief_flow(reliefs[index], pressure)[0]
    row[3] = how
    for index in range(len(lines)):
        line = lines[index]
        here = HEAD + EACH * index
        behind = out[3 + index] * out[3 + index]
        jets = jet_flow(water, line.outlet, behind)[0]
        inlet = behind + lumped_loss(water, line.loss_k, line.bore, behind, jets)
        if jets + jet_flow(water, line.leak, inlet)[0] <= 0.0:  # nothing moves: the tool stands at the manifold's
            inlet = out[1] - water.reference_density * GRAVITY * line.rise
        row[here] = 0.0
        row[here + 1] = inlet
        row[here + 2] = 0.0
        row[here + 3] = 0.0
        if pressed[index] > 0.0 and jets > 0.0:
            row[here] = behind
            row[here + 2] = jets
            row[here + 3] = jets * jet_speed_of(water, behind + water.ambient)
    return pressure


def triggers_of(rig: CheckedRig, levers: Levers) -> Triggers:
    """A rig and a machine's setting, ready for every combination of triggers. [-]

    Parameters
    ----------
    rig : CheckedRig
        The rig. [-]
    levers : Levers
        Speed, hole and opening pressure; its own triggers and relief do not count. [-]

    Examples
    --------
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> list(triggers_of(check(JOB), Levers(177 / 60)).combinations())
    [(True,), (False,)]

    References
    ----------
    Our own convention: what is stopped at the pump stays held in every state; a disc carries nothing until it bursts.
    """
    unit, opening = rig.job.unit, levers.opening
    network = network_of(rig, SOUND, opening=opening, relief=True)
    releases = [branch.tool.release for branch in rig.branches]
    dumps = [release == "dump" for release in releases]
    in_main = tuple(
        dump and 0 <= branch.dump_item < len(rig.main) for dump, branch in zip(dumps, rig.branches, strict=True)
    )
    shut = tuple(number for number, release in enumerate(releases, start=1) if release == "dry shut-off")
    own = tuple(n for n, (dump, main) in enumerate(zip(dumps, in_main, strict=True), start=1) if dump and not main)
    let_go = network_of(rig, SOUND, shut=shut, dumping=own)
    released = tuple(  # a port in a branch's own run shortens its line: the same pieces, fewer of them
        replace(gone, first=line.first, last=line.first + gone.last - gone.first)
        for line, gone in zip(network.lines, let_go.lines, strict=True)
    )
    shared = None
    if any(in_main):
        shared = network_of(rig, SOUND, dumping=(in_main.index(True) + 1,), opening=opening, relief=True)
    idle = IDLE_PRESSURE if unit.bypass.idle_pressure is None else unit.bypass.idle_pressure
    unloads = (unit.bypass.set or 0.0) if unit.bypass.kind == "unloader" else 0.0
    bursts = [lowest_opening("disc", one.set, one.tolerance) for one in unit.relief if one.kind == "disc"]
    return Triggers(
        network=network,
        released=released,
        can=tuple(release != "none" for release in releases),
        in_main=in_main,
        shared=shared,
        machine=MachineAt(levers.speed, levers.area, unloads, min(idle, unloads), min([SERVED_TO, *bursts])),
    )


def starts_of(triggers: Triggers) -> tuple[list[float], list[float]]:
    """The two of `line_start` for every line, held and let go; zeros where no search starts from them. [-]

    Parameters
    ----------
    triggers : Triggers
        From `triggers_of`. [-]

    Examples
    --------
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> starts_of(triggers_of(check(JOB), Levers(177 / 60)))  # a single line has no manifold
    ([0.0, 0.0], [0.0, 0.0])

    References
    ----------
    `line_start`.
    """
    network = triggers.network
    found = []
    for lines in (network.lines, triggers.released):
        several = len(lines) > 1
        found.append(
            [n for one in lines for n in (line_start(network.water, one, network.pieces) if several else (0.0, 0.0))]
        )
    return found[0], found[1]


def state_row(triggers: Triggers, held: Sequence[bool], starts: tuple[Sequence[float], Sequence[float]]) -> list[float]:
    """One combination of triggers, settled, as `settle_state` writes it, for every branch. [Pa, kg/s, N]

    With a port in the main run open no jet flows anywhere, and every tool's inlet is told as the pressure at the port.

    Parameters
    ----------
    triggers : Triggers
        From `triggers_of`. [-]
    held : Sequence of bool
        For each branch whether its trigger is held. [-]
    starts : tuple of Sequence of float
        From `starts_of`. [-]

    Examples
    --------
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> triggers = triggers_of(check(JOB), Levers(177 / 60))
    >>> [f"{state_row(triggers, held, starts_of(triggers))[0] / 1e5:.0f} bar" for held in triggers.combinations()]
    ['897 bar', '54 bar']

    References
    ----------
    `settle_state`.
    """
    network, pressed = triggers.network, [float(one) for one in held]
    lines = tuple(line if one else gone for line, gone, one in zip(network.lines, triggers.released, held, strict=True))
    chosen = [starts[0 if one else 1][2 * index + part] for index, one in enumerate(held) for part in (0, 1)]
    shared = triggers.is_shared(held)
    if shared:
        assert triggers.shared is not None
        network = triggers.shared
        lines, pressed, chosen = network.lines, [0.0], [0.0, 0.0]
    row = [0.0] * (HEAD + EACH * len(lines))
    settle_state(
        network.water,
        network.pump,
        network.bypass,
        network.reliefs,
        network.pieces,
        network.main,
        lines,
        chosen,
        pressed,
        triggers.machine,
        [0.0] * (3 + 2 * len(lines)),
        row,
    )
    return row + row[HEAD:] * (len(held) - 1) if shared else row


def trigger_states(rig: CheckedRig, levers: Levers) -> tuple[TriggerState, ...]:
    """What every combination of triggers held and let go does, the machine left as it is set. [-]

    First all held, last all let go. A tool that is stopped at the pump stays held in all of them. A dump port in the
    main run is the way out for every tool behind it. Relief valves may lift. An unloader opens when every tool is shut,
    or when the pump would come to its set point: the pump then circulates at its idle pressure, 20 bar when none is
    given, and a tool that is still held gets that.

    Parameters
    ----------
    rig : CheckedRig
        Of up to eight tools. [-]
    levers : Levers
        Speed, hole and opening pressure; its own triggers and relief do not count. [-]

    Examples
    --------
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> held, let_go = trigger_states(check(JOB), Levers(177 / 60))
    >>> f"{held.pump_pressure / 1e5:.0f} bar, {let_go.pump_pressure / 1e5:.0f} bar let go"
    '897 bar, 54 bar let go'

    References
    ----------
    `settle_state`; an unloader's idle pressure is common practice where it is not given.
    """
    triggers = triggers_of(rig, levers)
    starts = starts_of(triggers)
    shared = None  # the same for every state in which the main run's port stands open
    found = []
    for held in triggers.combinations():
        if triggers.is_shared(held):
            shared = row = state_row(triggers, held, starts) if shared is None else shared
        else:
            row = state_row(triggers, held, starts)
        found.append(_state(rig, held, row))
    return tuple(found)


def outermost_states(rig: CheckedRig, levers: Levers, number: int) -> tuple[TriggerState, ...]:
    """Of the states of `trigger_states` those that can be a tool's least or greatest, its trigger held or let go. [-]

    The more the other lines take, the lower the manifold's pressure and all that hangs on it. Where letting go makes a
    line take more, or less, at any pressure, that is the same whatever the others do: the greatest and the least are
    among a handful of states. They are told so where no pressure turns that round: no unloader that opens, no port in
    the main run, something that holds in all of them; all states where one of these is not so.

    Parameters
    ----------
    rig : CheckedRig
        Of up to eight tools. [-]
    levers : Levers
        Speed, hole and opening pressure. [-]
    number : int
        Branch, from 1. [-]

    Examples
    --------
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> [state.held for state in outermost_states(check(JOB), Levers(177 / 60), 1)]
    [(True,), (False,)]

    References
    ----------
    Mass balance at the manifold: what the pump gives falls, and what each line, bypass and relief take rises, with its
    pressure.
    """
    triggers = triggers_of(rig, levers)
    lines = triggers.network.lines
    takes = [
        _takes(line, gone) if can else 0 for line, gone, can in zip(lines, triggers.released, triggers.can, strict=True)
    ]
    if triggers.machine.unloads > 0.0 or triggers.shared is not None or None in takes:
        return trigger_states(rig, levers)
    asked = set()
    for own in (True, False) if triggers.can[number - 1] else (True,):
        for let_go in ({at for at, more in enumerate(takes) if more == sign} for sign in (-1, 1)):
            asked.add(tuple(own if at == number - 1 else at not in let_go for at in range(len(lines))))
    for other in range(len(lines)):
        if other != number - 1 and triggers.can[other]:
            asked.add(tuple(at != other for at in range(len(lines))))
    asked.add((True,) * len(lines))
    starts = starts_of(triggers)
    found = tuple(
        _state(rig, held, state_row(triggers, held, starts)) for held in triggers.combinations() if held in asked
    )
    return found if all(state.pump_pressure is not None for state in found) else trigger_states(rig, levers)


def _takes(line: Line, gone: Line) -> int | None:
    """Whether a line takes more (1) or less (-1) when it is let go, at any pressure; None: that depends on it."""
    if replace(gone, outlet=line.outlet) == line:
        return 1 if gone.outlet > line.outlet else -1
    shorter = gone.first == line.first and gone.last <= line.last and gone.rise <= line.rise
    less_lost = gone.loss_k == 0.0 or (gone.loss_k <= line.loss_k and gone.bore == line.bore)
    more_open = gone.outlet >= line.outlet and gone.leak >= line.leak
    return 1 if shorter and less_lost and more_open else None


def _state(rig: CheckedRig, held: tuple[bool, ...], row: Sequence[float]) -> TriggerState:
    tools = []
    for number in range(1, len(held) + 1):
        nozzle, inlet, jets, _force = row[HEAD + EACH * (number - 1) : HEAD + EACH * number]
        along, across = push_of(rig, number, nozzle) if jets > 0.0 else (0.0, 0.0)
        tools.append(ToolAt(nozzle, inlet, jets, along, across))
    pressure = None if row[3] == NOTHING_HOLDS else row[0]
    return TriggerState(held, pressure, row[1], row[2], row[3] == UNLOADED, tuple(tools))
