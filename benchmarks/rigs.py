"""The three rigs that are solved, and the speeds they are solved at."""

import random
from collections.abc import Callable
from dataclasses import dataclass, replace

from jetwright.parts.bypass import bypass_flow
from jetwright.parts.pump import delivered_per_turn
from jetwright.rig.check import CheckedRig, check
from jetwright.rig.condition import SOUND
from jetwright.rig.description import Branch, Bypass, Dump, Hose, Port, Relief, Target, Task, Tip, Tool
from jetwright.rig.example import JOB
from jetwright.solve.balance import settle
from jetwright.solve.network import Network, network_of

BAR = 1e5


@dataclass(frozen=True)
class Rig:
    """A network, the pump pressure it is meant for [Pa], and the pump speeds to solve it at [rev/s]."""

    letter: str
    told: str
    network: Network
    pressure: float
    speeds: tuple[float, ...]

    @property
    def turn(self) -> float:
        """Mass that a turn delivers at the pressure the rig is meant for [kg]: what a fixed inflow is set by."""
        return delivered_per_turn(self.network.water, self.network.pump, self.pressure)

    def plain(self) -> Callable[[float], float]:
        """One cold solve in plain Python: pump pressure [Pa] at a speed."""
        n = self.network
        length = 3 + 2 * len(n.lines)

        def solve(speed: float) -> float:
            out = [0.0] * length
            return settle(n.water, n.pump, n.bypass, n.reliefs, n.pieces, n.main, n.lines, speed, 0.0, 0.0, out)

        return solve


def _rig(letter: str, told: str, network: Network, pressure: float, spread: float, count: int = 32) -> Rig:
    """Speeds spread about the one that holds the pressure, in no order: a warm start is not handed the answer."""
    n = network
    out = [0.0] * (3 + 2 * len(n.lines))
    settle(n.water, n.pump, n.bypass, n.reliefs, n.pieces, n.main, n.lines, 1.0, 0.0, pressure, out)
    leaving = out[2] + bypass_flow(n.water, n.bypass, 0.0, pressure)[0]
    middle = leaving / delivered_per_turn(n.water, n.pump, pressure)
    speeds = [middle * (1.0 + spread * (2.0 * i / (count - 1) - 1.0)) for i in range(count)]
    random.Random(1).shuffle(speeds)
    return Rig(letter, told, network, pressure, tuple(speeds))


def rigs() -> list[Rig]:
    """One lance with a regulating bypass, three lances off a manifold, a five-tip head behind a long hose."""
    lance = Tool("hand lance", 0.006, "none", (Port("R12"),), loss_k=3.0)
    head = Tool("rotating head", 0.006, "none", (Port("S40", 3), Port("S50", 2)), loss_k=2.0)
    tips = {f"R{n}": Tip(n * 1e-4, "rounded") for n in (10, 11, 12)}
    tips |= {f"S{n}": Tip(n * 1e-5, "cone") for n in (40, 50)}
    hoses = {f"S8-{n}": Hose(0.008, float(n)) for n in (15, 20, 25, 60, 100)} | {"W13-40": Hose(0.013, 40.0)}
    tools = {f"lance-{n}": replace(lance, ports=(Port(f"R{n}"),)) for n in (10, 11, 12)} | {"head": head}
    stock = replace(JOB, hoses=hoses, tips=tips, tools=tools)
    target = Target(nozzle_pressure=700.0 * BAR)
    regulating = replace(
        JOB.unit, bypass=Bypass("regulating", returns_to="tank", accumulation=0.10, full_flow=60.0e-3 / 60.0)
    )
    one = replace(stock, unit=regulating, task=(Task("A", target, ("S8-60",), "lance-12"),))
    branches = tuple(Branch(f"lance-{n}", (f"S8-{m}",)) for n, m in ((10, 15), (11, 20), (12, 25)))
    three = replace(stock, task=(Task("B", target, ("W13-40",), branches=branches),))
    strong = replace(JOB.unit, pump=replace(JOB.unit.pump, plunger_diameter=0.018, rating=3000.0 * BAR))
    five = replace(stock, unit=strong, task=(Task("C", target, ("S8-100",), "head"),))
    return [
        _rig(
            "A",
            "one lance at 1000 bar, 60 m of 8 mm hose, regulating bypass part open",
            network_of(check(one), SOUND, opening=980.0 * BAR),
            1000.0 * BAR,
            0.04,
        ),
        _rig(
            "B",
            "three lances of 15, 20, 25 m off a manifold behind 40 m of 13 mm hose, 750 bar",
            network_of(check(three), SOUND),
            750.0 * BAR,
            0.05,
        ),
        _rig(
            "C", "a five-tip head at 2600 bar, 100 m of 8 mm hose", network_of(check(five), SOUND), 2600.0 * BAR, 0.05
        ),
    ]


def eight_tools() -> CheckedRig:
    """Eight guns off one manifold, no two alike, dump and dry shut-off by turns, a regulating bypass: 256 states."""
    guns = range(8)
    lance = Tool("hand lance", 0.006, "dump", (Port("R"),), loss_k=3.0, dump=Dump(0.006))
    tools = {
        f"gun-{n}": replace(lance, ports=(Port(f"R{7 + n}"),), release="dry shut-off" if n % 2 else "dump")
        for n in guns
    }
    branches = tuple(Branch(f"gun-{n}", (f"S8-{n}",)) for n in guns)
    bypass = Bypass("regulating", returns_to="tank")
    unit = replace(JOB.unit, bypass=bypass, relief=(Relief(1150.0 * BAR),), pump=replace(JOB.unit.pump, top_speed=20.0))
    return check(
        replace(
            JOB,
            unit=unit,
            hoses={f"S8-{n}": Hose(0.008, 10.0 + 5.0 * n) for n in guns} | {"W13-40": Hose(0.013, 40.0)},
            tips={f"R{7 + n}": Tip((7 + n) * 1e-4, "rounded") for n in guns},
            tools=tools,
            task=(Task("Eight", Target(nozzle_pressure=700.0 * BAR), ("W13-40",), branches=branches),),
        )
    )
