"""What is answered on the tips of a task's tool: the best ways, what refused the better ones, or why there is none."""

from dataclasses import dataclass
from typing import Literal

from jetwright.limits.limit import Limit, Verdict
from jetwright.limits.rules import RuleSet
from jetwright.plan.basis import Basis
from jetwright.plan.tip_box import LeftOut, Offer, Places, Tips
from jetwright.plan.tip_order import Better, Wish
from jetwright.rig.description import Port

STARVED, PULL, TORQUE = "starved", "pull", "torque"
"""Stand for a limit's id: the water boils at the pump's inlet; the wish for pull or torque is not met."""


@dataclass(frozen=True, slots=True)
class Way:
    """One way to fill a tool, at the task's target: tips by name, place by place, and the port rows they make.

    Pressures [Pa], pump speed [rev/s], flow through the tool's jets [m³/s], speed [m/s] and power [W] of the jets,
    push along and across [N], torque about the axis [N m]; limits: those that are not within. as_now: these are the
    tips that the job file has in the tool.
    """

    tips: Tips
    ports: tuple[Port, ...]
    pump_pressure: float
    pump_speed: float | None
    nozzle: float
    flow: float
    jet_speed: float
    jet_power: float
    recoil: float
    recoil_side: float
    torque: float
    verdict: Verdict
    limits: tuple[Limit, ...]
    as_now: bool = False


@dataclass(frozen=True, slots=True)
class Refusal:
    """How many ways a limit refused, and the limit as it was for the first of them; None: no limit of the rules."""

    id: str
    ways: int
    limit: Limit | None = None


@dataclass(frozen=True, slots=True)
class Edge:
    """Where ways begin to be refused whatever tips make them up: the limits, and the jets' flow [m³/s] and nozzle
    pressure [Pa] there; None: beyond what is served."""

    ids: tuple[str, ...]
    flow: float | None
    nozzle: float | None


@dataclass(frozen=True, slots=True)
class Instead:
    """A change under which a wish is met and nothing refused, judged in full: "area" of each tip, or "target".

    by: times as much of it [-]; target: its value then [Pa or m³/s]; tips: those it is about, place by place.
    """

    what: Literal["area", "target"]
    by: float
    target: float
    tips: Tips


@dataclass(frozen=True, slots=True)
class Nothing:
    """Why no way is allowed: the nearest one, what refuses it and what would cure that, and what else would do.

    way: None where the tips do not even fill the tool, or nothing balances; always: limits that refuse whatever tips
    are taken; bore [m]: rounded tips of that bore in every place would not be refused; pull [N] and torque [N m]: the
    most of what was wished that was found and is not refused; instead: what else than asking for less would do.
    """

    way: Way | None = None
    refusals: tuple[Refusal, ...] = ()
    limits: tuple[Limit, ...] = ()
    cut: bool = False
    always: tuple[str, ...] = ()
    bore: float | None = None
    pull: float | None = None
    torque: float | None = None
    instead: tuple[Instead, ...] = ()


@dataclass(frozen=True, slots=True)
class Missed:
    """A tip on offer that no listed way has, and why.

    why: "refused", the nearest way with it by `ids`; "large" or "small", every way with it lies beyond the area from
    where `ids` refuse; "later", none was judged: what is listed comes first, or the search was broken off.
    """

    name: str
    why: Literal["refused", "large", "small", "later"]
    ids: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class TipChoice:
    """The best ways to fill the tool of a task.

    target: kind, value [Pa or m³/s], its branch; better: which areas give more jet power; ways: all there are within
    what is owned; refused: by which limits the ways better than the best were, and `between` how many more were before
    the last one listed; small, large, cap: beyond these areas, and above this push along the axis of a tool in the
    hand [N], all are refused and none was judged (None: nothing was left out); proven: every better way was judged or
    is refused for certain; also_in: other tasks whose tool this is; missed: tips on offer that no listed way has.
    """

    name: str
    tool: str
    branch: int
    branches: tuple[int, ...]
    target: tuple[str, float, int]
    wish: Wish
    better: Better
    places: tuple[Places, ...]
    offers: tuple[Offer, ...]
    left_out: tuple[LeftOut, ...]
    ways: int = 0
    judged: int = 0
    best: tuple[Way, ...] = ()
    refused: tuple[Refusal, ...] = ()
    between: int = 0
    small: Edge | None = None
    large: Edge | None = None
    cap: float | None = None
    proven: bool = True
    nothing: Nothing | None = None
    also_in: tuple[str, ...] = ()
    missed: tuple[Missed, ...] = ()

    @property
    def verdict(self) -> Verdict:
        """Of the best way; "not_allowed" where there is none. [-]"""
        return self.best[0].verdict if self.best else "not_allowed"


@dataclass(frozen=True, slots=True)
class TipsPlan:
    """The tips of a job's tasks, and what they were judged by."""

    title: str
    rules: RuleSet
    tasks: tuple[TipChoice, ...]
    basis: Basis
