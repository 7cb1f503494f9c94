"""Facts into a crew's words: verdicts, what was taken, the rules, cautions. Everything goes through gettext."""

from __future__ import annotations

import gettext
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

from jetwright.report.figures import as_written, figure, percent, unit_for

if TYPE_CHECKING:  # every command speaks, and `--help` does not wait for the core
    from jetwright.limits.limit import Verdict
    from jetwright.limits.rules import Looser, RuleSet
    from jetwright.plan.answer import LeftOver, Release, StepAt, TakenAs
    from jetwright.rig.description import Unit

LOCALE = Path(__file__).resolve().parent.parent / "locale"


_SPOKEN: ContextVar[str] = ContextVar("spoken", default="")


@lru_cache(maxsize=8)
def _catalogue(language: str = "") -> gettext.NullTranslations:
    """The catalogue for a language, or for LANGUAGE, LC_ALL, LC_MESSAGES or LANG; English where there is none."""
    return gettext.translation("jetwright", str(LOCALE), [language] if language else None, fallback=True)


def _(text: str) -> str:
    return _catalogue(_SPOKEN.get()).gettext(text)


@contextmanager
def speaking(language: str) -> Iterator[None]:
    """What is said inside is said in this language, in this thread or task alone. [-]

    Parameters
    ----------
    language : str
        "en", "es"; "" as the machine is set up. [-]

    Examples
    --------
    >>> with speaking("es"):
    ...     verdict_words("look")
    'revisar antes'

    References
    ----------
    Our own convention: a language's two letters.
    """
    before = _SPOKEN.set(language)
    try:
        yield
    finally:
        _SPOKEN.reset(before)


def spoken() -> str:
    """The language that is spoken, as its two letters. [-]

    Examples
    --------
    >>> with speaking("es"):
    ...     spoken()
    'es'

    References
    ----------
    Our own convention: a language's two letters.
    """
    return str(_catalogue(_SPOKEN.get()).info().get("language", "en"))[:2]


N_ = str
"""Marks a text that is translated where it is shown."""


def ngettext(one: str, many: str, count: int) -> str:
    """The form of a sentence that belongs to a count. [-]

    Parameters
    ----------
    one, many : str
        English singular and plural. [-]
    count : int
        How many. [-]

    Examples
    --------
    >>> ngettext("{n} limit", "{n} limits", 3).format(n=3)
    '3 limits'

    References
    ----------
    GNU gettext manual, "Plural forms".
    """
    return _catalogue(_SPOKEN.get()).ngettext(one, many, count)


# --- cautions ---------------------------------------------------------------------------------------------------------


def caution() -> str:
    """What stands once on everything a crew acts on. [-]

    Examples
    --------
    >>> caution().startswith("This plan supports")
    True

    References
    ----------
    Our own convention.
    """
    return _(
        "This plan supports and never replaces training, the maker's manual, local rules and the competent person on "
        "site. The gauge is the target; the speed is “about”."
    )


def caution_of_facts() -> str:
    """What stands once where plates, tags and jobs are written and no plan is shown. [-]

    Examples
    --------
    >>> caution_of_facts().partition(":")[0]
    'What is written here is only as good as the plates, tags and papers it was read from'

    References
    ----------
    Our own convention.
    """
    return _(
        "What is written here is only as good as the plates, tags and papers it was read from: compare it with the "
        "piece itself before work. It supports and never replaces training, the maker's manual, local rules and the "
        "competent person on site. The gauge is the target; the speed is “about”."
    )


# --- verdicts ---------------------------------------------------------------------------------------------------------


def verdict_words(verdict: Verdict) -> str:
    """A verdict in words. [-]

    Parameters
    ----------
    verdict : str
        "within", "look", "not_allowed" or "not_judged". [-]

    Examples
    --------
    >>> verdict_words("look")
    'look first'

    References
    ----------
    Our own convention.
    """
    return {
        "within": _("within limits"),
        "look": _("look first"),
        "not_allowed": _("not allowed"),
        "not_judged": _("not judged"),
    }[verdict]


# --- letting go, and what is left on ----------------------------------------------------------------------------------

KILOGRAM_FORCE = 9.80665
"""What one kilogram weighs: standard gravity, by definition. [N]"""

LETTING_GO: Mapping[str, str] = {
    "dump": N_("The dump carries {flow}: the gauge falls to {gauge}, not to zero, and that is the dump working."),
    "shut_over_valve": N_(
        "The tool shuts: the valve passes the whole flow, the gauge stands at {gauge}, and the hose keeps that "
        "pressure until it is vented."
    ),
    "shut_over_valve/hand-set": N_(
        "The tool shuts: the bypass passes the whole flow, the gauge stands at {gauge}, and the hose keeps that "
        "pressure until it is vented."
    ),
    "shut_idle": N_(
        "The tool shuts and the unloader opens: the pump circulates at {gauge}. The hose keeps its pressure until it "
        "is vented."
    ),
    "shut_relief": N_("The tool shuts and only the relief is left: the gauge climbs to {gauge}."),
    "shut_relief/broken": N_("The tool shuts and nothing described takes the flow: the gauge climbs past {gauge}."),
    "stopped_at_pump": N_("There is no trigger: the jet stops when the speed comes down and the bypass opens."),
}
"""By code of what letting go does."""


def release_words(release: Release, system: str = "si", gauge: str = "") -> str:
    """What letting go of every trigger does. [-]

    Parameters
    ----------
    release : Release
        As solved. [-]
    system : str
        "si" or "us". [-]
    gauge : str
        The gauge as its own scale shows it; else the figure. [-]

    Examples
    --------
    >>> from jetwright.plan.answer import Release
    >>> release_words(Release(81e5, 27.5e-3 / 60.0, "dump"))
    'The dump carries 27.5 L/min: the gauge falls to 81.0 bar, not to zero, and that is the dump working.'

    References
    ----------
    Our own convention.
    """
    code = release.what
    if code == "shut_relief" and not release.facts.get("survives", True):
        code = "shut_relief/broken"
    if code == "shut_over_valve" and release.facts.get("bypass") == "hand-set":
        code = "shut_over_valve/hand-set"
    told = _(LETTING_GO[code]).format(
        flow=figure(release.gun_flow, "L/min", system), gauge=gauge or figure(release.gauge, "bar", system)
    )
    still = release.facts.get("still_jetting")
    if isinstance(still, tuple) and still:
        told += " " + _("Still jetting: branch {n}.").format(n=", ".join(map(str, still)))
    return told


def force(newton: float, system: str = "si") -> str:
    """A force in newtons and in what it would weigh. [-]

    Parameters
    ----------
    newton : float
        The force. [N]
    system : str
        "si" or "us": pounds say both. [-]

    Examples
    --------
    >>> force(124.8), force(124.8, "us")
    ('125 N (12.7 kg)', '28.1 lbf')

    References
    ----------
    Our own convention.
    """
    text = figure(newton, "N", system)
    return text if system == "us" else f"{text} ({figure(newton / KILOGRAM_FORCE, 'kg')})"


def speed_words(pump_speed: float, unit: Unit) -> str:
    """A speed in what the unit's panel shows: the pump's, or the engine's where it shows that alone. [-]

    Parameters
    ----------
    pump_speed : float
        Of the pump. [rev/s]
    unit : Unit
        The pump unit. [-]

    Examples
    --------
    >>> from jetwright.rig.example import JOB
    >>> speed_words(2.0, JOB.unit)
    '120 rpm'

    References
    ----------
    Our own convention.
    """
    engine_only = "engine speed" in unit.shows and "pump speed" not in unit.shows
    if engine_only and unit.drive.kind == "direct" and unit.drive.ratio:
        return _("engine {speed}").format(speed=figure(pump_speed * unit.drive.ratio, "rpm"))
    return figure(pump_speed, "rpm")


LEFT_FIRST: Mapping[str, str] = {
    "hand-set": N_("Before the tool is touched: speed to start, bypass open."),
    "regulating": N_("Before the tool is touched: speed to start, regulator backed off."),
    "unloader": N_("Before the tool is touched: speed to start, then engine off, vented."),
}
"""What comes first, by the bypass kind that was left on."""
LEFT_WHEN: Mapping[str, str] = {"alone": N_("pressed alone"), "kick": N_("as it is pressed")}
"""When a push is at its worst."""


def left_words(left: LeftOver, system: str = "si", gauge: str = "") -> tuple[str, str]:
    """A change card's first line: what to do before the tool is touched, and what the old setting would do to it. [-]

    Parameters
    ----------
    left : LeftOver
        What the setting of the task before would do. [-]
    system : str
        "si" or "us". [-]
    gauge : str
        The gauge as its own scale shows it; else the figure. [-]

    Examples
    --------
    >>> from jetwright.plan.answer import LeftOver
    >>> left_words(LeftOver("Morning", 7.0, 0.0, 1150e5, True, (300.0,)))[1]
    'Left on from “Morning”: gauge 1150 bar, the relief lifts, 300 N (30.6 kg) at the tool.'

    References
    ----------
    Our own convention.
    """
    shown = gauge or figure(left.gauge, "bar", system)
    told = [_("gauge {pressure}").format(pressure=shown)]
    if not left.held:
        told = [_("gauge above {pressure}, for nothing described holds it").format(pressure=shown)]
    if left.relief_opens:
        told.append(_("the relief lifts"))
    for number, push in enumerate(left.recoil, start=1):
        words = _("{force} at the tool") if len(left.recoil) == 1 else _("{force} at tool {n}")
        most = force(push, system) if left.held else _("more than {force}").format(force=force(push, system))
        text = words.format(force=most, n=number)
        when = left.when[number - 1] if left.when else ""
        told.append(f"{text} {_(LEFT_WHEN[when])}" if when else text)
    return (
        _(LEFT_FIRST[left.valve]),
        _("Left on from “{task}”: {what}.").format(task=left.task, what=", ".join(told)),
    )


# --- the rule set -----------------------------------------------------------------------------------------------------

BOUNDS: Mapping[str, str] = {
    "recoil.unsupported": N_("recoil by hand without a body rest"),
    "recoil.supported": N_("recoil by hand with a body rest"),
    "recoil.change": N_("change of recoil when another trigger changes"),
    "recoil.body_share": N_("recoil as a share of the operator's weight"),
    "recoil.wear": N_("tip area gained before a tip is changed"),
    "recoil.hands": N_("tools in the hand on one pump"),
    "recoil.flush": N_("push of the open hose end"),
    "relief.over": N_("above the weakest rating, relief at full flow"),
    "relief.over_damper": N_("above the weakest rating, relief at full flow, with a damper"),
    "relief.clear": N_("comfortable room up to the relief's set point"),
    "relief.clear_least": N_("least room up to the relief's set point"),
    "gauge.steady": N_("share of the gauge's scale, with a damper"),
    "gauge.pulsating": N_("share of the gauge's scale, without a damper"),
    "gauge.error": N_("gauge's error"),
    "gauge.flush": N_("gauge while the open hose is flushed"),
    "gauge.hold": N_("gauge at the low-pressure hold, as a share of the target's"),
    "gauge.proving": N_("half of the proving point's band, as a share of its gauge"),
    "engine.load": N_("engine load"),
    "engine.step": N_("engine load at once when the triggers are pressed"),
    "bypass.spill": N_("share spilt over the bypass"),
    "heat.water": N_("water at the packings"),
    "heat.no_flow": N_("time with nothing flowing"),
    "hose.test_age": N_("time since a hose's last test"),
    "hose.speed": N_("speed of the water in a hose"),
    "supply.filter": N_("filter opening against the smallest tip"),
    "supply.npsh_margin": N_("suction head above what the pump's plate asks for"),
    "person.lance": N_("length of the lance up to 250 bar"),
    "person.lance_high": N_("length of the lance above 250 bar"),
    "person.turn": N_("stiff end of what a hose carries into a pipe, over the pipe's bore"),
    "person.stops": N_("ways to stop"),
    "person.rail": N_("guard rail where a fall is possible"),
    "release.hold_to_run": N_("what is in the hand stops when let go"),
}
"""Every bound of a rule set, by id."""


def rules_words(rules: RuleSet, system: str = "si") -> list[str]:
    """Which rule set a plan was judged by, how much of it was read, and which looser bounds were not taken. [-]

    Parameters
    ----------
    rules : RuleSet
        The rule set. [-]
    system : str
        "si" or "us". [-]

    Examples
    --------
    >>> from jetwright.limits.rules import RuleSet
    >>> rules_words(RuleSet("no", "1", "Norway", {}))[0]
    'Judged by no 1: Norway. Read at their source: 0 % of its bounds; the others rest on memory or practice.'

    References
    ----------
    Our own convention.
    """
    told = [
        _(
            "Judged by {name} {version}: {says}. Read at their source: {share} of its bounds; the others rest on "
            "memory or practice."
        ).format(name=rules.name, version=rules.version, says=rules.says, share=percent(rules.verified_share))
    ]
    return told + [looser_words(looser, system) for looser in rules.looser]


def looser_words(looser: Looser, system: str = "si") -> str:
    """A bound that a site asked to loosen: it is not used, and is shown with who asked. [-]

    Parameters
    ----------
    looser : Looser
        The bound. [-]
    system : str
        "si" or "us". [-]

    Examples
    --------
    >>> from jetwright.limits.rules import Looser
    >>> from jetwright.limits.rules import Bound
    >>> rest = Bound(250.0, "force", "most", "NO 20-1", "regulation", True)
    >>> looser_words(Looser("recoil.supported", 300.0, rest, "H. Moe"))
    'Not used, because looser: 300 N for recoil by hand with a body rest, set by H. Moe. What holds is 250 N (NO 20-1).'

    References
    ----------
    Our own convention.
    """
    name, kept = BOUNDS.get(looser.id, looser.id), looser.kept

    def shown(value: float) -> str:
        unit = unit_for(kept.quantity, value)
        if kept.quantity == "count":
            return f"{value:.0f}"
        return figure(value, unit, system) if unit and kept.quantity != "percent" else percent(value)

    return _("Not used, because looser: {asked} for {name}, set by {by}. What holds is {kept} ({source}).").format(
        asked=shown(looser.asked), name=_(name), by=looser.by, kept=shown(kept.value), source=kept.source
    )


# --- who holds a tool -------------------------------------------------------------------------------------------------


def holder_words(held: str) -> str:
    """Who or what holds a tool. [-]

    Parameters
    ----------
    held : str
        "hand", "carrier", "machine" or "hose". [-]

    Examples
    --------
    >>> holder_words("hose")
    'its hose'

    References
    ----------
    Our own convention.
    """
    words = {"hand": _("hand"), "carrier": _("carrier"), "machine": _("machine"), "hose": _("its hose")}
    return words.get(held, held)


# --- stopping ---------------------------------------------------------------------------------------------------------


def stop_words(steps: Iterable[StepAt], low: str) -> str:
    """The planned stop and the vent in one line; "" where no order was solved. [-]

    Parameters
    ----------
    steps : Iterable of StepAt
        Every step of the task. [-]
    low : str
        What the gauge shows with the bypass open, as it is printed; "" where that is not known. [-]

    Examples
    --------
    >>> from jetwright.plan.answer import StepAt
    >>> facts = {"valve": "hand-set"}
    >>> steps = [StepAt("planned stop", "stop.open", "", "", 2.0, "open", None, None, None, None, facts)]
    >>> stop_words(steps, "").split(";")[0]
    'Planned stop: speed to start, bypass open, gauge low, drive to zero, engine cooled and off'

    References
    ----------
    Common practice; `data/orders.toml`, "planned stop".
    """
    stop = {step.id: step for step in steps if step.order == "planned stop"}
    opens = stop.get("stop.open")
    if opens is None:
        return ""
    acts = [_("speed to start")]
    if opens.facts.get("valve") == "regulating":
        acts.append(_("regulator backed off"))
    elif opens.bypass == "open":
        acts.append(_("bypass open"))
    if opens.bypass != "closed":
        acts.append(_("gauge {low}").format(low=low) if low else _("gauge low"))
    if "stop.release" in stop:
        acts.append(_("let go"))
    if opens.facts.get("direct"):
        acts += [_("engine at idle until it has cooled (the pump turns, nobody touches the tool)"), _("engine off")]
    else:
        acts += [_("drive to zero"), _("engine cooled and off")]
    return _("Planned stop: {acts}; then open the tool, aimed where it hurts nobody: gauge zero, hose limp.").format(
        acts=", ".join(acts)
    )


# --- taken as ---------------------------------------------------------------------------------------------------------


def taken_words(taken: TakenAs, system: str = "si") -> tuple[str, str]:
    """What was taken for a fact nobody gave, as a person would write it, and why. [-]

    Parameters
    ----------
    taken : TakenAs
        The fact. [-]
    system : str
        "si" or "us". [-]

    Examples
    --------
    >>> from jetwright.plan.answer import TakenAs
    >>> taken_words(TakenAs("tips.R10.cd", "ratio", 0.9, "inlet", {"inlet": "rounded"}))
    ('0.90', 'rounded inlet')
    >>> taken_words(TakenAs("hoses.H.roughness", "length", 1e-5, "default"))
    ('0.01 mm', 'not given: the usual value (common practice)')

    References
    ----------
    Our own convention.
    """
    words = _WHYS.get(taken.why)
    why = taken.why.replace("_", " ") if words is None else words(taken.facts, system)
    value = as_written(taken.value, taken.kind, system)
    if taken.why == "pump_at_top_speed":
        value = _("pump flow at top speed")
    elif taken.why == "held_by":
        value = holder_words(str(taken.value))
    elif value in ("", "none"):
        value = _("none")
    return value, why


def _inlet(facts: Mapping[str, object], system: str) -> str:
    inlet = str(facts.get("inlet", ""))
    if inlet == "unknown":
        return _("unknown inlet: it may be {low} to {high}").format(
            low=as_written(_number(facts.get("low")), "ratio"), high=as_written(_number(facts.get("high")), "ratio")
        )
    words = {"sharp": _("sharp inlet"), "rounded": _("rounded inlet"), "cone": _("cone inlet")}
    return words.get(inlet, inlet)


def _fitted(facts: Mapping[str, object], system: str) -> str:
    count = int(_number(facts.get("readings")))
    return ngettext("fitted to {n} reading", "fitted to {n} readings", count).format(n=count)


def _no_tails(facts: Mapping[str, object], system: str) -> str:
    adds = figure(_number(facts.get("adds")), "bar", system)
    return _("not given: end fittings may add up to {pressure} of loss").format(pressure=adds)


def _number(value: object) -> float:
    return float(value) if isinstance(value, int | float) else 0.0


_WHYS: dict[str, Callable[[Mapping[str, object], str], str]] = {
    "default": lambda facts, system: _("not given: the usual value (common practice)"),
    "fitted": _fitted,
    "inlet": _inlet,
    "no_tails": _no_tails,
    "no_relief": lambda facts, system: _("no relief device is described: nothing about it can be judged"),
    "pump_at_top_speed": lambda facts, system: _("not given"),
    "held_by": lambda facts, system: _("not given: usual for this kind of tool"),
    "suction_bore": lambda facts, system: _("not given: as wide as the line to the pump"),
}
