"""Limits in a crew's words: what each compares, where its bound comes from, how much is left, what to do."""

from collections.abc import Iterable, Mapping

from jetwright.limits.limit import Limit, counts
from jetwright.limits.rules import TIGHTER
from jetwright.report.figures import number, percent, printed, rough, unit_for
from jetwright.report.wording import N_, _

FREEZING = 273.15
"""0 °C. [K]"""

# ---- what a limit is called ------------------------------------------------------------------------------------------

NAMES: Mapping[str, str] = {
    "bypass.range": N_("Bypass opening"),
    "bypass.range/ratio": N_("Flow over the bypass valve"),
    "bypass.range/speed": N_("Speed the unloader leaves"),
    "bypass.range/pressure": N_("Gauge against the unloader's set point"),
    "bypass.spill": N_("Spilt over the bypass"),
    "pump.speed": N_("Pump speed"),
    "pump.rod_load": N_("Plunger rods"),
    "pump.rod_load_relief": N_("Plunger rods, relief opening"),
    "engine.power": N_("Engine load"),
    "engine.step": N_("Engine load as triggers are pressed"),
    "rating.working": N_("Working pressure"),
    "rating.relief_set": N_("Relief opening"),
    "rating.relief_full": N_("Relief at full flow"),
    "relief.set": N_("Relief opens at"),
    "relief.clear": N_("Room up to the relief's set point"),
    "relief.reseat": N_("Relief shuts again above"),
    "relief.test_age": N_("Relief's last test"),
    "relief.full_flow": N_("Flow the relief passes"),
    "gauge.scale": N_("Gauge's share of its scale"),
    "gauge.error": N_("Gauge's error"),
    "gauge.relief": N_("Gauge reads the relief at full flow"),
    "gauge.flush": N_("Gauge while flushing"),
    "gauge.hold": N_("Low-pressure hold, share of the target"),
    "gauge.proving": N_("What the proving point can prove"),
    "recoil.hand": N_("Recoil as planned"),
    "recoil.cautious": N_("Recoil at its cautious end"),
    "recoil.fitted": N_("Recoil as the reading lets it be"),
    "recoil.kick": N_("Recoil as the trigger is pressed"),
    "recoil.bypass_shut": N_("Recoil, bypass knocked shut"),
    "recoil.relief": N_("Recoil, relief at full flow"),
    "recoil.plugged": N_("Recoil, a jet plugged"),
    "recoil.rear_plugged": N_("Recoil, rear jets plugged"),
    "recoil.others": N_("Recoil when another trigger changes"),
    "recoil.left": N_("Recoil, last setting left on"),
    "recoil.worn": N_("Recoil, tips worn and speed raised"),
    "recoil.body": N_("Recoil, lightest operator"),
    "recoil.hands": N_("Tools in the hand on one pump"),
    "recoil.pull": N_("Pull into the pipe"),
    "recoil.back_out": N_("Push out of the bore"),
    "recoil.piston": N_("Push of a plugged tube"),
    "recoil.flush": N_("Push of the open end, flushing"),
    "release.way_out": N_("Way out when let go"),
    "release.hold_to_run": N_("Stops when let go"),
    "release.relief": N_("Highest gauge as triggers are let go"),
    "supply.water": N_("Water drawn from the supply"),
    "supply.water/time": N_("Water lasts"),
    "supply.filter": N_("Filter opening"),
    "supply.npsh": N_("Suction head at the pump"),
    "supply.vortex": N_("Water over the tank's outlet"),
    "supply.hydrant": N_("Flow of the hydrant"),
    "heat.tank": N_("Water at the packings"),
    "heat.no_flow": N_("Nothing flowing, too hot after"),
    "hose.test_age": N_("Last test"),
    "hose.count": N_("Pieces in the yard"),
    "tip.count": N_("Tips in the yard"),
    "hose.traceable": N_("Traceable"),
    "hose.mixed": N_("Ratings mixed in one run"),
    "hose.speed": N_("Speed of the water"),
    "restraint.whip_checks": N_("Whip checks"),
    "restraint.shrouds": N_("Hose shrouds"),
    "person.lance": N_("Length of the lance"),
    "person.turn": N_("Stiff end in the pipe"),
    "person.stops": N_("Ways to stop"),
    "person.rail": N_("Guard rail"),
    "person.remote": N_("Remote tried at the work"),
    "hazard.ignition": N_("Fire hazard"),
    "hazard.confined_space": N_("Confined space"),
    "hazard.live_electrical": N_("Live electrical parts"),
    "hazard.product": N_("Dangerous product"),
    "object.withstands": N_("Pressure on the object"),
    "object.threshold": N_("Pressure on the deposit, estimated"),
    "coverage.stripes": N_("Turns, so that no stripes stay"),
}
"""By id; where one id serves several quantities, also by "id/quantity"."""

PART_FIRST = ("rating", "hose")
"""Topics whose limits are named by their part first: "Hose S8-20, relief at full flow"."""


def limit_name(limit_id: str, quantity: str = "") -> str:
    """What a limit compares, as a sentence part. [-]

    Parameters
    ----------
    limit_id : str
        The limit's id. [-]
    quantity : str
        What is compared, where one id serves several. [-]

    Examples
    --------
    >>> limit_name("pump.speed"), limit_name("bypass.range", "speed")
    ('Pump speed', 'Speed the unloader leaves')

    References
    ----------
    Our own convention.
    """
    name = NAMES.get(f"{limit_id}/{quantity}") or NAMES.get(limit_id)
    return limit_id if name is None else _(name)


def part_name(key: str) -> str:
    """The part a limit speaks of, as a crew calls it; "" where it speaks of the whole rig. [-]

    Parameters
    ----------
    key : str
        The part's key. [-]

    Examples
    --------
    >>> part_name("hoses.S8-20"), part_name("tools.gun"), part_name("unit.pump"), part_name("branch.2")
    ('hose S8-20', 'gun', 'pump', 'branch 2')

    References
    ----------
    Our own convention.
    """
    table, _dot, name = key.partition(".")
    if table == "unit":
        inner, _dot, row = name.partition(".")
        return {"kits": _("kit {name}"), "pump": _("pump")}.get(inner, "").format(name=row)
    if not name:
        return ""
    words = {
        "hoses": _("hose {name}"),
        "tips": _("tip {name}"),
        "branch": _("branch {name}"),
        "tools": "{name}",
        "fittings": "{name}",
    }
    return words.get(table, "").format(name=name)


def limit_title(limit: Limit, *, alone: bool = False) -> str:
    """A limit's name with the part it speaks of. [-]

    Parameters
    ----------
    limit : Limit
        The limit. [-]
    alone : bool
        The rig has one tool, which need not be named. [-]

    Examples
    --------
    >>> limit_title(Limit("rating.relief_full", "within", 1, 2, "pressure", 0.5, "tag", True, about="hoses.S8-20"))
    'Hose S8-20, relief at full flow'
    >>> limit_title(Limit("recoil.hand", "within", 1, 2, "force", 0.5, "physics", True, about="tools.gun"))
    'Recoil as planned, gun'

    References
    ----------
    Our own convention.
    """
    name, part = limit_name(limit.id, limit.quantity), part_name(limit.about)
    if not part:
        return name
    if limit.id.split(".")[0] in PART_FIRST:
        return f"{part[:1].upper()}{part[1:]}, {name[:1].lower()}{name[1:]}"
    return name if alone and limit.about.split(".")[0] in ("tools", "branch") else f"{name}, {part}"


# ---- where its bound comes from --------------------------------------------------------------------------------------

SOURCES: Mapping[str, str] = {
    "plate": N_("plate"),
    "tag": N_("hose tag"),
    "physics": N_("physics"),
    "client": N_("client"),
    "common practice": N_("common practice"),
    "permit": N_("permit"),
    "the yard": N_("the yard"),
    "hearsay": N_("hearsay"),
    "job file": N_("job file"),
    "orders": N_("order of steps"),
}


def source_words(source: str) -> str:
    """Where a bound comes from; a work is cited as it is called. [-]

    Parameters
    ----------
    source : str
        The limit's source. [-]

    Examples
    --------
    >>> source_words("tag"), source_words("EN 1829-1:2010 5.2.2")
    ('hose tag', 'EN 1829-1:2010 5.2.2')
    >>> source_words("site rule 4, tighter than common practice")
    'site rule 4, tighter than common practice'

    References
    ----------
    Our own convention.
    """
    site, tighter, parent = source.partition(TIGHTER)
    if tighter:
        return _("{site}, tighter than {source}").format(site=site, source=source_words(parent))
    return _(SOURCES[source]) if source in SOURCES else source


def standing_words(limit: Limit) -> str:
    """Where a limit's bound comes from, and that nobody has read it where that is so. [-]

    Parameters
    ----------
    limit : Limit
        The limit. [-]

    Examples
    --------
    >>> standing_words(Limit("engine.power", "look", 0.9, 0.8, "ratio", -0.1, "common practice", False))
    'common practice'

    References
    ----------
    Our own convention.
    """
    words = source_words(limit.source)
    if limit.verified or limit.source in ("common practice", "hearsay") or "memory" in limit.source:
        return words
    return _("{source}, not read").format(source=words)


# ---- its numbers -----------------------------------------------------------------------------------------------------


def limit_figure(value: float, quantity: str, system: str = "si", *, bare: bool = False, up: bool | None = None) -> str:
    """A limit's value or bound as it is printed. [-]

    Parameters
    ----------
    value : float
        Value or bound. [SI]
    quantity : str
        Its quantity. [-]
    system : str
        "si" or "us". [-]
    bare : bool
        Without the unit. [-]
    up : bool or None
        Never below it, or never above it; None: the nearest. [-]

    Examples
    --------
    >>> limit_figure(933e5, "pressure"), limit_figure(0.31, "ratio"), limit_figure(2.0, "count")
    ('933 bar', '31 %', '2')

    References
    ----------
    Our own convention.
    """
    if quantity == "count":
        return f"{value:.0f}"
    unit = unit_for(quantity, value, system)
    if not unit or quantity == "percent":
        return percent(value)
    shown = number(value, unit, system, up=up)
    return shown if bare else f"{shown} {printed(unit, system)}"


def bound_figure(limit: Limit, system: str = "si") -> str:
    """A limit's bound as it is printed: a rating never above what is marked, any other the nearest. [-]

    Parameters
    ----------
    limit : Limit
        A limit with a bound. [-]
    system : str
        "si" or "us". [-]

    Examples
    --------
    >>> bound_figure(Limit("rating.working", "within", 9e7, 14e7, "pressure", 0.3, "tag", True), "us")
    '20300 psi'

    References
    ----------
    Our own convention.
    """
    marked = limit.quantity == "pressure" and limit.id.split(".")[0] in ("rating", "object") and not limit.least
    return limit_figure(limit.bound or 0.0, limit.quantity, system, up=False if marked else None)


def limit_figures(limit: Limit, system: str = "si") -> str:
    """A limit's value against its bound. [-]

    Parameters
    ----------
    limit : Limit
        The limit. [-]
    system : str
        "si" or "us". [-]

    Examples
    --------
    >>> limit_figures(Limit("pump.speed", "within", 2.0, 8.0, "speed", 0.75, "plate", True))
    '120 of 480 rpm'
    >>> limit_figures(Limit("person.stops", "look", 1.0, 2.0, "count", -0.5, "plate", True, least=True))
    '1, at least 2'

    References
    ----------
    Our own convention.
    """
    kind, value, bound = limit.quantity, limit.value, limit.bound
    if limit.id.startswith("hazard.") or limit.id in YES_OR_NO:
        return ""
    if value is None and limit.id == "object.threshold":
        return _("no longer cleans; still wounds")
    if value is None:
        return "" if bound is None else _("– of {bound}").format(bound=bound_figure(limit, system))
    if limit.id == "recoil.pull":
        words = _("pulls in with {force}") if value < 0.0 else _("pushes out with {force}")
        return words.format(force=limit_figure(abs(value), kind, system))
    if limit.id == "recoil.others" and "from" in limit.facts and "to" in limit.facts:
        return _changes(limit, system)
    if limit.id == "object.threshold" and bound is not None:
        return _on_deposit(limit, bound, system)
    if limit.id == "coverage.stripes" and bound is not None and not limit.verified:
        shown_turns = limit_figure(value, kind, system, bare=True)
        return _("{value}, at least {bound}").format(value=shown_turns, bound=rough(bound, "rpm", system))
    if limit.id == "supply.npsh" and value < 0.0:
        return _("boils, at least {bound}").format(bound=limit_figure(bound, kind, system)) if bound else _("boils")
    if value < 0.0 and kind == "force":
        return _("pulls in with {force}").format(force=limit_figure(-value, kind, system))
    if limit.id == "object.withstands" and bound is None:
        return _("{value}; what it bears was not said").format(value=limit_figure(value, kind, system))
    if limit.id == "gauge.proving" and bound:
        words = _("±{value}, at most ±{bound}")
        return words.format(value=limit_figure(value, kind, system), bound=bound_figure(limit, system))
    if not bound:
        return limit_figure(value, kind, system)
    if kind == "ratio" and value < 0.0:
        return _("none, at least {bound}").format(bound=limit_figure(bound, kind, system)) if limit.least else ""
    same = unit_for(kind, value, system) == unit_for(kind, bound, system) != ""
    shown = limit_figure(value, kind, system, bare=same), bound_figure(limit, system)
    if limit.least:
        return _("{value}, at least {bound}").format(value=shown[0], bound=shown[1])
    if not same:
        return _("{value}, at most {bound}").format(value=shown[0], bound=shown[1])
    return _("{value} of {bound}").format(value=shown[0], bound=shown[1])


def _on_deposit(limit: Limit, bound: float, system: str) -> str:
    """What arrives as it is estimated, or what stands behind the tip where nobody said how far the surface is."""
    if "least" in limit.facts and "greatest" in limit.facts:
        words = _("{least} to {greatest}, at least {bound}")
        least, greatest = (rough(float(str(limit.facts[name])), "bar", system) for name in ("least", "greatest"))
        shown = limit_figure(bound, "pressure", system)
        return words.format(least=least.split()[0], greatest=greatest, bound=shown)
    words = _("{value} behind the tip, at least {bound}")
    return words.format(
        value=limit_figure(float(str(limit.value)), "pressure", system, bare=True),
        bound=limit_figure(bound, "pressure", system),
    )


def _changes(limit: Limit, system: str) -> str:
    """How a push changes as somebody else lets go, which comes back as soon as it is pressed again."""
    before, after = (float(str(limit.facts[end])) for end in ("from", "to"))
    ends = {"before": limit_figure(before, "force", system, bare=True), "after": limit_figure(after, "force", system)}
    if after < before:
        said = _("falls from {before} to {after}, and comes back at once").format(**ends)
    else:
        said = _("rises from {before} to {after}").format(**ends)
    bound = limit.bound or 0.0
    if limit.least:
        return said + _("; at most {change} of change").format(change=limit_figure(before - bound, "force", system))
    return said + _("; at most {bound}").format(bound=limit_figure(bound, "force", system))


LONG = 26
"""Letters of a limit's figures from which they need a line of their own."""
FAR = 2.0
"""A bound passed by more than this share is far over: the figure says nothing more."""
YES_OR_NO = ("person.rail", "person.remote", "release.hold_to_run", "hose.traceable")
"""Limits that only a yes or no answers: their words say all."""


def margin_words(limit: Limit, system: str = "si") -> str:
    """How much is left, or by how much it is passed or missed. [-]

    Parameters
    ----------
    limit : Limit
        A judged limit; one that is not judged says which fact is missing. [-]
    system : str
        "si" or "us". [-]

    Examples
    --------
    >>> margin_words(Limit("pump.speed", "within", 2.0, 8.0, "speed", 0.75, "plate", True))
    '75 % left'

    References
    ----------
    Our own convention.
    """
    if limit.verdict == "not_judged":
        return _("not judged: {why}").format(why=missing_words(limit.missing)) if limit.missing else _("not judged")
    if limit.margin is None or limit.value is None or limit.bound is None or not limit_figures(limit):
        return ""
    if limit.value < 0.0 and limit.quantity == "force":
        return ""
    if limit.quantity == "count":
        return ""
    words, margin = _("{share} left"), limit.margin
    if limit.id == "recoil.others" and limit.least and "from" in limit.facts:  # what is bounded is the change
        before = float(str(limit.facts["from"]))
        margin = (limit.value - limit.bound) / ((before - limit.bound) or 1.0)
        words = words if margin >= 0.0 else _("{share} over")
    elif limit.margin < 0.0:
        words = _("{share} short") if limit.least else _("{share} over")
    if limit.quantity == "temperature":
        apart = abs(limit.bound - limit.value)
        if apart < 0.5:
            return _("at the bound")
        return words.format(share=f"{apart * 1.8:.0f} °F" if system == "us" else f"{apart:.0f} °C")
    if float(percent(abs(margin)).split()[0]) == 0.0:
        return _("at the bound")
    if limit.quantity == "ratio":  # a share of a share says less than the two do
        return ""
    if margin < -FAR:
        return _("far short") if limit.least and limit.id != "recoil.others" else _("far over")
    return words.format(share=percent(abs(margin)))


def filled(limit: Limit) -> float | None:
    """How much of the way to its bound a limit has used; above 1 the bound is passed. None: it has no bar. [-]

    Parameters
    ----------
    limit : Limit
        The limit. [-]

    Examples
    --------
    >>> filled(Limit("pump.speed", "within", 2.0, 8.0, "speed", 0.75, "plate", True))
    0.25
    >>> filled(Limit("person.lance", "within", 1.5, 0.75, "length", 1.0, "plate", True, least=True))
    0.5

    References
    ----------
    Our own convention: what must stay above its bound uses bound / value; what is counted needs no bar.
    """
    if limit.value is None or not limit.bound or limit.quantity == "count" or not limit_figures(limit):
        return None
    zero = FREEZING if limit.quantity == "temperature" else 0.0
    value, bound = limit.value - zero, limit.bound - zero
    if limit.least:
        return bound / value if value > 0.0 else 2.0
    return max(0.0, value / bound) if bound > 0.0 else None


FAULTS: Mapping[str, str] = {
    "recoil.cautious": N_("tips and gauge as far off as they may be"),
    "recoil.fitted": N_("as the reading lets it be"),
    "recoil.kick": N_("as the trigger is pressed"),
    "recoil.bypass_shut": N_("bypass knocked shut"),
    "recoil.relief": N_("relief at full flow"),
    "recoil.plugged": N_("a jet plugged"),
    "recoil.rear_plugged": N_("rear jets plugged"),
    "recoil.piston": N_("the tube plugged"),
    "recoil.others": N_("another trigger changes"),
    "recoil.left": N_("last setting left on"),
    "recoil.worn": N_("tips worn and speed raised"),
}
"""What may make the push of a tool in the hand larger than planned, by id."""


def worst_push(limits: Iterable[Limit], planned: Limit) -> tuple[float, str] | None:
    """The most that a tool in the hand may push, and when; None where nothing makes it push harder. [N, -]

    Parameters
    ----------
    limits : Iterable of Limit
        Of the task. [-]
    planned : Limit
        The tool's limit "recoil.hand". [-]

    Examples
    --------
    >>> hand, relief = (
    ...     Limit(name, "look", push, 150.0, "force", 0.0, "NO 20-1", True, about="tools.gun")
    ...     for name, push in (("recoil.hand", 134.0), ("recoil.relief", 184.0))
    ... )
    >>> worst_push((hand, relief), hand)
    (184.0, 'relief at full flow')

    References
    ----------
    Our own convention.
    """
    pushes = [
        (limit.value, limit.id)
        for limit in limits
        if limit.id in FAULTS and limit.about == planned.about and limit.value is not None and limit.quantity == "force"
    ]
    worst, name = max(pushes, default=(0.0, ""))
    return (worst, _(FAULTS[name])) if worst > (planned.value or 0.0) else None


# ---- what is missing -------------------------------------------------------------------------------------------------


MISSING: Mapping[str, str] = {
    "rule_set": N_("the rule set has no such bound"),
    "task.target": N_("the target is not to be had"),
    "unit.gauge": N_("no gauge is described"),
    "unit.gauge.class": N_("the gauge's class is not given"),
    "unit.relief": N_("no relief device is described"),
    "unit.relief.tested": N_("the day of the relief device's certificate is not given"),
    "unit.relief.full_flow": N_("what the relief device passes when fully open is not given"),
    "unit.engine": N_("no engine is described"),
    "unit.bypass": N_("the bypass is not described"),
    "unit.bypass.turns": N_("the turns of the bypass stem are not given"),
    "unit.bypass.loop": N_("the volume of the bypass loop is not given"),
    "unit.pump.plunger_diameter": N_("the diameter of the plungers is not given"),
    "unit.suction.needed": N_("the suction head that the pump needs is not given"),
    "unit.suction.cover": N_("the height of the water over the tank's outlet is not given"),
    "unit.tank": N_("no tank is described"),
    "unit.tank.hottest": N_("how hot the water may be is not given"),
    "supply.filter": N_("the filter's opening is not given"),
    "restraints.whip_checks": N_("how many whip checks are at hand is not given"),
    "restraints.shrouds": N_("how many hose shrouds are at hand is not given"),
    "task.stops": N_("the ways to stop are not given"),
    "task.operator.guard_rail": N_("whether there is a guard rail is not given"),
    "task.remote_tested": N_("whether the remote was tried at the work is not given"),
    "task.jet.standoff": N_("the stand-off, tip to surface, is not given"),
    "task.pipe.blocked": N_("what may stand behind the plug is not given"),
    "task.pipe": N_("the pipe is not described"),
    "task.object": N_("what is cleaned is not described"),
    "task.object.withstands": N_("what the object withstands is not given"),
    "task.object.source": N_("who says what the object withstands is not given"),
    "task.hazards.ignition": N_("whether vapour or dust can catch fire is not given"),
    "task.hazards.confined_space": N_("whether it is a confined space is not given"),
    "task.hazards.live_electrical": N_("whether live electrical parts are near is not given"),
    "task.hazards.product": N_("whether there is a dangerous product is not given"),
    "tools.length": N_("the tool's length is not given"),
    "tools.held_by": N_("who or what holds the tool is not given"),
    "tools.support": N_("whether there is a body rest is not given"),
    "tools.ports": N_("no jet that strikes ahead is described"),
    "tools.rating": N_("the tool's rating is not given"),
    "fittings.rating": N_("the fitting's rating is not given"),
    "hoses.rating": N_("the rating on the hose tag is not given"),
    "hoses.tested": N_("the day of the hose's last test is not given"),
    "hoses.traceable": N_("whether the hose's tag can be read and traced is not given"),
}
"""By key, without the name of the part: why a limit is not judged."""


def missing_words(key: str, *, typed: bool = False) -> str:
    """Which fact is lacking, and so why a limit is not judged. [-]

    Parameters
    ----------
    key : str
        The fact's key in a job file. [-]
    typed : bool
        Whoever reads it types job files: the key follows in brackets. [-]

    Examples
    --------
    >>> missing_words("unit.gauge"), missing_words("hoses.S8-20.rating", typed=True)
    ('no gauge is described', 'the rating on the hose tag is not given (hoses.S8-20.rating)')

    References
    ----------
    Our own convention.
    """
    first, _dot, rest = key.partition(".")
    last = rest.rpartition(".")[2]
    words = MISSING.get(key) or MISSING.get(f"{first}.{last}")
    said = _("{fact} is not given").format(fact=(last or first).replace("_", " ")) if words is None else _(words)
    return _("{why} ({key})").format(why=said, key=key) if typed and "." in key and key != "task.target" else said


def not_judged_words(limits: Iterable[Limit], *, typed: bool = False) -> list[str]:
    """What is not judged for want of which facts: first what counts as look first, then the rest. [-]

    Parameters
    ----------
    limits : Iterable of Limit
        Of a task. [-]
    typed : bool
        Whoever reads it types job files: facts are called by their keys. [-]

    Examples
    --------
    >>> from jetwright.limits.limit import judge
    >>> lacking = [judge("gauge.error", None, None, "ratio", "plate", missing="unit.gauge")]
    >>> not_judged_words(lacking)
    ['Not judged, and so to be looked at first: no gauge is described.']
    >>> not_judged_words(lacking, typed=True)
    ['Not judged, and so to be looked at first, because nobody said: unit.gauge.']

    References
    ----------
    Our own convention.
    """
    counted: dict[str, None] = {}
    rest: dict[str, None] = {}
    for limit in limits:
        if limit.verdict == "not_judged":
            (counted if counts(limit) else rest)[limit.missing] = None
    told = []
    for keys, words, plain in (
        (
            counted,
            _("Not judged, and so to be looked at first, because nobody said: {keys}."),
            _("Not judged, and so to be looked at first: {why}."),
        ),
        (
            [key for key in rest if key not in counted],
            _("Not judged, because nobody said: {keys}."),
            _("Not judged: {why}."),
        ),
    ):
        said = [key for key in keys if key not in ("", "task.target", "rule_set")]
        if said and typed:
            told.append(words.format(keys=", ".join(said)))
        elif said:
            told.append(plain.format(why="; ".join(dict.fromkeys(map(missing_words, said)))))
    if "task.target" in counted or "task.target" in rest:
        told.append(_("The rest is not judged: {why}.").format(why=missing_words("task.target")))
    unruled = [
        limit_name(limit.id, limit.quantity)
        for limit in limits
        if limit.verdict == "not_judged" and limit.missing == "rule_set"
    ]
    if unruled:
        names = ", ".join(dict.fromkeys(unruled))
        told.append(_("Not judged, because the rule set has no bound for it: {names}.").format(names=names))
    return told
