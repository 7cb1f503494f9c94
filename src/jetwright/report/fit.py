"""What a reading says, as lines for a plan or a sheet, and as JSON."""

from typing import Any

from jetwright.limits.limit import EDGE, Limit
from jetwright.plan.answer import Explanation, Fit, Span, TaskPlan
from jetwright.plan.fit import BORDER, BY_READING, Fitted
from jetwright.report.figures import figure, number, percent
from jetwright.report.wording import N_, _, force
from jetwright.report.work_json import kept
from jetwright.rig.description import Job

LESS = {
    "pump": N_("Pump gives less"),
    "tip": N_("Tips smaller or fouled"),
    "hose": N_("Hose run loses less"),
    "gauge": N_("Gauge reads low"),
}
MORE = {
    "pump": N_("Pump gives more"),
    "tip": N_("Tips larger or worn"),
    "hose": N_("Hose run loses more"),
    "gauge": N_("Gauge reads high"),
}
AS_PLANNED = {
    "pump": N_("Pump as planned"),
    "tip": N_("Tips as planned"),
    "hose": N_("Hose run as planned"),
    "gauge": N_("Gauge reads true"),
}
"""What each explanation is called, by which side of 1 its share lies on."""
OF = {
    "pump": N_("its flow × {share}"),
    "tip": N_("their area × {share}"),
    "hose": N_("its loss × {share}"),
    "gauge": N_("what stands there × {share}"),
}
CHANGED = {"tip": N_("tips"), "hose": N_("hose run"), "kit": N_("pump"), "gauge": N_("gauge")}
NEXT = {
    "flow": N_(
        "Next, what tells them apart best: the flow at that speed, bypass shut, by a flow meter at the inlet or by "
        "what the supply tank falls in a timed minute. No drum at a jet under pressure: only with the tip off at low "
        "pressure, or for a fixed and covered tool with nobody near."
    ),
    "flow/open": N_(
        "Next, what tells them apart best: the flow through the jets at that speed and opening, by what the supply "
        "tank falls in a timed minute with its feed shut and the bypass returning to it. No drum at a jet under "
        "pressure: only with the tip off at low pressure, or for a fixed and covered tool with nobody near."
    ),
    "pin": N_("Next, what tells them apart best: the bore of a tip, by pin gauges."),
    "flush": N_(
        "Next, what tells them apart best: the gauge at that speed with the tips off, nobody near the open end."
    ),
}
DAY_ALONE = N_("Held to its day alone: nothing says with which rig it was taken")
NEAR = 5e-4
"""A ratio this close to 1 is as expected."""


def fit_lines(task: TaskPlan, job: Job, system: str = "si", *, terminal: bool = True) -> list[str]:
    """What a task's reading says, line by line; none where there is no reading. [-]

    Parameters
    ----------
    task : TaskPlan
        As planned. [-]
    job : Job
        As described. [-]
    system : str
        "si" or "us". [-]
    terminal : bool
        Whoever reads it may give a command; on paper and on a page nobody does. [-]

    Examples
    --------
    >>> from dataclasses import replace
    >>> from jetwright.actions.plan import basis_for
    >>> from jetwright.plan.task import plan_job
    >>> from jetwright.rig.description import Reading
    >>> from jetwright.rig.example import JOB
    >>> basis = basis_for(JOB)
    >>> reading = Reading(JOB.task[0].name, basis.day, 130 / 60, 478e5)
    >>> job = replace(JOB, reading=(reading,))
    >>> fit_lines(plan_job(job, basis).tasks[0], job)[0].partition(": ")[2]
    '478 bar at 130 rpm, 4.7 % below the 501 bar expected.'

    References
    ----------
    Our own convention: docs/fit.md.
    """
    fit = task.fit
    if fit is None:
        return []
    day = fit.day.isoformat()
    if fit.expired:
        return [
            _("The reading of {day} is not used: {why}. Take another at the proving point.").format(
                day=day, why=expired_words(fit)
            )
        ]
    told = [_("Reading of {day}: {what}.").format(day=day, what=_read(fit, system))]
    if fit.day_alone:
        told.append(f"{_(DAY_ALONE)}.")
    if not fit.adopted and terminal:
        return [*told, _("It is not used: explain it first. `jetwright fit` says what to look at.")]
    if not fit.adopted:
        return [*told, _("It is not used: explain it first. Look at tips, hoses, pump and gauge, then take another.")]
    refused = task.verdict == "not_allowed"
    lines = follow_lines(fit, task.setting.bypass, task.setting.pump_speed, system, refused=refused)
    told += [f"{line}." for line in lines]
    told.append(_("What would explain it: {names}.").format(names=", ".join(_alive(fit))))
    return [*told, next_words(fit)] if fit.next and not refused else told


def next_words(fit: Fit) -> str:
    """How the further reading that tells most is taken. [-]

    Parameters
    ----------
    fit : Fit
        What the reading says, with a next one. [-]

    Examples
    --------
    >>> import datetime
    >>> fit = Fit(datetime.date(2026, 5, 4), 2.0, 0.0, 748e5, 696e5, 696 / 748, (), True, next="pin")
    >>> next_words(fit)
    'Next, what tells them apart best: the bore of a tip, by pin gauges.'

    References
    ----------
    Our own words: nobody holds a drum to a jet.
    """
    opened = fit.next == "flow" and fit.bypass_area > 0.0
    words = NEXT["flow/open"] if opened else NEXT[fit.next]
    return _(words)


def apart_words(fit: Fit, system: str = "si") -> str:
    """By how much a reading is off, with as many digits as tell it from the border of adoption; "" as expected. [%]

    It is as expected where that stands in the same figures.

    Parameters
    ----------
    fit : Fit
        What the reading says. [-]
    system : str
        "si" or "us". [-]

    Examples
    --------
    >>> import datetime
    >>> day = datetime.date(2026, 5, 4)
    >>> [apart_words(Fit(day, 2.0, 0.0, 1e7, ratio * 1e7, ratio, (), False)) for ratio in (0.93, 0.8996, 1.0)]
    ['7.0 %', '10.04 %', '']

    References
    ----------
    Our own convention: docs/fit.md.
    """
    if fit.ratio is None or fit.expected is None:
        return ""
    share = abs(fit.ratio - 1.0)
    if share < NEAR or number(fit.seen, "bar", system) == number(fit.expected, "bar", system):
        return ""
    told, border = percent(share), percent(BORDER)
    places = 1
    while told == border and abs(share - BORDER) > EDGE:
        shown = f"{100.0 * share:.{places}f}"
        told, places = told if float(shown) == 100.0 * BORDER else f"{shown} %", places + 1
    return told


def fit_facts(fit: Fit) -> dict[str, Any]:
    """A fit as the JSON's keys and values, in order; three values are low end, middle and high end. [-]

    Parameters
    ----------
    fit : Fit
        What a reading says. [-]

    Examples
    --------
    >>> import datetime
    >>> fit_facts(Fit(datetime.date(2026, 5, 4), 2.0, 0.0, 748e5, 696e5, 696 / 748, (), False))["seen_bar"]
    696.0

    References
    ----------
    Our own contract.
    """
    facts: dict[str, Any] = {
        "day": fit.day.isoformat(),
        "read_at_rpm": kept(fit.pump_speed_read, "rpm"),
        "bypass_area_mm2": kept(fit.bypass_area, "mm2"),
        "expected_bar": kept(fit.expected, "bar"),
        "seen_bar": kept(fit.seen, "bar"),
        "ratio": kept(fit.ratio),
        "adopted": fit.adopted,
        "expired": list(fit.expired),
        "explanations": [_explained(one) for one in fit.explanations],
        "next": fit.next,
        "day_alone": fit.day_alone,
    }
    if fit.pump_speed is not None:
        facts["pump_speed_rpm"] = _spanned(fit.pump_speed, "rpm")
        facts["recoil_n"] = [kept(push, "N") for push in fit.recoil]
    return facts


def deciding(one: Fitted) -> list[Limit]:
    """What refuses the task of a reading, and what the reading itself brings. [-]

    Parameters
    ----------
    one : Fitted
        The reading. [-]

    Examples
    --------
    >>> from types import SimpleNamespace
    >>> from jetwright.limits.limit import judge
    >>> limits = judge("pump.speed", 9.0, 8.0, "speed", "plate"), judge("pump.power", 1.0, 8.0, "power", "plate")
    >>> [limit.id for limit in deciding(SimpleNamespace(limits=limits))]
    ['pump.speed']

    References
    ----------
    Our own convention: a page never hides a "not allowed".
    """
    return [limit for limit in one.limits if limit.verdict == "not_allowed" or limit.id == BY_READING]


def explanation_name(explanation: Explanation) -> str:
    """What one explanation of a reading is called. [-]

    Parameters
    ----------
    explanation : Explanation
        The explanation. [-]

    Examples
    --------
    >>> explanation_name(Explanation("tip", (1.01, 1.02, 1.03), True))
    'Tips larger or worn'

    References
    ----------
    Our own convention: docs/fit.md.
    """
    share = explanation.share[1]
    names = AS_PLANNED if abs(share - 1.0) < NEAR else LESS if share < 1.0 else MORE
    return _(names[explanation.what])


def share_figure(share: float) -> str:
    """A share of what was planned, as finely as a reading tells it. [-]

    Parameters
    ----------
    share : float
        The share. [-]

    Examples
    --------
    >>> share_figure(0.9775)
    '0.978'

    References
    ----------
    Our own convention.
    """
    return f"{share:.3f}"


def follow_lines(
    fit: Fit, bypass: str, planned: float | None, system: str = "si", *, refused: bool = False
) -> list[str]:
    """Speed and recoil after a reading that is used, a line each. [-]

    Parameters
    ----------
    fit : Fit
        What the reading says. [-]
    bypass : str
        Of the setting: where it is part open, its opening makes up for it. [-]
    planned : float or None
        Pump speed as planned without the reading. [rev/s]
    system : str
        "si" or "us". [-]
    refused : bool
        The task is not allowed: no speed. [-]

    Examples
    --------
    >>> import datetime
    >>> day, speed = datetime.date(2026, 5, 4), (2.2, 2.25, 2.3)
    >>> fit = Fit(day, 2.0, 0.0, 748e5, 730e5, 730 / 748, (), True, pump_speed=speed, recoil=(140.0,))
    >>> follow_lines(fit, "closed", 2.15)[1]
    'Recoil judged after it: 140 N (14.3 kg)'

    References
    ----------
    Our own convention: docs/fit.md.
    """
    told = []
    if fit.pump_speed is not None and bypass != "part open" and not refused:
        low, middle, high = (number(end, "rpm") for end in fit.pump_speed)
        words = _("Speed after it: about {speed} rpm, {low} to {high} rpm; planned {planned} rpm; the gauge decides")
        if low == high:
            words = _("Speed after it: about {speed} rpm; planned {planned} rpm; the gauge decides")
        shown = "–" if planned is None else number(planned, "rpm")
        told.append(words.format(speed=middle, low=low, high=high, planned=shown))
    for place, push in enumerate(fit.recoil, start=1):
        words = _("Recoil judged after it: {force}")
        if len(fit.recoil) > 1:
            words = _("Recoil judged after it at tool {n}: {force}")
        told.append(words.format(force=force(push, system), n=place))
    return told


def expired_words(fit: Fit) -> str:
    """Why a reading does not hold any more. [-]

    Parameters
    ----------
    fit : Fit
        What the reading says. [-]

    Examples
    --------
    >>> import datetime
    >>> fit = Fit(datetime.date(2026, 5, 4), 2.0, 0.0, 748e5, 730e5, 730 / 748, (), False, ("tip", "shift"))
    >>> expired_words(fit)
    'described otherwise since: tips; it is of another day'

    References
    ----------
    Our own convention: docs/fit.md.
    """
    names = ", ".join(_(CHANGED[name]) for name in fit.expired if name in CHANGED)
    told = [_("described otherwise since: {names}").format(names=names)] if names else []
    if "shift" in fit.expired:
        told.append(_("it is of another day"))
    if "unserved" in fit.expired:
        told.append(_("the rig as described could not be there"))
    return "; ".join(told)


def _read(fit: Fit, system: str) -> str:
    assert fit.expected is not None  # it has not expired
    assert fit.ratio is not None
    facts = {
        "seen": figure(fit.seen, "bar", system),
        "speed": figure(fit.pump_speed_read, "rpm"),
        "expected": figure(fit.expected, "bar", system),
        "share": apart_words(fit, system),
    }
    if not facts["share"]:
        return _("{seen} at {speed}, as expected").format(**facts)
    words = _("{seen} at {speed}, {share} below the {expected} expected")
    if fit.ratio > 1.0:
        words = _("{seen} at {speed}, {share} above the {expected} expected")
    return words.format(**facts)


def _alive(fit: Fit) -> list[str]:
    alive = [one for one in fit.explanations if one.alive]
    return [f"{explanation_name(one)} ({_(OF[one.what]).format(share=share_figure(one.share[1]))})" for one in alive]


def _explained(explanation: Explanation) -> dict[str, Any]:
    facts: dict[str, Any] = {
        "what": explanation.what,
        "share": [kept(end) for end in explanation.share],
        "alive": explanation.alive,
    }
    if explanation.against:
        facts["against"] = explanation.against
    if explanation.pump_speed is not None:
        facts["pump_speed_rpm"] = _spanned(explanation.pump_speed, "rpm")
        facts["recoil_n"] = [_spanned(push, "N") for push in explanation.recoil]
    if explanation.flow is not None:
        facts["flow_l_min"] = kept(explanation.flow, "L/min")
    if explanation.flush is not None:
        facts["flush_bar"] = kept(explanation.flush, "bar")
    return facts


def _spanned(span: Span, unit: str) -> list[float | None]:
    return [kept(end, unit) for end in span]
