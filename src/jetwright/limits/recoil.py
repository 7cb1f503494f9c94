"""What the jets ask of whoever holds the tool: as planned, when something goes wrong, and through other triggers."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from jetwright.limits.limit import NOTHING, WORST_LAST, Facts, Limit, Verdict, judge, ruled
from jetwright.limits.rules import Bound
from jetwright.solve.balance import GRAVITY

RESTED = ("recoil.kick", "recoil.bypass_shut", "recoil.relief")
"""Limits that a body rest may cure."""
UNSAID = ("recoil.hand", "recoil.cautious", "recoil.fitted", "recoil.others")
"""Limits that refuse, in the order in which one of them speaks where nobody said whether there is a body rest."""


@dataclass(frozen=True, slots=True)
class Grip:
    """Who holds a tool and how: its name, the key a limit speaks of, its support (None: nobody said), the bounds.

    by: "hand", "hose" for a nozzle that pulls itself forward through a pipe, "unsaid" where nobody said who or what
    holds a tool that may be fed by hand.
    """

    tool: str
    about: str
    by: Literal["hand", "hose", "unsaid"] = "hand"
    support: Literal["none", "body rest"] | None = None
    unsupported: Bound | None = None
    supported: Bound | None = None

    @property
    def own(self) -> Bound | None:
        """The bound at this support; where nobody said, the one without. [-]"""
        if self.support == "body rest":
            return self.supported
        known = [bound for bound in (self.unsupported, self.supported) if bound is not None]
        return min(known, key=lambda bound: bound.value, default=None)

    @property
    def unsaid(self) -> str:
        """Key of who holds it, or of the support, where nobody said it. [-]"""
        if self.by == "unsaid":
            return f"tools.{self.tool}.held_by"
        return f"tools.{self.tool}.support" if self.support is None else ""


def hand(push: float, grip: Grip, facts: Facts = NOTHING) -> Limit:
    """Limit "recoil.hand": the planned recoil of a tool in the hand. [-]

    Up to `recoil.unsupported` without a body rest, up to `recoil.supported` with one, nothing by hand above. Where
    nobody said whether there is a body rest it is not judged, unless it is above both; where nobody said who holds a
    tool that may be fed by hand, it is not judged at all.

    Parameters
    ----------
    push : float
        Length of the recoil, every trigger held. [N]
    grip : Grip
        How it is held. [-]
    facts : Facts
        More for the remedy's words. [-]

    Examples
    --------
    >>> stock = Bound(150.0, "force", "most", "NO 20-1", "regulation", True)
    >>> most = replace(stock, value=250.0)
    >>> free, rest = (Grip("gun", "tools.gun", "hand", support, stock, most) for support in ("none", "body rest"))
    >>> hand(168.0, free).remedy, hand(168.0, rest).verdict, hand(260.0, rest).verdict
    ('recoil.hand/rest', 'within', 'not_allowed')

    References
    ----------
    Norway, regulation on the performance of work, 20-1; Germany, DGUV Regel 100-500, 2.36, 3.7.5.
    """
    return _planned("recoil.hand", push, grip, facts)


def cautious(push: float, grip: Grip, facts: Facts = NOTHING) -> Limit:
    """Limit "recoil.cautious": the recoil that 95 of 100 such rigs stay below with the gauge on its target. [-]

    Parameters
    ----------
    push : float
        Length of the recoil, cautious. [N]
    grip : Grip
        How it is held. [-]
    facts : Facts
        More for the remedy's words. [-]

    Examples
    --------
    >>> stock = Bound(150.0, "force", "most", "NO 20-1", "regulation", True)
    >>> cautious(151.0, Grip("gun", "tools.gun", "hand", "none", stock)).verdict
    'not_allowed'

    References
    ----------
    As `hand`; the share of rigs is our own convention.
    """
    return _planned("recoil.cautious", push, grip, facts)


def fitted(push: float, grip: Grip, facts: Facts = NOTHING) -> Limit:
    """Limit "recoil.fitted": the most that an explanation of a reading, still alive, makes a tool in the hand push. [-]

    Parameters
    ----------
    push : float
        Length of the recoil, never below what was planned. [N]
    grip : Grip
        How it is held. [-]
    facts : Facts
        More for the remedy's words. [-]

    Examples
    --------
    >>> stock = Bound(150.0, "force", "most", "NO 20-1", "regulation", True)
    >>> fitted(156.0, Grip("gun", "tools.gun", "hand", "none", stock)).verdict
    'not_allowed'

    References
    ----------
    As `hand`; a reading never lowers the recoil that is judged: our own convention, docs/fit.md.
    """
    return _planned("recoil.fitted", push, grip, facts)


def kick(push: float | None, grip: Grip, missing: str = "", facts: Facts = NOTHING) -> Limit:
    """Limit "recoil.kick": the recoil as the trigger is pressed, from the pressure that stands in the line. [-]

    Parameters
    ----------
    push : float | None
        Length of the recoil; None: not known. [N]
    grip : Grip
        How it is held. [-]
    missing : str
        Key of the fact that is lacking. [-]
    facts : Facts
        More for the remedy's words. [-]

    Examples
    --------
    >>> stock = Bound(150.0, "force", "most", "NO 20-1", "regulation", True)
    >>> kick(151.0, Grip("gun", "tools.gun", "hand", "none", stock)).verdict
    'look'

    References
    ----------
    As `hand`; up to the bound with a body rest it is "look first", our own convention for what does not last.
    """
    return _fault("recoil.kick", push, grip, missing, facts)


def bypass_shut(
    push: float | None, grip: Grip, missing: str = "", facts: Facts = NOTHING, *, relieved: bool = True
) -> Limit:
    """Limit "recoil.bypass_shut": the recoil with the bypass knocked or stuck shut at the planned speed. [-]

    Parameters
    ----------
    push : float | None
        Length of the recoil, at the relief's set point where that is reached; None: not known. [N]
    grip : Grip
        How it is held. [-]
    missing : str
        Key of the fact that is lacking. [-]
    facts : Facts
        More for the remedy's words. [-]
    relieved : bool
        Whether a relief device is described; without one nothing caps the pressure. [-]

    Examples
    --------
    >>> stock = Bound(150.0, "force", "most", "NO 20-1", "regulation", True)
    >>> bypass_shut(153.0, Grip("gun", "tools.gun", "hand", "none", stock)).verdict
    'look'

    References
    ----------
    As `kick`.
    """
    judged = _fault("recoil.bypass_shut", push, grip, missing, facts)
    return judged if relieved or not judged.remedy else replace(judged, remedy="recoil.bypass_shut/no_relief")


def relief(push: float | None, grip: Grip, missing: str = "", facts: Facts = NOTHING) -> Limit:
    """Limit "recoil.relief": the recoil with the relief valve fully lifted. [-]

    Parameters
    ----------
    push : float | None
        Length of the recoil; None: not known. [N]
    grip : Grip
        How it is held. [-]
    missing : str
        Key of the fact that is lacking. [-]
    facts : Facts
        More for the remedy's words. [-]

    Examples
    --------
    >>> stock = Bound(150.0, "force", "most", "NO 20-1", "regulation", True)
    >>> relief(168.0, Grip("gun", "tools.gun", "hand", "none", stock)).verdict
    'look'

    References
    ----------
    As `kick`.
    """
    return _fault("recoil.relief", push, grip, missing, facts)


def plugged(push: float | None, grip: Grip, missing: str = "", facts: Facts = NOTHING) -> Limit:
    """Limit "recoil.plugged": the worst single jet of a tool plugs. [-]

    Parameters
    ----------
    push : float | None
        By hand the length of the recoil; of a hose-fed nozzle its part along, positive out of the pipe. [N]
    grip : Grip
        How it is held. [-]
    missing : str
        Key of the fact that is lacking. [-]
    facts : Facts
        More for the remedy's words. [-]

    Examples
    --------
    >>> plugged(-142.0, Grip("mole", "tools.mole", "hose")).verdict
    'within'

    References
    ----------
    As `kick`; a nozzle that is pushed backwards leaves the pipe: physics.
    """
    return _fault("recoil.plugged", push, grip, missing, facts)


def rear_plugged(push: float | None, grip: Grip, missing: str = "", facts: Facts = NOTHING) -> Limit:
    """Limit "recoil.rear_plugged": every rear jet of a tool plugs. [-]

    Parameters
    ----------
    push : float | None
        By hand the length of the recoil; of a hose-fed nozzle its part along, positive out of the pipe. [N]
    grip : Grip
        How it is held. [-]
    missing : str
        Key of the fact that is lacking. [-]
    facts : Facts
        More for the remedy's words. [-]

    Examples
    --------
    >>> limit = rear_plugged(62.0, Grip("mole", "tools.mole", "hose"))
    >>> limit.verdict, limit.remedy
    ('look', 'recoil.rear_plugged/hose')

    References
    ----------
    As `plugged`.
    """
    return _fault("recoil.rear_plugged", push, grip, missing, facts)


def pull(along: float, grip: Grip, planned: float | None = None, facts: Facts = NOTHING) -> Limit:
    """Limit "recoil.pull": a hose-fed nozzle pulls itself forward, whatever inlets its tips have. [-]

    Parameters
    ----------
    along : float
        With unknown inlets as bad as they may be, positive out of the pipe. [N]
    grip : Grip
        How it is held. [-]
    planned : float | None
        The same as planned; None: every inlet is known. [N]
    facts : Facts
        More for the remedy's words. [-]

    Examples
    --------
    >>> [pull(along, Grip("mole", "tools.mole", "hose")).verdict for along in (-211.0, 0.0)]
    ['within', 'look']
    >>> pull(24.0, Grip("mole", "tools.mole", "hose"), -82.0).remedy
    'recoil.pull/inlet'

    References
    ----------
    Physics: it is asked whether an angle was meant as back.
    """
    verdict: Verdict = "within" if along < 0.0 else "look"
    return Limit(
        "recoil.pull",
        verdict,
        along,
        0.0,
        "force",
        None,
        "physics",
        verified=True,
        about=grip.about,
        remedy="" if verdict == "within" else _by_inlet("recoil.pull", planned),
        facts=_told(along, grip, {**_pulled(planned), **facts}),
    )


def _by_inlet(identity: str, planned: float | None) -> str:
    """What to do where only an inlet nobody knows turns the push round."""
    return identity if planned is None or planned >= 0.0 else f"{identity}/inlet"


def _pulled(planned: float | None) -> Facts:
    return {} if planned is None else {"pulled": -planned}


def back_out(along: float, grip: Grip, planned: float | None = None, facts: Facts = NOTHING) -> Limit:
    """Limit "recoil.back_out": a flexible lance, whoever holds it, is not pushed out of the bore it cleans. [-]

    Parameters
    ----------
    along : float
        With unknown inlets as bad as they may be, positive out of the bore. [N]
    grip : Grip
        How it is held. [-]
    planned : float | None
        The same as planned; None: every inlet is known. [N]
    facts : Facts
        More for the remedy's words. [-]

    Examples
    --------
    >>> [back_out(along, Grip("lance", "tools.lance", "unsaid")).verdict for along in (-60.0, 0.0, 60.0)]
    ['within', 'within', 'look']

    References
    ----------
    Physics; what keeps it in is common practice: a device at the opening, and a stiff end longer than the bore is wide.
    """
    told = _told(along, grip, {**_pulled(planned), **facts})
    return judge(
        "recoil.back_out",
        along,
        0.0,
        "force",
        "physics",
        over="look",
        about=grip.about,
        remedy=_by_inlet("recoil.back_out", planned),
        facts=told,
    )


def piston(push: float | None, grip: Grip, facts: Facts = NOTHING) -> Limit:
    """Limit "recoil.piston": what stands behind a plugged tube pushes on the hand that holds or feeds the tool. [-]

    Parameters
    ----------
    push : float | None
        Of the plug, the tool with it; None: nobody said what may stand behind it. [N]
    grip : Grip
        How it is held. [-]
    facts : Facts
        More for the remedy's words. [-]

    Examples
    --------
    >>> stock = Bound(150.0, "force", "most", "NO 20-1", "regulation", True)
    >>> [piston(push, Grip("gun", "tools.gun", "hand", "none", stock)).verdict for push in (28.0, 284.0, None)]
    ['within', 'look', 'not_judged']

    References
    ----------
    As `hand`; never more than "look first", for a tube that plugs is not what is planned: our own convention.
    """
    if push is None:
        return replace(_fault("recoil.piston", None, grip, "task.pipe.blocked", facts), remedy="recoil.piston")
    return _fault("recoil.piston", push, grip, grip.unsaid if grip.by == "unsaid" else "", facts, over="look")


def others(
    push: float | None, planned: float, grip: Grip, change: Bound | None, missing: str = "", facts: Facts = NOTHING
) -> Limit:
    """Limit "recoil.others": the recoil of a held tool when other triggers are let go or pressed. [-]

    A change of more than `recoil.change` either way is "look first"; one that takes the recoil across the tool's own
    bound, or above what may be held by hand at all, is judged as planned recoil is.

    Parameters
    ----------
    push : float | None
        Length of the recoil in that state; None: not known. [N]
    planned : float
        Length of the recoil with every trigger held. [N]
    grip : Grip
        How it is held. [-]
    change : Bound | None
        The most it may change. [-]
    missing : str
        Key of the fact that is lacking. [-]
    facts : Facts
        More for the remedy's words. [-]

    Examples
    --------
    >>> stock = Bound(150.0, "force", "most", "NO 20-1", "regulation", True)
    >>> step = Bound(15.0, "force", "most", "common practice", "common practice", False)
    >>> grip = Grip("gun", "branch.1", "hand", "none", stock)
    >>> [others(push, 125.0, grip, step).verdict for push in (132.0, 145.0, 156.0, 60.0)]
    ['within', 'look', 'not_allowed', 'look']

    References
    ----------
    Norway, regulation on the performance of work, 20-6, for the change; as `hand` for the recoil itself.
    """
    identity = "recoil.others"
    if push is None or missing or change is None:
        facts = _told(push, grip, facts)
        lacks = missing or ("rule_set" if change is None else "task.target")
        return judge("recoil.others", push, None, "force", "physics", about=grip.about, missing=lacks, facts=facts)
    moved = push - planned
    told = _told(push, grip, {"from": planned, "to": push, "change": moved, **facts})
    reached = planned + change.value if moved >= 0.0 else max(0.0, planned - change.value)
    found = [
        judge(
            identity,
            push,
            reached,
            "force",
            change.source,
            verified=change.verified,
            over="not_allowed" if change.adopted else "look",
            least=moved < 0.0,
            about=grip.about,
            remedy="recoil.others",
            facts=told,
        )
    ]
    own, most = grip.own, max(push, planned)  # what falls across a bound comes back across it
    if own is not None and (push > own.value) != (planned > own.value):
        within = grip.supported is None or most <= grip.supported.value
        found.append(
            ruled(
                identity,
                most,
                own,
                about=grip.about,
                missing=grip.unsaid if within else "",
                remedy="recoil.others",
                facts=told,
            )
        )
    if grip.supported is not None:
        found.append(ruled(identity, push, grip.supported, about=grip.about, remedy="recoil.others", facts=told))
    return worse(found)


def left(push: float, grip: Grip, facts: Facts = NOTHING) -> Limit:
    """Limit "recoil.left": what the setting left over from the task before would ask of whoever picks this tool up. [-]

    Parameters
    ----------
    push : float
        Length of the recoil at that setting. [N]
    grip : Grip
        How it is held. [-]
    facts : Facts
        More for the remedy's words. [-]

    Examples
    --------
    >>> stock = Bound(150.0, "force", "most", "NO 20-1", "regulation", True)
    >>> left(300.0, Grip("gun", "tools.gun", "hand", "none", stock)).verdict
    'look'

    References
    ----------
    As `hand`; never more than "look first", for the change of tool starts with speed down and bypass open.
    """
    return _fault("recoil.left", push, grip, "", facts, over="look")


def worn(push: float | None, grip: Grip, missing: str = "", facts: Facts = NOTHING) -> Limit:
    """Limit "recoil.worn": the recoil with tips worn as far as they may be and the target reached again by speed. [-]

    Parameters
    ----------
    push : float | None
        Length of the recoil; None: not known. [N]
    grip : Grip
        How it is held. [-]
    missing : str
        Key of the fact that is lacking. [-]
    facts : Facts
        More for the remedy's words. [-]

    Examples
    --------
    >>> stock = Bound(150.0, "force", "most", "NO 20-1", "regulation", True)
    >>> worn(163.0, Grip("gun", "tools.gun", "hand", "none", stock)).verdict
    'look'

    References
    ----------
    As `hand`; never more than "look first", for tips are gauged before they are that worn: common practice.
    """
    return _fault("recoil.worn", push, grip, missing, facts, over="look")


def body(push: float, grip: Grip, share: Bound | None, lightest: float, facts: Facts = NOTHING) -> Limit:
    """Limit "recoil.body": the planned recoil against a share of the lightest operator's weight. [-]

    Parameters
    ----------
    push : float
        Length of the recoil, every trigger held. [N]
    grip : Grip
        How it is held. [-]
    share : Bound | None
        Of the weight. [-]
    lightest : float
        Mass of the lightest operator. [kg]
    facts : Facts
        More for the remedy's words. [-]

    Examples
    --------
    >>> third = Bound(1.0 / 3.0, "ratio", "most", "one third of body weight", "memory", False)
    >>> limit = body(200.0, Grip("gun", "tools.gun"), third, 60.0)
    >>> f"{limit.bound:.0f} N, {limit.verdict}"
    '196 N, look'

    References
    ----------
    Common practice of associations, as remembered and not read: one third of body weight, sustained.
    """
    force = None if share is None else replace(share, value=share.value * GRAVITY * lightest, quantity="force")
    told = _told(push, grip, {"lightest": lightest, **facts})
    return ruled("recoil.body", push, force, about=grip.about, remedy="recoil.body", facts=told)


def hands(count: int, most: Bound | None) -> Limit:
    """Limit "recoil.hands": tools in the hand on one pump. [-]

    Parameters
    ----------
    count : int
        Of them. [-]
    most : Bound | None
        That needs no look. [-]

    Examples
    --------
    >>> one = Bound(1.0, "count", "most", "NO 20-6", "regulation", True)
    >>> hands(2, one).verdict
    'look'

    References
    ----------
    Norway, regulation on the performance of work, 20-6: allowed unless one changes the recoil of the other dangerously.
    """
    return ruled(
        "recoil.hands",
        float(count),
        most,
        over="look",
        about="task.branches",
        remedy="recoil.hands",
        facts={"count": count},
    )


def worse(found: Iterable[Limit]) -> Limit:
    """Of several judgments of one limit the worst, the first of equals. [-]

    Parameters
    ----------
    found : Iterable of Limit
        At least one. [-]

    Examples
    --------
    >>> one = Bound(1.0, "count", "most", "NO 20-6", "regulation", True)
    >>> worse([hands(1, one), hands(2, one)]).verdict
    'look'

    References
    ----------
    Our own convention.
    """
    return max(found, key=lambda limit: WORST_LAST.index(limit.verdict))


def worse_end(found: Iterable[Limit]) -> Limit:
    """Of one limit judged at several ends of what is not known: the worst, of equals the one with least room. [-]

    Parameters
    ----------
    found : Iterable of Limit
        At least one. [-]

    Examples
    --------
    >>> stock = Bound(150.0, "force", "most", "NO 20-1", "regulation", True)
    >>> grip = Grip("gun", "tools.gun", "hand", "none", stock)
    >>> worse_end([worn(push, grip) for push in (120.0, 140.0, 130.0)]).value
    140.0

    References
    ----------
    Our own convention.
    """

    def room(limit: Limit) -> float:
        if limit.margin is not None:
            return limit.margin
        return math.inf if limit.value is None else -limit.value

    return max(found, key=lambda limit: (WORST_LAST.index(limit.verdict), -room(limit), limit.value or 0.0))


def unless_rested(found: Sequence[Limit]) -> list[Limit]:
    """Limits on recoil, with what to know of each tool that only a body rest nobody told of would let a hand hold. [-]

    Said once for each tool, by the first of its limits that is over the bound without one: what is planned, else what a
    fault asks at most.

    Parameters
    ----------
    found : Sequence of Limit
        Of one task. [-]

    Examples
    --------
    >>> stock = Bound(150.0, "force", "most", "NO 20-1", "regulation", True)
    >>> grip = Grip("gun", "tools.gun", "hand", None, stock, replace(stock, value=250.0))
    >>> [limit.remedy for limit in unless_rested([hand(170.0, grip), worn(201.0, grip), hand(140.0, grip)])]
    ['recoil.hand/unsaid', '', '']

    References
    ----------
    Our own convention.
    """
    over: dict[str, list[Limit]] = {}
    for limit in found:
        unsaid = limit.missing.endswith((".support", ".held_by")) and "most" in limit.facts
        if unsaid and limit.value is not None and limit.bound is not None and limit.value > limit.bound:
            over.setdefault(limit.about, []).append(limit)
    saying = [min(limits, key=_says_first) for limits in over.values()]
    return [_unsaid(limit, found) if limit in saying else limit for limit in found]


def _says_first(limit: Limit) -> tuple[int, float]:
    return UNSAID.index(limit.id) if limit.id in UNSAID else len(UNSAID), -(limit.value or 0.0)


def _unsaid(limit: Limit, found: Iterable[Limit]) -> Limit:
    pushes = [one.value or 0.0 for one in found if one.about == limit.about and one.quantity == "force"]
    code = f"{limit.id}/unsaid" if limit.id in UNSAID else "recoil.hand/fault"
    if limit.id == "recoil.hand" and limit.missing.endswith(".held_by"):
        code = "recoil.hand/unheld"
    return replace(limit, remedy=code, facts={**limit.facts, "worst": max(pushes)})


def _told(push: float | None, grip: Grip, facts: Facts) -> Facts:
    most = {"most": grip.supported.value} if grip.unsaid and grip.supported is not None else {}
    return {"tool": grip.tool, "kilograms": None if push is None else push / GRAVITY, **most, **facts}


def _planned(identity: str, push: float, grip: Grip, facts: Facts) -> Limit:
    """What a hand holds as long as the trigger is held."""
    told, most, about = _told(push, grip, facts), grip.supported, grip.about
    if grip.by == "unsaid":
        return ruled(identity, push, grip.own, about=about, missing=grip.unsaid, facts=told)
    beyond = ruled(identity, push, most, about=about, remedy=identity, facts=told)
    if grip.unsaid:
        unsaid = ruled(identity, push, grip.own, about=about, missing=grip.unsaid, facts=told)
        return unsaid if most is None else worse([unsaid, beyond])
    remedy = f"{identity}/rest" if beyond.verdict == "within" else identity
    own = ruled(identity, push, grip.own, about=about, remedy=remedy, facts=told)
    return own if most is None else worse([own, beyond])


def _fault(
    identity: str, push: float | None, grip: Grip, missing: str, facts: Facts, over: Verdict = "not_allowed"
) -> Limit:
    """What comes over whoever holds the tool: beyond the own bound "look first", above what a hand may hold `over`."""
    told, about = _told(push, grip, facts), grip.about
    if grip.by == "hose":
        return judge(
            identity,
            push,
            0.0,
            "force",
            "physics",
            over="look",
            about=about,
            missing=missing,
            remedy=f"{identity}/hose",
            facts=told,
        )
    remedy = identity
    if identity in RESTED and _past_a_rest(push, grip):
        remedy = f"{identity}/carrier"
    own = ruled(identity, push, grip.own, warns=True, about=about, missing=missing, remedy=remedy, facts=told)
    if missing or grip.supported is None or push is None:
        return own
    never = over == "look"
    beyond = ruled(identity, push, grip.supported, warns=never, about=about, remedy=remedy, facts=told)
    if grip.unsaid and own.verdict == "look" and beyond.verdict == "within":
        return ruled(identity, push, grip.own, about=about, missing=grip.unsaid, facts=told)
    return worse([own, beyond])


def _past_a_rest(push: float | None, grip: Grip) -> bool:
    """Whether a body rest is there already, or does not hold so much."""
    return grip.support == "body rest" or (
        push is not None and grip.supported is not None and push > grip.supported.value
    )
