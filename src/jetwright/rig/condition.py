"""In what condition a rig is: wear and faults as data, each a physical parameter."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType


@dataclass(frozen=True, slots=True)
class Condition:
    """What differs from a sound rig. [-]

    Parameters
    ----------
    pump_strength : float
        Share of its sound delivery that the pump still gives. [-]
    tip_area : Mapping
        By tip name: true area over nominal area, above 1 when worn, 0 when plugged. [-]
    port_area : Mapping
        By (branch from 1, port row from 0): the same for one row of ports. [-]
    bypass_seat : float
        Hole that a worn bypass seat never shuts. [m²]
    roughness : float
        Factor on every hose's roughness. [-]
    hose_bore : float
        Factor on every hose's bore. [-]

    Examples
    --------
    >>> Condition(tip_area={"R10": 1.10}).tip_area["R10"]
    1.1

    References
    ----------
    Our own convention.
    """

    pump_strength: float = 1.0
    tip_area: Mapping[str, float] = field(default_factory=lambda: MappingProxyType({}))
    port_area: Mapping[tuple[int, int], float] = field(default_factory=lambda: MappingProxyType({}))
    bypass_seat: float = 0.0
    roughness: float = 1.0
    hose_bore: float = 1.0


SOUND = Condition()
