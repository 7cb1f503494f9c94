"""Readings with what they say, on a page of their own."""

from collections.abc import Iterable, Sequence

from rich.align import Align
from rich.console import RenderableType
from rich.table import Table
from rich.text import Text

from jetwright.plan.answer import Explanation, Fit, Plan, ProvingPoint
from jetwright.plan.fit import BORDER, Fitted
from jetwright.plan.setting import Machine
from jetwright.report.figures import figure, number, percent
from jetwright.report.fit import (
    DAY_ALONE,
    OF,
    apart_words,
    deciding,
    expired_words,
    explanation_name,
    follow_lines,
    next_words,
    share_figure,
)
from jetwright.report.gauge import gauge_figure
from jetwright.report.limits_table import limits_section
from jetwright.report.plan_table import foot, head
from jetwright.report.steps import stem_words
from jetwright.report.terminal import glued, grid, page, rule, section, verdict
from jetwright.report.wording import N_, _
from jetwright.rig.description import Gauge, Job, Reading, Unit

AGAINST = {
    "range": N_("not alone: {share} is more than is plausible"),
    "new": N_("not alone: the tips are new, and it would take {share}"),
    "pin": N_("not alone: the pin gauge speaks against it"),
    "flow": N_("not alone: the measured flow speaks against it"),
    "flush": N_("not alone: the gauge with the tips off speaks against it"),
}
CHECK_LOW = (
    N_("Is the bypass shut, or as far open as the plan has it? Is the trigger pressed all the way?"),
    N_("Are the tips the ones that are written, and how worn? Is a jet missing its tip?"),
    N_("Does anything leak: packings, valves, swivel, a coupling, the relief?"),
    N_("Is the speed true, is there enough water at the inlet, is there air in it?"),
    N_("Does the gauge stand at zero without pressure, and what does another gauge show?"),
)
CHECK_HIGH = (
    N_("Depressurise first: is a jet plugged, or a tip smaller than written?"),
    N_("Is the trigger or a valve of the run only half open, a hose kinked or narrower than written?"),
    N_("Is the bypass as far open as the plan has it?"),
    N_("Is the speed true?"),
    N_("Does the gauge stand at zero without pressure, and what does another gauge show?"),
)
"""What is looked at before a reading so far off is used."""


def fit_table(
    plan: Plan,
    job: Job,
    found: Sequence[Fitted],
    system: str = "si",
    width: int = 100,
    colour: bool = False,
    kept: bool = True,
) -> str:
    """Readings with what they say as text. [-]

    Parameters
    ----------
    plan : Plan
        Title, rules and day. [-]
    job : Job
        As described. [-]
    found : Sequence of Fitted
        The readings. [-]
    system : str
        "si" or "us". [-]
    width : int
        Widest line. [-]
    colour : bool
        Colour and weight for a terminal; the text is the same without. [-]
    kept : bool
        They stand in the job file. [-]

    Examples
    --------
    >>> import datetime
    >>> from jetwright.limits.rules import RuleSet
    >>> from jetwright.rig.example import JOB
    >>> plan = Plan("Bund", RuleSet("no", "1", "Norway", {}), (), datetime.date(2026, 3, 2))
    >>> print(fit_table(plan, JOB, ()).splitlines()[3])
    No reading is kept here. One is taken at the proving point and typed with --speed and --gauge.

    References
    ----------
    Our own layout.
    """
    content = [head(plan, job, system)]
    if not found:
        words = _("No reading is kept here. One is taken at the proving point and typed with --speed and --gauge.")
        content += [Text(""), Text(words)]
    for one in found:
        content += _fitted(one, job, system, width, kept=kept)
    if not kept and any(one.fit.adopted and not one.refused_without for one in found):
        content += [Text(""), Text(_("Not kept in the job file: --adopt keeps it, and its plans hold to it."))]
    return page([*content, foot(plan, system)], width, colour)


# ---- its parts -------------------------------------------------------------------------------------------------------


def _state(fit: Fit, *, kept: bool, refused: bool) -> str:
    if fit.expired:
        return _("no longer holds")
    if not fit.adopted or (refused and not kept):
        return _("not adopted")
    return _("adopted") if kept else _("can be adopted")


def _fitted(one: Fitted, job: Job, system: str, width: int, *, kept: bool) -> Iterable[RenderableType]:
    fit, gauge = one.fit, job.unit.gauge
    line = Table.grid(expand=True)
    line.add_column(overflow="fold")
    line.add_column(justify="right", no_wrap=True)
    state = _state(fit, kept=kept, refused=one.refused_without)
    line.add_row(Text(one.reading.task, style="bold"), Text(state, style="bold"))
    yield from (Text(""), rule(), line, Align.right(verdict(one.verdict)))
    if one.refused:
        words = _(
            "The task is not allowed after this reading: nothing here is to be set. Kept, its plans refuse it too."
        )
        if one.refused_without:
            words = _("The task is not allowed with this rig: nothing here is to be set, whatever the gauge shows.")
        yield Text(words, style="bold")
    yield section(_("Reading"), _reading(one, system))
    if fit.expired or fit.ratio is None:
        told = []
        if one.proving is not None and not one.refused:
            told.append(Text(glued(_another(one.proving, job.unit, system))))
        yield section(_("Not used: {why}").format(why=expired_words(fit)), *told)
        yield from _limits(one, job, system, width)
        return
    table = grid("left", "left", whole=(0,))
    for explanation in fit.explanations:
        table.add_row(explanation_name(explanation), glued(_says(explanation, gauge, system, refused=one.refused)))
    yield section(_("What would explain it alone"), table)
    if fit.adopted and one.machine is not None:
        lines = _conclusions(one, one.machine, job.unit.pump.top_speed, system)
        yield section(_("What follows"), *(Text(glued(line)) for line in lines))
    else:
        checks = CHECK_LOW if fit.ratio < 1.0 else CHECK_HIGH
        yield section(_("Explain it first: nobody goes on until then"), *(Text(_(words)) for words in checks))
    yield from _limits(one, job, system, width)
    if fit.next and not one.refused:
        yield section(_("Next reading"), Text(glued(next_words(fit))))


def _limits(one: Fitted, job: Job, system: str, width: int) -> Iterable[RenderableType]:
    told = deciding(one)
    if told:
        yield limits_section(told, system, width, every=True, unit=job.unit)


def _reading(one: Fitted, system: str) -> RenderableType:
    fit, reading = one.fit, one.reading
    table = grid("left", "left", whole=(0,))
    shut = _("bypass shut")
    if fit.bypass_area > 0.0:
        shut = _("bypass open by {area}").format(area=figure(fit.bypass_area, "mm2", system))
    taken = _("{gauge} at {speed}, {bypass}, on {day}").format(
        gauge=figure(fit.seen, "bar", system),
        speed=figure(fit.pump_speed_read, "rpm"),
        bypass=shut,
        day=fit.day.isoformat(),
    )
    table.add_row(_("Seen"), glued(", ".join([taken, *_measured(reading, system)])))
    if fit.day_alone:
        table.add_row("", glued(_(DAY_ALONE)))
    if fit.expected is not None:
        table.add_row(_("Expected"), glued(figure(fit.expected, "bar", system)))
        apart = _("{apart}; up to {border} is adopted").format(apart=_apart(fit, system), border=percent(BORDER))
        table.add_row(_("Apart"), glued(apart))
    return table


def _measured(reading: Reading, system: str) -> list[str]:
    told = {"new": [_("tips new")], "pinned": [_("tips gauged")]}.get(reading.tips, [])
    if reading.flow is not None:
        told.append(_("flow {flow}").format(flow=figure(reading.flow, "L/min", system)))
    if reading.pin is not None:
        told.append(_("tip bore {bore}").format(bore=figure(reading.pin, "mm", system)))
    if reading.flush is not None:
        told.append(_("{pressure} with the tips off").format(pressure=figure(reading.flush, "bar", system)))
    return told


def _apart(fit: Fit, system: str) -> str:
    share = apart_words(fit, system)
    if not share:
        return _("as expected")
    words = _("{share} below") if fit.ratio is not None and fit.ratio < 1.0 else _("{share} above")
    return words.format(share=share)


def _says(explanation: Explanation, gauge: Gauge | None, system: str, *, refused: bool) -> str:
    low, middle, high = map(share_figure, explanation.share)
    share = _(OF[explanation.what]).format(share=middle)
    if not explanation.alive:
        return _(AGAINST[explanation.against]).format(share=share)
    told = [_("{share}, from {low} to {high}").format(share=share, low=low, high=high)]
    if explanation.pump_speed is not None:
        if not refused:
            told.append(figure(explanation.pump_speed[1], "rpm"))
        told += [figure(push[1], "N", system) for push in explanation.recoil]
    if refused:
        return "; ".join(told)
    if explanation.flow is not None:
        told.append(_("then flow {flow}").format(flow=figure(explanation.flow, "L/min", system)))
    if explanation.flush is not None:
        told.append(_("tips off {pressure}").format(pressure=gauge_figure(explanation.flush, gauge, system)))
    return "; ".join(told)


def _conclusions(one: Fitted, machine: Machine, top: float, system: str) -> list[str]:
    fit = one.fit
    told = follow_lines(fit, machine.bypass, machine.speed, system, refused=one.refused)
    if one.refused:
        return told
    if machine.bypass == "part open":
        told.insert(0, _("The bypass is closed until the gauge shows the target: its opening makes up for it"))
    alive = [explanation for explanation in fit.explanations if explanation.alive]
    speeds = [end for explanation in alive for end in explanation.pump_speed or ()]
    pushes = [*fit.recoil, *(end for explanation in alive for push in explanation.recoil for end in push)]
    if speeds and pushes:
        words = _("Between the ends of all that is alive and as planned: {low} to {high} rpm, {least} to {most}")
        told.append(
            words.format(
                low=number(min(speeds), "rpm"),
                high=number(max(speeds), "rpm"),
                least=number(min(pushes), "N", system),
                most=figure(max(pushes), "N", system),
            )
        )
    if fit.pump_speed is not None and fit.pump_speed[1] > top:
        words = _("Above top speed, {top}: the target is not to be had with this rig as it is")
        told.append(words.format(top=figure(top, "rpm")))
    if any(explanation.what == "gauge" and explanation.share[1] < 1.0 for explanation in alive):
        told.append(_("The gauge may read low: more than it shows may stand there, and that is judged"))
    return told


def _another(proving: ProvingPoint, unit: Unit, system: str) -> str:
    """How another reading is taken; at an opening that no hand can find it would tell of the hand alone."""
    words, opening = _("Take another at the proving point: {speed}, bypass shut, {gauge} expected."), ""
    if proving.bypass_area > 0.0:
        words = _("Take another at the proving point: {speed}, bypass open by {opening}, {gauge} expected.")
        opening = stem_words(proving.bypass_area, unit.bypass, system)
    if proving.bypass_area > 0.0 and not opening:
        words = _(
            "Before another is taken, count the bypass stem's turns from shut to fully open, pump off and locked."
        )
    return words.format(
        speed=figure(proving.pump_speed, "rpm"),
        opening=opening,
        gauge=gauge_figure(proving.gauge, unit.gauge, system),
    )
