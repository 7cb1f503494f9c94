"""One check: a value against its bound, where the bound comes from, and what would cure it."""

from dataclasses import dataclass, field
from typing import Literal

Verdict = Literal["within", "look", "not_allowed", "not_judged"]

WORST_LAST: tuple[Verdict, ...] = ("within", "not_judged", "look", "not_allowed")


@dataclass(frozen=True, slots=True)
class Cure:
    """A change that was solved again and meets the target within every limit judged.

    kind: "tip" (another bore), "tips" (every tip's bore scaled), "hose" (the narrowest pieces widened), "target" (a
    lower one), "speed" (a unit that turns so fast), "bypass" (a larger opening); key: the file's key it changes;
    before, after: SI values of the thing changed, of `quantity` ("length", "percent", "pressure", "flow", "speed",
    "area"); result: what the solved rig then shows, in SI: pump_speed, pump_pressure, nozzle, flow, engine_load.
    """

    kind: str
    key: str
    quantity: str
    before: float
    after: float
    result: dict[str, float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Limit:
    """One limit, judged.

    `value` and `bound` are SI of `quantity` ("ratio": a bare share); margin is (bound - value) / bound.

    `source` names where the bound comes from ("plate", "physics", "common practice", ...); `verified` says whether
    that source was read; `missing` is the key of the fact that is lacking when it is not judged.
    """

    id: str
    verdict: Verdict
    value: float | None
    bound: float | None
    quantity: str
    margin: float | None
    source: str
    verified: bool
    cures: tuple[Cure, ...] = ()
    missing: str = ""


def worst(verdicts: tuple[Verdict, ...]) -> Verdict:
    """The verdict a task gets from its limits: the worst of them. [-]

    A limit that lacks its fact does not make a task look worse than "within" here; limits on people and ratings are
    counted as "look" before they come to this function.

    Parameters
    ----------
    verdicts : tuple of str
        One for each limit; an empty tuple is not judged. [-]

    Examples
    --------
    >>> worst(("within", "not_judged", "not_allowed"))
    'not_allowed'
    >>> worst(("within", "not_judged"))
    'within'

    References
    ----------
    Our own convention: a task is as its worst limit.
    """
    judged = [v for v in verdicts if v != "not_judged"]
    if not judged:
        return "not_judged"
    return max(judged, key=WORST_LAST.index)
