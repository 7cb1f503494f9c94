"""One check: a value against its bound, where the bound comes from, and what would cure it."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Literal

from jetwright.limits.rules import Bound

Verdict = Literal["within", "look", "not_allowed", "not_judged"]

WORST_LAST: tuple[Verdict, ...] = ("within", "not_judged", "look", "not_allowed")


COUNTED = (
    "rating",  # a part asked for more than it bears bursts
    "relief",  # nothing else caps the pressure
    "recoil",  # it throws whoever holds the tool
    "release",  # a jet nobody can stop, or water with no way out
    "gauge",  # nothing else shows what the others hold
    "hose.test_age",  # a hose out of test bursts
    "hose.traceable",  # nobody can say what a hose without a tag bears
    "restraint.whip_checks",  # a hose that comes off its joint whips
    "restraint.shrouds",  # a hose that bursts at the hand cuts it
    "person.lance",  # a short lance can be turned on oneself
    "person.turn",  # a short nozzle turns round in the pipe and comes back
    "person.stops",  # nobody stops the jet in time
    "person.rail",  # the push throws a person off
    "person.remote",  # a remote out of reach stops nothing
    "hazard",  # fire, bad air, current, poison
)
"""Topics and limits that count as "look" where they lack their fact: a wrong answer may hurt somebody.

The others wear a machine, cost time or spoil the work.
"""
EDGE = 1e-9
"""A value this close to its bound, as a share, counts as on it: the bound itself is within limits."""

Facts = Mapping[str, object]
NOTHING: Facts = {}


@dataclass(frozen=True, slots=True)
class Cure:
    """A change that was solved again and is then not refused by any limit.

    kind: "tip" (another bore), "tips" (every tip's bore scaled), "hose" (the narrowest pieces widened), "target" (a
    lower one), "speed" (a unit that turns so fast), "bypass" (a larger opening, or another kind), "support", "holder",
    "release", "rating" (a stronger part), "kit", ...; key: the file's key it changes; before, after: SI values of the
    thing changed, of `quantity` ("length", "percent", "pressure", "flow", "speed", "area", "" for words); result: what
    the solved rig then shows, in SI: pump_speed, pump_pressure, nozzle, flow, engine_load; also: changes that must be
    made with it.
    """

    kind: str
    key: str
    quantity: str
    before: float | str
    after: float | str
    result: dict[str, float] = field(default_factory=dict)
    also: tuple["Cure", ...] = ()


@dataclass(frozen=True, slots=True)
class Limit:
    """One limit, judged.

    `value` and `bound` are SI of `quantity` ("ratio": a bare share; "count"); margin is the room left / bound.

    `source` names where the bound comes from ("plate", "tag", "physics", "common practice", "client" or a rule's
    source); `verified` says whether that source was read; `missing` is the key of the fact that is lacking when it is
    not judged. `about` is the key of the part or branch it speaks of ("hoses.S8-20", "tools.gun", "branch.2"), `least`
    says that the value must stay above the bound, `remedy` is the code of what to do, which `report.wording` phrases
    with `facts`.
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
    about: str = ""
    least: bool = False
    remedy: str = ""
    facts: Facts = field(default_factory=dict)


def judge(
    identity: str,
    value: float | None,
    bound: float | None,
    quantity: str,
    source: str,
    *,
    verified: bool = True,
    over: Verdict = "not_allowed",
    least: bool = False,
    about: str = "",
    missing: str = "",
    remedy: str = "",
    facts: Facts = NOTHING,
) -> Limit:
    """Judge a value against the most, or the least, it may be. [-]

    Parameters
    ----------
    identity : str
        The limit's id. [-]
    value : float | None
        What the rig asks; None with nothing missing: more than can be had at all. [SI]
    bound : float | None
        What it may be; 0 is a bound like another. [SI]
    quantity : str
        Kind of both. [-]
    source : str
        Where the bound comes from. [-]
    verified : bool
        Whether that source was read. [-]
    over : str
        Verdict beyond the bound. [-]
    least : bool
        The value must not fall below the bound. [-]
    about : str
        Key of the part it speaks of. [-]
    missing : str
        Key of the fact that is lacking; the limit is then not judged. [-]
    remedy : str
        Code of what to do beyond the bound. [-]
    facts : Mapping
        For the remedy's words. [-]

    Examples
    --------
    >>> judge("pump.speed", 8.0, 8.5, "speed", "plate").verdict
    'within'
    >>> judge("gauge.error", 64e5, None, "pressure", "plate", missing="unit.gauge").verdict
    'not_judged'

    References
    ----------
    Our own convention: margin = room left / bound.
    """
    if missing:
        return Limit(
            identity, "not_judged", value, bound, quantity, None, source, verified, (), missing, about, least, "", facts
        )
    if value is None:
        return Limit(identity, over, None, bound, quantity, None, source, verified, (), "", about, least, remedy, facts)
    assert bound is not None
    room = value - bound if least else bound - value
    within = room >= -EDGE * abs(bound)
    margin = room / abs(bound) if bound != 0.0 else None
    verdict: Verdict = "within" if within else over
    said = "" if within else remedy
    return Limit(identity, verdict, value, bound, quantity, margin, source, verified, (), "", about, least, said, facts)


def ruled(
    identity: str,
    value: float | None,
    bound: Bound | None,
    *,
    over: Verdict = "not_allowed",
    warns: bool = False,
    about: str = "",
    missing: str = "",
    remedy: str = "",
    facts: Facts = NOTHING,
) -> Limit:
    """Judge a value against a bound of the rule set; hearsay makes "look", never more, until a site adopts it. [-]

    Parameters
    ----------
    identity : str
        The limit's id. [-]
    value : float | None
        What the rig asks. [SI]
    bound : Bound | None
        None: this rule set has none, and nothing is judged. [-]
    over : str
        The worst verdict beyond the bound; "look" where the bound does not refuse, "not_allowed" where a site adopted
        it. [-]
    warns : bool
        Beyond the bound is "look" and never more: what is judged is not what is planned. [-]
    about : str
        Key of the part it speaks of. [-]
    missing : str
        Key of the fact that is lacking. [-]
    remedy : str
        Code of what to do beyond the bound. [-]
    facts : Mapping
        For the remedy's words. [-]

    Examples
    --------
    >>> habit = Bound(0.2, "ratio", "most", "common practice", "common practice", False)
    >>> ruled("spill.share", 0.4, habit).verdict
    'look'
    >>> adopted = Bound(0.2, "ratio", "most", "common practice", "common practice", False, adopted="H. Moe")
    >>> ruled("spill.share", 0.4, adopted, over="look").verdict
    'not_allowed'

    References
    ----------
    Our own convention: docs/rules.md.
    """
    if bound is None:
        return judge(
            identity, value, None, "ratio", "", verified=False, about=about, missing=missing or "rule_set", facts=facts
        )
    if warns or not bound.refuses:
        over = "look"
    elif bound.adopted:
        over = "not_allowed"
    return judge(
        identity,
        value,
        bound.value,
        bound.quantity,
        bound.source,
        verified=bound.verified,
        over=over,
        least=bound.sense == "least",
        about=about,
        missing=missing,
        remedy=remedy,
        facts=facts,
    )


def counts(limit: Limit) -> bool:
    """Whether a limit lacks a fact of which a wrong guess may hurt somebody, and so is looked at first. [-]

    Parameters
    ----------
    limit : Limit
        The limit. [-]

    Examples
    --------
    >>> stops = judge("person.stops", None, 2.0, "count", "", missing="task.stops")
    >>> counts(stops), counts(judge("supply.filter", None, 0.05, "ratio", "", missing="supply.filter"))
    (True, False)

    References
    ----------
    Our own convention: docs/rules.md.
    """
    return limit.verdict == "not_judged" and (limit.id in COUNTED or limit.id.split(".")[0] in COUNTED)


def worst(limits: Iterable[Limit]) -> Verdict:
    """The verdict a task gets from its limits: the worst of them. [-]

    A limit that lacks its fact counts as "look" where a wrong guess may hurt somebody, and not at all elsewhere.

    Parameters
    ----------
    limits : Iterable of Limit
        Of the task; none judged is not judged. [-]

    Examples
    --------
    >>> speed = judge("pump.speed", 8.0, 8.5, "speed", "plate")
    >>> worst([speed, judge("gauge.scale", None, None, "ratio", "", missing="unit.gauge")])
    'look'

    References
    ----------
    Our own convention: a task is as its worst limit.
    """
    counted: list[Verdict] = ["look" if counts(limit) else limit.verdict for limit in limits]
    judged = [verdict for verdict in counted if verdict != "not_judged"]
    return max(judged, key=WORST_LAST.index, default="not_judged")
