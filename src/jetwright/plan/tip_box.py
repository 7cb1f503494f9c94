"""A tool's places, the tips of the box that may go into them, and the job with some of them in it."""

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Literal

from jetwright.parts.nozzle import round_area
from jetwright.plan.judging.recoil import FED, held_by
from jetwright.plan.setting import target_of
from jetwright.rig.check import check, tip_area
from jetwright.rig.description import Job, Port, Tip, Tool
from jetwright.solve.fill import LARGEST_SUM, Filling, PortClass, Ports

MICRO = 1e12
"""Areas are compared whole, in 1e-6 mm². [1/m²]"""
MILLIONTHS = 10**6
"""Of a jet's share along the axis, and micrometres in its lever arm."""
ANY = (-LARGEST_SUM, LARGEST_SUM)
"""No bound."""
SIDEWAYS = math.radians(80.0)
"""Jets between this angle and its mirror image point to the side; what is nearer to the axis points forward or back."""
ALIKE = ""
"""Name of a tip that stands for any size: no file can hold it."""

Where = Literal["front", "side", "rear"]


@dataclass(frozen=True, slots=True)
class Places:
    """Places of a tool that point alike: angle, skew [rad] and radius [m]; `count` places for `jets` equal tips each.

    Two jets are an opposed pair, more of them a ring: they match, so that nothing pushes sideways. row: the first of
    the tool's port rows that is one of them, from 0.
    """

    angle: float
    radius: float
    skew: float
    jets: int
    count: int
    row: int

    @property
    def where(self) -> Where:
        """Which way its jets point. [-]"""
        if abs(self.angle - 0.5 * math.pi) <= 0.5 * math.pi - SIDEWAYS:
            return "side"
        return "front" if self.angle < 0.5 * math.pi else "rear"

    @property
    def share(self) -> float:
        """Part of a jet's force along the tool's axis, positive where it pushes back. [-]"""
        return math.cos(self.angle) * math.cos(self.skew)

    @property
    def lever(self) -> float:
        """Lever arm of a jet's force about the tool's axis. [m]"""
        return self.radius * math.sin(self.skew)


@dataclass(frozen=True, slots=True)
class Offer:
    """A tip on offer: Cd × area [m²], bore [m] (None: rated), pieces that one tool may get.

    carried: pieces that the task's tools carry, where that is more than the job file's count of them; else 0.
    """

    name: str
    area: float
    bore: float | None
    pieces: int
    carried: int = 0


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A tip that is not on offer, and why: "wide" (than the tool's bore) or "used" (up by other branches)."""

    name: str
    why: Literal["wide", "used"]


Tips = tuple[tuple[str, ...], ...]
"""Names of the tips, place by place, in the order of the tool's places."""


@dataclass(frozen=True, slots=True)
class Box:
    """A tool of a task, its places, and the tips that may go into them. number: its branch, from 1."""

    job: Job
    index: int
    number: int
    tool: str
    places: tuple[Places, ...]
    offers: tuple[Offer, ...]
    left_out: tuple[LeftOut, ...] = ()

    @property
    def jets(self) -> int:
        """Tips that it takes to fill the tool. [-]"""
        return sum(places.count * places.jets for places in self.places)

    @property
    def sizes(self) -> tuple[int, ...]:
        """Area of each tip on offer, whole. [1e-6 mm²]"""
        return tuple(max(1, round(MICRO * offer.area)) for offer in self.offers)

    @property
    def span(self) -> tuple[int, int]:
        """Areas of all jets that no way to fill the tool is below or above, whole. [1e-6 mm²]"""
        return self.jets * min(self.sizes), self.jets * max(self.sizes)

    def at_most(self, area: int) -> "Box":
        """The box without the tips that are too large to be part of a way with an area of all jets. [-]"""
        rest = (self.jets - 1) * min(self.sizes)
        return replace(
            self, offers=tuple(one for one, size in zip(self.offers, self.sizes, strict=True) if size + rest <= area)
        )

    @property
    def pulls(self) -> bool:
        """Whether the jets are what draws the tool along. [-]"""
        tool = self.job.tools[self.tool]
        return held_by(tool) == "hose" or tool.kind in FED

    def tips(self, filling: Filling) -> Tips:
        """The tips of a filling by name. [-]"""
        return tuple(tuple(self.offers[at].name for at in chosen) for chosen in filling.tips)

    def filled(self, tips: Tips) -> Job:
        """The job with these tips in the tool. [-]"""
        return self.with_ports(ports_of(self.places, tips))

    def alike(self, tip: Tip) -> Job:
        """The job with one tip in every place of the tool, owned or not. [-]"""
        stock = dict(self.job.tips) | {ALIKE: replace(tip, count=max(2, self.jets) * 8)}
        ports = tuple(replace(port, tip=ALIKE) for port in self.job.tools[self.tool].ports)
        return replace(self.with_ports(ports), tips=stock)

    def of_area(self, area: int) -> Job:
        """The job with an area of all jets together, whole, in one size of tip. [1e-6 mm²]"""
        bore = math.sqrt(4.0 * area / (MICRO * self.jets * math.pi))
        return self.alike(Tip(bore=min(bore, self.job.tools[self.tool].bore), cd=1.0))

    def with_ports(self, ports: tuple[Port, ...]) -> Job:
        """The job with these ports in the tool. [-]"""
        tool = replace(self.job.tools[self.tool], ports=ports)
        return replace(self.job, tools=dict(self.job.tools) | {self.tool: tool})

    def classes(self) -> tuple[PortClass, ...]:
        """The places as whole numbers. [-]"""
        return tuple(
            PortClass(one.count, one.jets, round(MILLIONTHS * one.share), round(MILLIONTHS * one.lever))
            for one in self.places
        )

    def ports(self, area: tuple[int, int], push: tuple[int, int] = ANY, twist: tuple[int, int] = ANY) -> Ports:
        """What is to be filled within bounds. [-]"""
        pieces = tuple(offer.pieces for offer in self.offers)
        return Ports(self.sizes, pieces, self.classes(), area, push, twist)


def places_of(tool: Tool) -> tuple[Places, ...]:
    """The places of a tool's ports: single ones, opposed pairs, and rings of an odd count. [-]

    Parameters
    ----------
    tool : Tool
        As described. [-]

    Examples
    --------
    >>> rows = (Port("A"), Port("B", 2, angle=2.6), Port("A", 4, angle=2.6), Port("A", 3, angle=1.5))
    >>> for places in places_of(Tool("pipe nozzle", 0.006, "none", rows)):
    ...     print(places.where, places.count, "of", places.jets)
    front 1 of 1
    rear 3 of 2
    side 1 of 3

    References
    ----------
    Our own convention: an even count stands in opposed pairs, each of which gets one size.
    """
    found: dict[tuple[float, float, float, int], Places] = {}
    for row, port in enumerate(tool.ports):
        jets, count = (port.count, 1) if port.count % 2 else (2, port.count // 2)
        key = (port.angle, port.radius, port.skew, jets)
        known = found.get(key)
        found[key] = Places(*key, count, row) if known is None else replace(known, count=known.count + count)
    return tuple(found.values())


def ports_of(places: Iterable[Places], tips: Tips) -> tuple[Port, ...]:
    """The port rows of a tool with these tips; pairs that are alike stand in one row. [-]

    Parameters
    ----------
    places : Iterable of Places
        Of the tool. [-]
    tips : tuple of tuple of str
        Names of the tips, place by place. [-]

    Examples
    --------
    >>> rear = places_of(Tool("pipe nozzle", 0.006, "none", (Port("A", 6, angle=2.6),)))
    >>> [(port.tip, port.count) for port in ports_of(rear, (("A", "B", "A"),))]
    [('A', 4), ('B', 2)]

    References
    ----------
    Our own convention.
    """
    rows = []
    for one, chosen in zip(places, tips, strict=True):
        if one.jets == 2:
            named = [(name, 2 * chosen.count(name)) for name in dict.fromkeys(chosen)]
        else:
            named = [(name, one.jets) for name in chosen]
        rows += [Port(name, count, one.angle, one.radius, one.skew) for name, count in named]
    return tuple(rows)


def box_of(job: Job, index: int, branch: int | None = None) -> Box:
    """A tool of a task and the tips that may go into it. [-]

    On offer is every tip that goes into the tool's bore, as many pieces as are owned less what other tools of the task
    use. A tip that nobody counted, or that was counted as one, is there once, or as often as the task's tools carry it:
    a description cannot tell the two apart, and what the tools carry is there. A tool that stands at several
    branches is filled alike at each.

    Parameters
    ----------
    job : Job
        As described. [-]
    index : int
        Which task, from 0. [-]
    branch : int | None
        Whose tool, from 1; that of the target when not given. [-]

    Examples
    --------
    >>> from jetwright.rig.example import JOB
    >>> [(offer.name, offer.pieces) for offer in box_of(JOB, 0).offers]
    [('R12', 1)]

    References
    ----------
    Our own convention.
    """
    rig = check(job, index)
    number = target_of(rig)[2] if branch is None else branch
    name = rig.branches[number - 1].tool_name
    tool = job.tools[name]
    copies = sum(one.tool_name == name for one in rig.branches)
    elsewhere = [row for one in rig.branches if one.tool_name != name for row in one.rows]
    offers: list[Offer] = []
    left_out: list[LeftOut] = []
    for tip_name, tip in job.tips.items():
        area = tip_area(tip, rig.water)
        used = sum(row.count for row in elsewhere if row.tip == tip_name)
        carried = copies * sum(port.count for port in tool.ports if port.tip == tip_name)
        owned = tip.count if tip.count > 1 else max(1, carried + used)
        pieces = max(0, owned - used) // copies
        if area > round_area(tool.bore) or (tip.bore is not None and tip.bore > tool.bore):
            left_out.append(LeftOut(tip_name, "wide"))
        elif pieces == 0:
            left_out.append(LeftOut(tip_name, "used"))
        else:
            offers.append(Offer(tip_name, area, tip.bore, pieces, owned if owned > tip.count else 0))
    return Box(job, index, number, name, places_of(tool), tuple(offers), tuple(left_out))
