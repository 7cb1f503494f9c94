"""An order of steps: what a crew does next, as data that plan, sheet, inspection, rehearsal and diagnosis share."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

Who = Literal["pump operator", "lance operator", "crew lead", "all"]
Speed = Literal["", "none", "idle", "start", "raise", "planned"]
"""Pump: nothing asked; its drive at zero; the same, the engine idling; lowest speed; up to the planned one; there."""
Opening = Literal["", "open", "in", "closing", "proving", "closing on", "planned"]
"""Bypass: nothing asked; fully open; brought in by the gauge; from open to the proving point; there; on; as planned."""
Trigger = Literal["", "off", "held", "released"]
"""Tool: nothing asked; tip off, the end open; its trigger held (a tool without one is open); let go."""
Gauge = Literal["", "zero", "solved", "hold", "valve", "proving", "target", "release"]
"""What it must show: nothing asked; no pressure; the state solved at that speed and opening; 10 to 20 % of the target;
a valve that opens by itself proven at 20 %; the proving point; the target; every trigger let go at the setting."""
Touched = Literal["hose run", "tool", "tips", "nothing"]
"""What a change from one task to the next opens: pieces or their order; the joint at a tool; a tip; no part of it."""

EVERY: Mapping[str, tuple[str, ...]] = {}


@dataclass(frozen=True, slots=True)
class Step:
    """One step of an order.

    id: names the step, and is the key of its words; who does it; speed, bypass, trigger and gauge: what stands while it
    is done; why: key of the reason's words; when: the rigs that have this step, by bypass kind, drive kind, release,
    setting ("closed", "part open", ...) and proving point ("shut", "part open"), and in a change by what is `touched`;
    empty: every rig.
    """

    id: str
    who: Who
    speed: Speed
    bypass: Opening
    trigger: Trigger
    gauge: Gauge
    why: str
    when: Mapping[str, tuple[str, ...]] = field(default_factory=lambda: EVERY)

    def applies(self, rig: Mapping[str, frozenset[str]]) -> bool:
        """Whether a rig has this step: one of its words under each key that `when` asks about. [-]"""
        return all(rig[key].intersection(wanted) for key, wanted in self.when.items())


@dataclass(frozen=True, slots=True)
class Orders:
    """Every order by its name ("before water", "run-up A", "run-up B", "letting go", "planned stop", "emergency stop",
    "tool change", "frost").

    rows: for bypass kind, drive kind and release, the name of the run-up order; "" where that is not allowed.
    """

    version: str
    steps: Mapping[str, tuple[Step, ...]]
    rows: Mapping[tuple[str, str, str], str]
