"""A rule set: the bounds that are not on a plate or a tag, each with who says so; a site set may only tighten it."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import Literal

Standing = Literal["regulation", "standard", "guidance", "common practice", "memory"]
"""What kind of source a bound rests on, strongest first."""
REFUSING: tuple[Standing, ...] = ("regulation", "standard")
TIGHTER = ", tighter than "
"""Stands in a bound's source between the site's that tightened it and the one it tightened."""
EQUAL = 1e-9
"""Bounds this close, as a share, are one."""


@dataclass(frozen=True, slots=True)
class Sort:
    """What a rule set's bound is: the quantity, and whether it is the most or the least a value may be.

    at_most: the highest bound that can be meant, in SI (a share: all of it); warns: beyond it is "look first" whatever
    its standing, until a site adopts it.
    """

    quantity: str
    sense: Literal["most", "least"]
    at_most: float = 1.0
    warns: bool = False


SORTS: Mapping[str, Sort] = MappingProxyType(
    {
        "recoil.unsupported": Sort("force", "most", 5000.0),  # by hand without a body rest
        "recoil.supported": Sort("force", "most", 5000.0),  # by hand with a body rest; above it nothing by hand
        "recoil.change": Sort("force", "most", 5000.0),  # when another trigger is let go or pressed, either way
        "recoil.body_share": Sort("ratio", "most"),  # of the lightest operator's weight
        "recoil.wear": Sort("ratio", "most"),  # tip area gained before it is changed
        "recoil.hands": Sort("count", "most", 8.0, warns=True),  # hand-held tools on one pump
        "recoil.flush": Sort("force", "most", 5000.0),  # push of the open hose end while it is flushed
        "relief.over": Sort("ratio", "most"),  # above the weakest rating, relief at full flow
        "relief.over_damper": Sort("ratio", "most"),  # the same with a pulsation damper
        "relief.clear": Sort("ratio", "least"),  # set point above the working pressure, as a share of the set point
        "relief.clear_least": Sort("ratio", "least"),  # below this it is too close
        "gauge.steady": Sort("ratio", "most"),  # working pressure / full scale, with a damper
        "gauge.pulsating": Sort("ratio", "most"),  # the same without
        "gauge.error": Sort("ratio", "most"),  # the class's error as a share of the reading
        "gauge.flush": Sort("pressure", "most", 400e6),  # while an open hose is flushed
        "gauge.hold": Sort("ratio", "most"),  # at the low-pressure hold, of the target's
        "gauge.proving": Sort("ratio", "most"),  # half of the proving point's band, of what it shows there
        "engine.load": Sort("ratio", "most"),
        "engine.step": Sort("ratio", "most"),  # load that comes at once when a trigger is pressed, of full load
        "bypass.spill": Sort("ratio", "most"),  # of the pump's flow, over the bypass all the time
        "heat.water": Sort("temperature", "most", 373.15),  # at the packings
        "heat.no_flow": Sort("time", "least", 24.0 * 3600.0),  # with the trigger let go, until the water is that hot
        "hose.test_age": Sort("time", "most", 3660.0 * 86400.0),
        "hose.speed": Sort("velocity", "most", 100.0),
        "supply.filter": Sort("ratio", "most"),  # filter opening / smallest tip
        "supply.npsh_margin": Sort("length", "least", 30.0),  # head at the pump's inlet, above what its plate asks for
        "person.lance": Sort("length", "least", 10.0),  # hand lance up to 250 bar
        "person.lance_high": Sort("length", "least", 10.0),  # above
        "person.turn": Sort("ratio", "least", 10.0),  # stiff end of a hose-fed tool / bore of the pipe
        "person.stops": Sort("count", "least", 10.0),  # independent ways to stop
        "person.rail": Sort("count", "least", 1.0),  # guard rails where a fall is possible: yes is 1
        "release.hold_to_run": Sort("count", "least", 1.0),  # tools in the hand that stop when let go: yes is 1
    }
)
"""Every bound a rule set may carry."""


@dataclass(frozen=True, slots=True)
class Bound:
    """One bound: value in SI of `quantity`, who says so, what standing that has, whether it was read.

    adopted: who adopted it in writing at a site; then it refuses whatever its standing. written_at_site: the value is
    the site's own, tighter than what was read.
    """

    value: float
    quantity: str
    sense: Literal["most", "least"]
    source: str
    standing: Standing
    verified: bool
    adopted: str = ""
    written_at_site: bool = False

    @property
    def refuses(self) -> bool:
        """Whether passing it is "not allowed" and not only "look first". [-]"""
        return bool(self.adopted) or (self.verified and self.standing in REFUSING)


@dataclass(frozen=True, slots=True)
class Looser:
    """A bound that a site wrote looser than its parent: it is not used, and every sheet shows it with who set it."""

    id: str
    asked: float
    kept: Bound
    by: str


@dataclass(frozen=True, slots=True)
class RuleSet:
    """A named set of bounds; `says` tells whose values it carries, `looser` what a site asked and did not get."""

    name: str
    version: str
    says: str
    bounds: Mapping[str, Bound]
    looser: tuple[Looser, ...] = field(default=())

    @property
    def verified_share(self) -> float:
        """Share of its bounds whose source was read; what a site wrote itself is not read anywhere. [-]"""
        read = sum(bound.verified and not bound.written_at_site for bound in self.bounds.values())
        return read / max(1, len(self.bounds))

    def bound(self, identity: str) -> Bound | None:
        """The bound of that id, None where this set has none. [-]"""
        return self.bounds.get(identity)


def tightened(
    parent: RuleSet, name: str, version: str, by: str, site: Mapping[str, Bound], adopted: tuple[str, ...] = ()
) -> RuleSet:
    """A site's rule set: its parent's bounds, tightened where the site says so. [-]

    Parameters
    ----------
    parent : RuleSet
        A country's or the generic one. [-]
    name : str
        Of the site. [-]
    version : str
        Of the site's set. [-]
    by : str
        Who set it, in writing. [-]
    site : Mapping
        Bounds by id; one looser than the parent's is not taken, only shown; one equal to it adopts it. [-]
    adopted : tuple of str
        Ids of bounds the site adopts in writing, so that they refuse. [-]

    Examples
    --------
    >>> rest = Bound(250.0, "force", "most", "NO 20-1", "regulation", True)
    >>> parent = RuleSet("no", "1", "Norway", {"recoil.supported": rest})
    >>> site = tightened(parent, "Pier", "3", "H. Moe", {"recoil.supported": replace(rest, value=200.0)})
    >>> site.bounds["recoil.supported"].value, len(site.looser)
    (200.0, 0)
    >>> tightened(parent, "Pier", "3", "H. Moe", {"recoil.supported": rest}).bounds["recoil.supported"].source
    'NO 20-1'
    >>> len(tightened(parent, "Pier", "3", "H. Moe", {"recoil.supported": replace(rest, value=300.0)}).looser)
    1

    References
    ----------
    Our own convention: docs/rules.md.
    """
    bounds, looser = dict(parent.bounds), list(parent.looser)
    for identity, bound in site.items():
        kept = bounds.get(identity)
        if kept is None:
            bounds[identity] = replace(bound, adopted=by, written_at_site=True)
        elif math.isclose(bound.value, kept.value, rel_tol=EQUAL):  # written in another unit it may round
            bounds[identity] = replace(kept, adopted=by)
        elif (bound.value < kept.value) == (kept.sense == "most"):
            source = f"{bound.source}{TIGHTER}{kept.source}"
            bounds[identity] = replace(bound, source=source, adopted=by, written_at_site=True)
        else:
            looser.append(Looser(identity, bound.value, kept, by))
    for identity in adopted:
        if identity in bounds:
            bounds[identity] = replace(bounds[identity], adopted=by)
    return RuleSet(f"{parent.name} + {name}", f"{parent.version} + {version}", parent.says, bounds, tuple(looser))
