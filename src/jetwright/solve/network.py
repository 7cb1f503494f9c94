"""A checked rig in a condition, lowered to the numbers that the balance runs on."""

from dataclasses import dataclass, replace

from jetwright.parts.bypass import Bypass
from jetwright.parts.hose import Piece
from jetwright.parts.pump import Pump, delivered_per_turn
from jetwright.parts.relief import ACCUMULATION, Relief
from jetwright.rig.check import CheckedBranch, CheckedRig, Item
from jetwright.rig.condition import Condition
from jetwright.water.state import Water


@dataclass(frozen=True, slots=True)
class Line:
    """From the manifold to one outlet: its pieces are `first` to `last` - 1 of the network's.

    outlet: Cd × area that is open to ambient behind the tool's loss (jets, a dump port, or 0 when shut) [m²];
    leak: Cd × area that weeps at the tool's inlet [m²]; rise [m]; bore [m] and loss_k [-] of the tool.
    """

    first: int
    last: int
    rise: float
    bore: float
    loss_k: float
    outlet: float
    leak: float


@dataclass(frozen=True, slots=True)
class Network:
    """What the balance kernels take: one text of them reads this plain, and the same fields as arrays compiled.

    `pieces` holds the main run first (`main` of them, from the pump outward), then each line's.
    """

    water: Water
    pump: Pump
    bypass: Bypass
    reliefs: tuple[Relief, ...]
    pieces: tuple[Piece, ...]
    main: int
    lines: tuple[Line, ...]


def network_of(
    rig: CheckedRig,
    condition: Condition,
    *,
    shut: tuple[int, ...] = (),
    dumping: tuple[int, ...] = (),
    opening: float = 0.0,
    relief: bool = False,
) -> Network:
    """Lower a rig in a condition, with its triggers as they stand. [-]

    Parameters
    ----------
    rig : CheckedRig
        From `rig.check.check`. [-]
    condition : Condition
        Wear and faults. [-]
    shut : tuple of int
        Branches, from 1, at which nothing flows. [-]
    dumping : tuple of int
        Branches, from 1, whose dump port is open; while it is, no jet of theirs flows. [-]
    opening : float
        Opening pressure of a regulating bypass; 0: it does not open. [Pa]
    relief : bool
        Let the relief valves lift; a plan keeps them shut. [-]

    Examples
    --------
    >>> from jetwright.rig.condition import SOUND
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> network = network_of(check(JOB), SOUND)
    >>> len(network.pieces), network.main, network.lines[0].last
    (2, 0, 2)

    References
    ----------
    Our own convention.
    """
    pieces = [_worn(item, condition) for item in rig.main]
    main = len(pieces)
    lines: list[Line] = []
    for number, branch in enumerate(rig.branches, start=1):
        if number in dumping and 0 <= branch.dump_item < main:
            pieces = pieces[: branch.dump_item + 1]  # the port in the main run is the way out for all
            weeps = sum(one.leak_area for one in rig.branches)  # swivels beyond an open port weep on
            lines = [Line(len(pieces), len(pieces), 0.0, branch.tool.bore, 0.0, branch.dump_area, weeps)]
            main = len(pieces)
            break
        first = len(pieces)
        items, dumps_in_run = branch.items, number in dumping and branch.dump_item >= main
        if dumps_in_run:
            items = items[: branch.dump_item - main + 1]
        pieces += [_worn(item, condition) for item in items]
        outlet = _jets_area(branch, number, condition)
        if number in dumping:
            outlet = branch.dump_area
        elif number in shut:
            outlet = 0.0
        lines.append(
            Line(
                first=first,
                last=len(pieces),
                rise=0.0 if dumps_in_run else branch.rise,
                bore=branch.tool.bore,
                loss_k=0.0 if dumps_in_run else branch.tool.loss_k,
                outlet=outlet,
                leak=branch.leak_area,
            )
        )
    return Network(
        water=rig.water,
        pump=replace(rig.pump, strength=condition.pump_strength),
        bypass=_bypass_of(rig, opening, condition.bypass_seat),
        reliefs=_reliefs_of(rig) if relief else (),
        pieces=tuple(pieces),
        main=main,
        lines=tuple(lines),
    )


def _worn(item: Item, condition: Condition) -> Piece:
    piece = item.piece
    if piece.length == 0.0 or (condition.roughness == 1.0 and condition.hose_bore == 1.0):
        return piece
    return replace(piece, bore=piece.bore * condition.hose_bore, roughness=piece.roughness * condition.roughness)


def row_area(branch: CheckedBranch, number: int, row: int, condition: Condition) -> float:
    """Cd × area of one jet of a port row in a condition. [m²]

    Parameters
    ----------
    branch : CheckedBranch
        The branch. [-]
    number : int
        Its number, from 1. [-]
    row : int
        The row of its ports, from 0. [-]
    condition : Condition
        Wear and faults. [-]

    Examples
    --------
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> worn = Condition(tip_area={"R12": 1.10})
    >>> f"{1e6 * row_area(check(JOB).branches[0], 1, 0, worn):.4f} mm²"  # Cd 0.90, 1.2 mm, 10 % worn
    '1.1197 mm²'

    References
    ----------
    Our own convention.
    """
    jets = branch.rows[row]
    return jets.area * condition.tip_area.get(jets.tip, 1.0) * condition.port_area.get((number, row), 1.0)


def _jets_area(branch: CheckedBranch, number: int, condition: Condition) -> float:
    """Cd × area of all jets of a branch in a condition."""
    return sum(row_area(branch, number, row, condition) * jets.count for row, jets in enumerate(branch.rows))


def full_flow_of(rig: CheckedRig, given: float | None, pressure: float) -> float:
    """Mass flow of a valve at full lift: as given, else the pump's flow at top speed. [kg/s]

    Parameters
    ----------
    rig : CheckedRig
        The rig. [-]
    given : float | None
        Full flow as described. [m³/s]
    pressure : float
        At which the pump's flow is taken. [Pa]

    Examples
    --------
    >>> from jetwright.rig.check import check
    >>> from jetwright.rig.example import JOB
    >>> f"{full_flow_of(check(JOB), 1e-3, 900e5):.3f} kg/s"
    '0.999 kg/s'

    References
    ----------
    Our own convention.
    """
    if given is not None:
        return given * rig.water.reference_density
    return max(1e-9, rig.top_speed * delivered_per_turn(rig.water, rig.pump, pressure))


def _bypass_of(rig: CheckedRig, opening: float, seat: float) -> Bypass:
    """The bypass's numbers at an opening pressure."""
    described = rig.job.unit.bypass
    if described.kind != "regulating" or opening <= 0.0:
        return Bypass(seat=seat)
    return Bypass(opening, described.accumulation, full_flow_of(rig, described.full_flow, opening), seat)


def _reliefs_of(rig: CheckedRig) -> tuple[Relief, ...]:
    """The relief valves' numbers; a disc is shut until it bursts, and then no plan holds."""
    return tuple(
        Relief(device.set, device.accumulation or ACCUMULATION, full_flow_of(rig, device.full_flow, device.set))
        for device in rig.job.unit.relief
        if device.kind == "valve"
    )
