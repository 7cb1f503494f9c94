"""Facts into a crew's words: verdicts, limits, cures, what was taken, cautions. Everything goes through gettext."""

import gettext
from collections.abc import Callable, Mapping
from functools import lru_cache
from pathlib import Path

from jetwright.limits.limit import Cure, Limit, Verdict
from jetwright.plan.answer import TakenAs
from jetwright.report.figures import as_written, figure, number, percent, unit_for

LOCALE = Path(__file__).resolve().parent.parent / "locale"


@lru_cache(maxsize=1)
def _catalogue() -> gettext.NullTranslations:
    """The catalogue for LANGUAGE, LC_ALL, LC_MESSAGES or LANG; English where there is none."""
    return gettext.translation("jetwright", str(LOCALE), fallback=True)


def _(text: str) -> str:
    return _catalogue().gettext(text)


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
    return _catalogue().ngettext(one, many, count)


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


def not_yet_judged() -> str:
    """What this release leaves to be checked by hand. [-]

    Examples
    --------
    >>> "by hand" in not_yet_judged()
    True

    References
    ----------
    Our own convention.
    """
    return _(
        "Only bypass range, pump speed and engine power are judged here. NOT judged: ratings of pump, hoses, fittings "
        "and tools, relief and rupture disc, recoil on the person, letting go, gauge, water supply, the object. Check "
        "these by hand before anyone sets up."
    )


# --- verdicts and limits ----------------------------------------------------------------------------------------------


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


def limit_name(limit_id: str, quantity: str = "") -> str:
    """What a limit compares, as a sentence part. [-]

    Parameters
    ----------
    limit_id : str
        The limit's id; what follows a second dot is the part it is about. [-]
    quantity : str
        What is compared, where one id serves two bypass kinds. [-]

    Examples
    --------
    >>> limit_name("pump.speed")
    'Pump speed'

    References
    ----------
    Our own convention.
    """
    if limit_id == "bypass.range" and quantity == "speed":
        return _("Speed the unloader leaves")
    if limit_id == "bypass.range" and quantity == "pressure":
        return _("Gauge against the unloader's set point")
    if limit_id == "bypass.range" and quantity == "ratio":
        return _("Bypass flow")
    names = {
        "bypass.range": _("Bypass opening"),
        "pump.speed": _("Pump speed"),
        "engine.power": _("Engine load"),
        "relief.set": _("Gauge against the relief's set point"),
    }
    return names.get(limit_id, limit_id)


def source_words(source: str) -> str:
    """Where a bound comes from. [-]

    Parameters
    ----------
    source : str
        The limit's source. [-]

    Examples
    --------
    >>> source_words("plate")
    'plate'

    References
    ----------
    Our own convention.
    """
    known = {
        "plate": _("plate"),
        "unit plate": _("unit plate"),
        "physics": _("physics"),
        "common practice": _("common practice"),
        "job file": _("job file"),
    }
    return known.get(source, source)


def margin_words(limit: Limit) -> str:
    """How much is left, or by how much it is passed or missed. [-]

    Parameters
    ----------
    limit : Limit
        A judged limit; one that is not judged says which fact is missing. [-]

    Examples
    --------
    >>> margin_words(Limit("pump.speed", "within", 2.0, 8.0, "speed", 0.75, "plate", True))
    '75 % left'

    References
    ----------
    Our own convention.
    """
    if limit.verdict == "not_judged":
        if limit.missing == "task.target":
            return _("not judged: the target is not to be had")
        if limit.missing:
            return _("not judged: {key} is not given").format(key=limit.missing)
        return _("not judged")
    if limit.margin is None:
        return ""
    if limit.margin < 0.0 and limit.id == "bypass.range" and limit.quantity == "speed":
        return _("{share} short").format(share=percent(-limit.margin))
    if limit.margin < 0.0:
        return _("{share} over").format(share=percent(-limit.margin))
    return _("{share} left").format(share=percent(limit.margin))


def cure_words(cure: Cure, system: str = "si") -> str:
    """One cure: what changes, from, to, and what the rig then shows. [-]

    Parameters
    ----------
    cure : Cure
        A change that was solved again. [-]
    system : str
        "si" or "us". [-]

    Examples
    --------
    >>> cure_words(Cure("tip", "tips.R30.bore", "length", 0.003, 0.00245, {"nozzle": 9e7, "pump_speed": 8.15}))
    'tip R30: bore 3.00 → 2.45 mm: 900 bar at the tip, 489 rpm'

    References
    ----------
    Our own convention.
    """
    unit = unit_for(cure.quantity, max(abs(cure.before), abs(cure.after)))
    if cure.quantity == "percent":
        before, after = percent(cure.before), percent(cure.after)
    elif unit:
        before, after = number(cure.before, unit, system), figure(cure.after, unit, system)
    else:
        before, after = f"{cure.before:.3g}", f"{cure.after:.3g}"
    words = {
        "tip": _("tip {name}: bore {before} → {after}"),
        "tips": _("tips {name}: every bore {after} of what it is"),
        "hose": _("hose {name}: bore {before} → {after}"),
        "target": _("target {before} → {after}"),
        "speed": _("a unit whose pump turns up to {after}, not {before}"),
        "bypass": _("a bypass that opens {after}, not {before}"),
    }
    template = words.get(cure.kind, _("{name}: {before} → {after}"))
    change = template.format(name=_names(cure.key), before=before, after=after)
    result = cure.result
    shown = []
    if "nozzle" in result:
        shown.append(_("{pressure} at the tip").format(pressure=figure(result["nozzle"], "bar", system)))
    elif "flow" in result:
        shown.append(_("{flow} through the jets").format(flow=figure(result["flow"], "L/min", system)))
    if "pump_speed" in result:
        shown.append(figure(result["pump_speed"], "rpm", system))
    if "pump_pressure" in result:
        shown.append(_("gauge {pressure}").format(pressure=figure(result["pump_pressure"], "bar", system)))
    if "engine_load" in result:
        shown.append(_("engine {share}").format(share=percent(result["engine_load"])))
    return f"{change}: {', '.join(shown)}" if shown else change


def _names(keys: str) -> str:
    """The rows that some keys name: "hoses.A.bore, hoses.B.bore" are A, B."""
    parts = [key.split(".") for key in keys.split(", ")]
    return ", ".join(".".join(part[1:-1]) if len(part) > 2 else part[-1] for part in parts)


def remedy_words(limit: Limit, system: str = "si") -> str:
    """Every cure of a limit in one line; "" where there is none or none is needed. [-]

    Parameters
    ----------
    limit : Limit
        The limit. [-]
    system : str
        "si" or "us". [-]

    Examples
    --------
    >>> remedy_words(Limit("pump.speed", "within", 2.0, 8.0, "speed", 0.75, "plate", True))
    ''

    References
    ----------
    Our own convention.
    """
    return _("; or ").join(cure_words(cure, system) for cure in limit.cures)


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
}
