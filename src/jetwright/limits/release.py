"""Letting go: every release has a way out that is not the relief valve, and what is in the hand stops when let go."""

from dataclasses import replace

from jetwright.limits.limit import NOTHING, Facts, Limit, judge, ruled
from jetwright.limits.rules import Bound


def way_out(
    pressure: float | None, opening: float, flow: float | None = None, *, described: bool = True, facts: Facts = NOTHING
) -> Limit:
    """Limit "release.way_out": with every trigger let go the pump's flow has a way that is not the relief. [-]

    A dry shut-off on a hand-set bypass has none: the hole is set for the surplus and stands as it was left. What the
    relief would have to pass is then judged, and any of it is too much.

    Parameters
    ----------
    pressure : float | None
        At the pump with every trigger let go; None: nothing described holds it. [Pa]
    opening : float
        Lowest pressure at which a relief device may open; the pump's rating when none is described. [Pa]
    flow : float | None
        That the relief would have to pass; None: the pump's flow has a way out of its own. [m³/s]
    described : bool
        Whether a relief device is described. [-]
    facts : Mapping
        For the remedy's words. [-]

    Examples
    --------
    >>> way_out(1160e5, 1150e5, 16.2e-3 / 60.0).verdict
    'not_allowed'
    >>> way_out(81e5, 1150e5).verdict
    'within'

    References
    ----------
    Physics: a hole passes more only at a higher pressure; the relief is never the way out of a planned release.
    """
    if flow is not None:
        return judge("release.way_out", flow, 0.0, "flow", "physics", remedy="release.way_out", facts=facts)
    source = "physics" if described else "plate"
    return _stays_below("release.way_out", pressure, opening, source, "release.way_out/pressure", facts)


def hold_to_run(stops: bool, bound: Bound | None, *, about: str, facts: Facts = NOTHING) -> Limit:
    """Limit "release.hold_to_run": a tool in the hand stops its jet when it is let go. [-]

    Parameters
    ----------
    stops : bool
        Whether it does. [-]
    bound : Bound | None
        Of the rule set; yes is 1. [-]
    about : str
        Key of the tool. [-]
    facts : Mapping
        For the remedy's words. [-]

    Examples
    --------
    >>> yes = Bound(1.0, "count", "least", "NO 20-1", "regulation", True)
    >>> hold_to_run(False, yes, about="tools.gun").verdict
    'not_allowed'

    References
    ----------
    The rule set's; docs/rules.md.
    """
    remedy = "release.hold_to_run"
    return ruled("release.hold_to_run", float(stops), bound, about=about, remedy=remedy, facts=facts)


def relief(
    pressure: float | None, opening: float, *, described: bool, rises: bool = True, facts: Facts = NOTHING
) -> Limit:
    """Limit "release.relief": no combination of triggers opens the relief. [-]

    Parameters
    ----------
    pressure : float | None
        The highest at the pump over the combinations; None: in one of them nothing described holds it. [Pa]
    opening : float
        Lowest pressure at which a relief device may open; the pump's rating when none is described. [Pa]
    described : bool
        Whether a relief device is described. [-]
    rises : bool
        Whether letting go of a trigger raises the pressure at all. [-]
    facts : Mapping
        For the remedy's words. [-]

    Examples
    --------
    >>> relief(1155e5, 1150e5, described=True).verdict
    'not_allowed'
    >>> relief(1000e5, 1100e5, described=False).missing
    'unit.relief'

    References
    ----------
    Physics: at its set point a relief opens; the relief is never the way out of a planned release.
    """
    source = "physics" if described else "plate"
    remedy = "release.relief" if facts.get("let_go") else "release.relief/held"
    limit = _stays_below("release.relief", pressure, opening, source, remedy, facts)
    if not described and rises and limit.verdict == "within":
        return judge("release.relief", pressure, opening, "pressure", "plate", missing="unit.relief", facts=facts)
    return limit


def _stays_below(
    identity: str, pressure: float | None, opening: float, source: str, remedy: str, facts: Facts
) -> Limit:
    """At the opening pressure itself a device already leaves its seat."""
    limit = judge(identity, pressure, opening, "pressure", source, remedy=remedy, facts=facts)
    if pressure is not None and pressure >= opening:
        return replace(limit, verdict="not_allowed", remedy=remedy)
    return limit
