"""A plan as a table for a terminal or a printer: what to set first, then what must be seen, then what it asks."""

import math
from collections.abc import Iterable, Sequence

from rich.console import Group, JustifyMethod, RenderableType
from rich.table import Table
from rich.text import Text

from jetwright.limits.limit import Limit
from jetwright.plan.answer import Plan, RunItem, StepAt, TakenAs, TaskPlan, ToolState
from jetwright.report.figures import half_width, number, printed, unit_for
from jetwright.report.fit import fit_lines
from jetwright.report.gauge import gauge_band, gauge_down, gauge_ends, gauge_figure, gauge_number, gauge_tolerance
from jetwright.report.goal import goal_section
from jetwright.report.inlet import inlet_section
from jetwright.report.limits import part_name, standing_words, worst_push
from jetwright.report.limits_table import counted_words, limits_section
from jetwright.report.pipe import pull_section
from jetwright.report.steps import OPENED, UNTURNED, numbered, stem_words, step_words
from jetwright.report.strike import jet_section
from jetwright.report.surface import coverage_section
from jetwright.report.terminal import GLUE, figure, glued, grid, listing, page, percent, rule, section, verdict
from jetwright.report.usage import usage_section
from jetwright.report.wording import (
    _,
    caution,
    force,
    holder_words,
    left_words,
    ngettext,
    release_words,
    rules_words,
    speed_words,
    stop_words,
    taken_words,
)
from jetwright.rig.description import Gauge, Job, Tool
from jetwright.solve.states import TriggerState

NARROW = 90
"""Below this width the tools stand in two tables."""
MOST_STATES = 8
"""More combinations of triggers than these are not listed one by one."""
ALWAYS = ("water.open_end", "water.fit_tip", "water.stops")
"""Steps before the run-up that stand on everything a crew acts on, with or without a gauge to be seen."""


def plan_table(
    plan: Plan, job: Job, system: str = "si", width: int = 100, colour: bool = False, short: bool = False
) -> str:
    """The plan as text. [-]

    Parameters
    ----------
    plan : Plan
        The answer. [-]
    job : Job
        What was asked: it says what the panel shows and who holds what. [-]
    system : str
        Units of all figures: "si" or "us". [-]
    width : int
        Widest line. [-]
    colour : bool
        Colour and weight for a terminal; the text is the same without. [-]
    short : bool
        What is set, seen and not within limits; not what the rig and the tools then do, nor what was taken. [-]

    Examples
    --------
    >>> import datetime
    >>> from jetwright.limits.rules import RuleSet
    >>> from jetwright.rig.description import Bypass, Drive, Pump, Supply, Unit
    >>> unit = Unit("Wren", Drive("hydrostatic"), Pump(8.0, 1e8), Bypass("hand-set", "tank"))
    >>> job = Job("Bund", Supply(3e5, 0.002, 290.0), unit, ())
    >>> plan = Plan("Bund", RuleSet("no", "1", "Norway", {}), (), datetime.date(2026, 3, 2))
    >>> print(plan_table(plan, job).splitlines()[0])
    Bund

    References
    ----------
    Our own layout.
    """
    shared = _shared(plan)
    content = [head(plan, job, system)]
    if len(plan.tasks) > 1:
        content.append(_glance(plan, job, system))
    for place, task in enumerate(plan.tasks, 1):
        content += task_head(place, task)
        content += _task(task, job, system, width, shared, short)
    if shared and not short:
        title = _("Taken for every task, because nobody measured it")
        content += [Text(""), rule(), _taken(title, shared, system)]
    return page([*content, foot(plan, system)], width, colour)


def check_table(plan: Plan, job: Job, system: str = "si", width: int = 100, colour: bool = False) -> str:
    """The limits alone as text, each on its own, the worst first. [-]

    Parameters
    ----------
    plan : Plan
        The answer. [-]
    job : Job
        What was asked. [-]
    system : str
        Units of all figures: "si" or "us". [-]
    width : int
        Widest line. [-]
    colour : bool
        Colour and weight for a terminal; the text is the same without. [-]

    Examples
    --------
    >>> import datetime
    >>> from jetwright.limits.rules import RuleSet
    >>> from jetwright.rig.description import Bypass, Drive, Pump, Supply, Unit
    >>> unit = Unit("Wren", Drive("hydrostatic"), Pump(8.0, 1e8), Bypass("hand-set", "tank"))
    >>> job = Job("Bund", Supply(3e5, 0.002, 290.0), unit, ())
    >>> plan = Plan("Bund", RuleSet("no", "1", "Norway", {}), (), datetime.date(2026, 3, 2))
    >>> print(check_table(plan, job).splitlines()[0])
    Bund

    References
    ----------
    Our own layout.
    """
    content = [head(plan, job, system)]
    for place, task in enumerate(plan.tasks, 1):
        content += task_head(place, task)
        content.append(limits_section(task.limits, system, width, every=True, unit=job.unit, cut=task.cures_cut))
    return page([*content, foot(plan, system)], width, colour)


def head(plan: Plan, job: Job, system: str) -> RenderableType:
    """What was planned, on which unit and water, by which rules, for which day. [-]

    Parameters
    ----------
    plan : Plan
        The answer. [-]
    job : Job
        What was asked. [-]
    system : str
        "si" or "us". [-]

    Examples
    --------
    >>> import datetime
    >>> from jetwright.limits.rules import RuleSet
    >>> from jetwright.rig.example import JOB
    >>> plan = Plan("Bund", RuleSet("no", "1", "Norway", {}), (), datetime.date(2026, 3, 2))
    >>> print(page([head(plan, JOB, "si")], 100, False).splitlines()[1])
    Trailer 7 · water 15 °C, 3.0 bar supply · rules no 1, 0 % read · 2026-03-02

    References
    ----------
    Our own layout.
    """
    line = " · ".join(
        [
            job.unit.name,
            _("water {temperature}, {pressure} supply").format(
                temperature=figure(job.supply.temperature, "degC", system),
                pressure=figure(job.supply.pressure, "bar", system),
            ),
            _("rules {name} {version}, {share} read").format(
                name=plan.rules.name, version=plan.rules.version, share=percent(plan.rules.verified_share)
            ),
            plan.day.isoformat(),
        ]
    )
    return Group(Text(plan.title, style="bold"), Text(line))


def task_head(place: int, task: TaskPlan) -> list[RenderableType]:
    """A task's place, name and verdict, and how many limits stand behind it. [-]

    Parameters
    ----------
    place : int
        In the job, from 1. [-]
    task : TaskPlan
        The task. [-]

    Examples
    --------
    >>> from jetwright.plan.answer import ProvingPoint, Setting
    >>> setting = Setting(None, None, None, None, "closed", 0.0, 0.0)
    >>> task = TaskPlan("Bund", "look", setting, ProvingPoint(2.0, 0.0, 1e7), (), (), None, None, (), ())
    >>> page(task_head(1, task), 60, False).splitlines()[2].split()
    ['1', 'Bund', '▲', 'look', 'first']

    References
    ----------
    Our own layout.
    """
    line = Table.grid(expand=True)
    line.add_column(overflow="fold")
    line.add_column(justify="right", no_wrap=True)
    line.add_row(Text(f"{place}  {task.name}", style="bold"), verdict(task.verdict))
    return [Text(""), rule(), line, Text(counted_words(task.limits), justify="right")]


def _glance(plan: Plan, job: Job, system: str) -> RenderableType:
    heads: list[tuple[str, JustifyMethod]] = [
        (_("Task"), "left"),
        (_("Verdict"), "left"),
        (_("Pump speed"), "right"),
        (_("Bypass"), "left"),
        (_("Gauge"), "right"),
    ]
    rows: list[list[str | Text]] = []
    for place, task in enumerate(plan.tasks, 1):
        setting = task.setting
        rows.append(
            [
                f"{place}  {task.name}",
                verdict(task.verdict),
                _or_none(setting.pump_speed, "rpm", system),
                _bypass_word(setting.bypass),
                _("not to be had")
                if setting.pump_pressure is None
                else glued(gauge_figure(setting.pump_pressure, job.unit.gauge, system)),
            ]
        )
    return Group(Text(""), listing(heads, rows))


def _or_none(value: float | None, unit: str, system: str) -> str:
    return _("not to be had") if value is None else figure(value, unit, system)


def _bypass_word(word: str) -> str:
    return {
        "closed": _("closed"),
        "part open": _("part open"),
        "open": _("fully open"),
        "regulating": _("regulating"),
    }.get(word, word)


def _task(
    task: TaskPlan, job: Job, system: str, width: int, shared: Sequence[TakenAs], short: bool
) -> Iterable[RenderableType]:
    if task.left is not None:
        act, what = left_words(task.left, system, gauge_figure(task.left.gauge, job.unit.gauge, system))
        yield Group(Text(""), Text(act, style="bold"), Text(glued(what)))
    yield _settings(task, job, system)
    read = fit_lines(task, job, system)
    if read and task.verdict != "not_allowed":
        yield section(_("Reading at the proving point"), *(Text(glued(line)) for line in read))
    if task.reach is not None:
        yield _reach(task, job, system)
    if task.verdict != "not_allowed":
        yield _proof(task, job, system)
        if task.run_up:
            yield _run_up(task.run_up, job, system)
    if task.release is not None:
        shown = glued(gauge_figure(task.release.gauge, job.unit.gauge, system))
        yield section(_("Letting go"), Text(release_words(task.release, system, shown)))
    if short:
        pressing = [one for one in task.limits if one.verdict in ("not_allowed", "look")]
        if pressing:
            yield limits_section(pressing, system, width, unit=job.unit, cut=task.cures_cut)
        yield _power(task, job, system)
        return
    yield limits_section(task.limits, system, width, unit=job.unit, cut=task.cures_cut)
    yield _tools(task, job, system, width)
    if len(task.tools) > 1 and task.states:
        yield _states(task, job.unit.gauge, system)
    if task.hose_run:
        yield _hose_run(task, system)
    yield _power(task, job, system)
    for told in (goal_section, jet_section, coverage_section, pull_section, inlet_section, usage_section):
        part = told(task, job, system)
        if part is not None:
            yield part
    own = [taken for taken in task.taken_as if taken not in shared]
    if own:
        yield _taken(_("Taken, because nobody measured it"), own, system)


def _settings(task: TaskPlan, job: Job, system: str) -> RenderableType:
    setting, unit = task.setting, job.unit
    asked = task.verdict == "not_allowed"
    table = grid("left", "right", "left", "left", whole=(0, 1, 2))
    direct = unit.drive.kind == "direct"

    def row(label: str, value: str, unit_text: str, note: str) -> None:
        table.add_row(label, Text(value, style="bold"), Text(unit_text, style="bold"), note)

    if setting.pump_speed is not None and ("pump speed" in unit.shows or not unit.shows):
        note = "" if asked else _("about; the gauge decides")
        if not unit.shows and not asked:
            note = _("about; the panel shows no speed: raise it by the gauge")
        if asked and unit.pump.top_speed < setting.pump_speed:
            note = _("asked for; top speed is {speed}").format(speed=figure(unit.pump.top_speed, "rpm"))
        row(_("Pump speed"), number(setting.pump_speed, "rpm"), "rpm" + _speed_band(task, 1.0), note)
    if setting.engine_speed is not None and ("engine speed" in unit.shows or (direct and not unit.shows)):
        note = _("nobody sets it: the lowest that carries the load and reaches the pump speed")
        if direct:
            note = "" if asked else _("about; the gauge decides")
        band = _speed_band(task, unit.drive.ratio) if direct and unit.drive.ratio else ""
        row(_("Engine speed"), number(setting.engine_speed, "rpm"), "rpm" + band, note)
    if setting.pump_speed is None:
        row(_("Pump speed"), "–", "", _("this target is not to be had at any speed"))
    table.add_row(
        _("Bypass"),
        Text(_bypass_word(setting.bypass), style="bold"),
        "",
        "" if asked else _bypass_note(task, job, system),
    )
    if setting.pump_pressure is not None:
        tips = [tool.nozzle for tool in task.tools]
        note = _("on the pump's gauge") if asked else _("the target, on the pump's gauge")
        if unit.gauge is None:
            note += "; " + _("no gauge is described")
        if tips:
            shown = _(" and ").join(dict.fromkeys(figure(p, "bar", system) for p in tips))
            note += "; " + _("{pressure} at the tip").format(pressure=shown)
        row(
            _("Gauge"),
            gauge_number(setting.pump_pressure, unit.gauge, system),
            printed("bar", system) + _gauge_band(task, unit.gauge, system),
            note,
        )
    return section(_("Asked for, and not to be set") if asked else _("Set"), table)


def _speed_band(task: TaskPlan, ratio: float) -> str:
    """How far the speed may be off; "" where nobody turns at it."""
    speed, tolerance = task.setting.pump_speed, task.tolerance
    if task.verdict == "not_allowed" or speed is None or tolerance is None or tolerance.pump_speed is None:
        return ""
    low, high = tolerance.pump_speed
    wide = half_width(speed * ratio, (low * ratio, high * ratio), "rpm")
    if wide is None:
        return _(", {low} to {high}").format(low=number(low * ratio, "rpm"), high=number(high * ratio, "rpm"))
    return f" ± {wide}"


def _gauge_band(task: TaskPlan, gauge: Gauge | None, system: str) -> str:
    pressure, tolerance = task.setting.pump_pressure, task.tolerance
    if task.verdict == "not_allowed" or pressure is None or tolerance is None:
        return ""
    ends = gauge_ends(pressure, tolerance)
    if ends is None:
        return ""
    apart = gauge_tolerance(pressure, *ends, gauge, system)
    return " " + apart.removesuffix(printed("bar", system)).strip()


def _bypass_note(task: TaskPlan, job: Job, system: str) -> str:
    setting, bypass = task.setting, job.unit.bypass
    if setting.bypass == "part open":
        opening = stem_words(setting.bypass_area, bypass, system)
        note = _("at start speed close it slowly until the gauge shows the target, by the gauge alone")
        if opening:
            words = _("at start speed close it slowly until the gauge shows the target; {opening} open")
            note = words.format(opening=opening)
        if setting.pump_flow:
            share = percent(setting.bypass_flow / setting.pump_flow)
            flow = figure(setting.bypass_flow, "L/min", system)
            note += "; " + _("it spills {flow}, {share} of the pump's flow").format(flow=flow, share=share)
        return note
    if setting.bypass == "open":
        return _("leave it fully open; the gauge must show the target")
    if setting.bypass == "regulating":
        note = _("trigger held, set the valve until the gauge shows the target")
        if setting.opening_pressure is not None:
            note += "; " + _("it then opens at about {pressure}").format(
                pressure=figure(setting.opening_pressure, "bar", system)
            )
        if setting.pump_flow:
            note += "; " + _("spills {flow}, {share}").format(
                flow=figure(setting.bypass_flow, "L/min", system),
                share=percent(setting.bypass_flow / setting.pump_flow),
            )
        return note
    if bypass.kind == "unloader":
        return _("the unloader stays shut while the trigger is held")
    if bypass.kind == "regulating":
        return _("the valve stays shut; nothing spills")
    proving = task.proving_point
    if setting.pump_speed is not None and setting.pump_speed > proving.pump_speed * 1.001:
        return _("shut it at start speed, {speed}; leave it shut, then raise the speed").format(
            speed=glued(speed_words(proving.pump_speed, job.unit))
        )
    return _("shut it at start speed and leave it shut")


def _reach(task: TaskPlan, job: Job, system: str) -> RenderableType:
    return section(_("The nearest this unit comes"), Text(reach_words(task, job, system)))


def reach_words(task: TaskPlan, job: Job, system: str = "si") -> str:
    """The nearest that a unit comes to a target it cannot meet; "" where it meets it. [-]

    Parameters
    ----------
    task : TaskPlan
        The task. [-]
    job : Job
        What was asked. [-]
    system : str
        "si" or "us". [-]

    Examples
    --------
    >>> from jetwright.plan.answer import ProvingPoint, Setting
    >>> from jetwright.rig.example import JOB
    >>> setting = Setting(None, None, None, None, "closed", 0.0, 0.0)
    >>> reach_words(TaskPlan("Bund", "look", setting, ProvingPoint(2.0, 0.0, 1e7), (), (), None, None, (), ()), JOB)
    ''

    References
    ----------
    Our own layout.
    """
    reach = task.reach
    if reach is None:
        return ""
    how = {
        "bypass": _("bypass fully open at start speed, {speed}"),
        "speed": _("bypass shut at top speed, {speed}"),
        "engine": _("bypass shut at {speed}, the fastest the engine turns the pump"),
        "relief": _("bypass shut at {speed}; faster the relief opens"),
        "pump": _("bypass shut at {speed}; faster the pump is above its rating"),
        "served": _("bypass shut at {speed}; faster the pressure is beyond what is served"),
    }[reach.stopped]
    return _("{nozzle} at the tip, gauge {gauge}, {flow} through the jets: {how}").format(
        nozzle=figure(reach.nozzle, "bar", system),
        gauge=glued(gauge_down(reach.pump_pressure, job.unit.gauge, system)),
        flow=figure(reach.flow, "L/min", system),
        how=how.format(speed=glued(speed_words(reach.pump_speed, job.unit))),
    )


def _proof(task: TaskPlan, job: Job, system: str) -> RenderableType:
    point = task.proving_point
    bypass = _("bypass shut")
    why = _(
        "Above it: plugged or smaller tip. Below it: worn or wrong tip, leak, weak pump. "
        "Nobody goes on until it is explained."
    )
    if job.unit.bypass.kind == "regulating":
        bypass = _("regulator in until nothing spills, no further")
        if point.bypass_area > 0.0:
            bypass = _("regulator in to this gauge")
    elif job.unit.bypass.kind == "unloader":
        bypass = _("unloader shut")
    elif point.bypass_area == job.unit.bypass.full_open_area:
        bypass = _("bypass fully open")
    elif point.bypass_area > 0.0:
        opening = stem_words(point.bypass_area, job.unit.bypass, system)
        bypass = _("bypass {opening} open").format(opening=opening) if opening else _("set by the gauge alone")
        why = _(OPENED) if opening else _(UNTURNED)
    gauge = job.unit.gauge
    shown = gauge_figure(point.gauge, gauge, system)
    if point.band is not None:
        shown = gauge_band(*point.band, gauge, system)
    table = grid("left", "left", "left", whole=(0,))
    held = _("at {speed}, {bypass}, trigger held")
    if task.run_up and all(step.facts.get("no_trigger") for step in task.run_up):
        held = _("at {speed}, {bypass}")
    table.add_row(
        _("Gauge"),
        Text(glued(shown), style="bold"),
        held.format(speed=glued(speed_words(point.pump_speed, job.unit)), bypass=bypass),
    )
    return section(_("Proving point, before the pressure is raised"), table, Text(why))


def _run_up(steps: Sequence[StepAt], job: Job, system: str) -> RenderableType:
    """The way up, with what the gauge must show; the steps before it that nobody may leave out; and the stop."""
    table = grid("right", "left", "right", "right", whole=(0, 2, 3))
    numbers = numbered(steps)
    shown = [
        (place, step)
        for place, step in numbers
        if step.order.startswith("run-up")
        or step.id in ALWAYS
        or (step.order == "before water" and step.gauge and step.gauge[1] > 0.0)
    ]
    for place, step in shown:
        gauge = "" if step.gauge is None else gauge_band(*step.gauge, job.unit.gauge, system)
        speed = "" if not step.pump_speed else glued(speed_words(step.pump_speed, job.unit))
        table.add_row(
            str(place), glued(step_words(step, system, job.unit.gauge)[0]), speed, Text(glued(gauge), style="bold")
        )
    low = next((step.gauge for step in steps if step.id == "stop.open"), None)
    stop = stop_words(steps, "" if low is None else gauge_band(*low, job.unit.gauge, system))
    if stop:
        shown_last = gauge_figure(0.0, job.unit.gauge, system)
        table.add_row(str(len(numbers) + 1), glued(stop), "", Text(glued(shown_last), style="bold"))
    told = [] if len(shown) == len(numbers) else [Text(_("Numbered as on the job sheet, which has every step."))]
    return section(_("Run-up, and what the gauge must show"), table, *told)


def _holder(tool: Tool | None) -> str:
    if tool is None:
        return ""
    return holder_words(tool.held_by or ("hand" if tool.kind == "hand lance" else "machine"))


def _push(tool: ToolState, system: str) -> str:
    if round(tool.recoil, 3) == 0.0:
        return "0 " + printed("N", system)
    words = _("back {force}") if tool.recoil > 0.0 else _("forward {force}")
    return words.format(force=force(abs(tool.recoil), system).replace(" ", GLUE))


def _tools(task: TaskPlan, job: Job, system: str, width: int) -> RenderableType:
    several = len(task.tools) > 1
    heads: list[tuple[str, JustifyMethod]] = [
        (_("Tool"), "left"),
        (_("At inlet"), "right"),
        (_("At tip"), "right"),
        (_("Flow"), "right"),
        (_("Push"), "left"),
        (_("Across"), "right"),
        (_("Jet power"), "right"),
        (_("Held by"), "left"),
    ]
    rows = []
    jets = []
    for tool in task.tools:
        name = f"{tool.branch}  {tool.tool}" if several else tool.tool
        rows.append(
            [
                name,
                figure(tool.inlet, "bar", system),
                figure(tool.nozzle, "bar", system),
                figure(tool.flow, "L/min", system),
                _push(tool, system),
                figure(tool.recoil_side, "N", system) if round(tool.recoil_side, 3) else "0 " + printed("N", system),
                figure(tool.jet_power, "kW", system),
                _holder(job.tools.get(tool.tool)),
            ]
        )
        for jet in tool.jets:
            bore = _("rated") if jet.bore is None else figure(jet.bore, "mm", system)
            jets.append(
                [
                    name,
                    f"{jet.count} × {jet.tip}",
                    bore,
                    _("{flow} each").format(flow=figure(jet.flow, "L/min", system)),
                    figure(jet.speed, "m/s", system),
                ]
            )
        if tool.leak > 0.0:
            jets.append([name, _("leak"), "", figure(tool.leak, "L/min", system), ""])
    jet_heads: list[tuple[str, JustifyMethod]] = [
        (_("Jets of"), "left"),
        (_("Tips"), "left"),
        (_("Bore"), "right"),
        (_("Flow"), "right"),
        (_("Speed"), "right"),
    ]
    title = _("Tools") if task.setting.pump_speed is not None else _("Tools, at the most this unit gives")
    person = _person(task.limits, several, system)
    wide = [listing(heads, rows)]
    if width < NARROW:  # two tables, so that no figure is broken
        parts = ((0, 1, 2, 3, 6), (0, 4, 5, 7))
        wide = [listing([heads[at] for at in part], [[row[at] for at in part] for row in rows]) for part in parts]
    return section(title, *wide, *person, Text(""), listing(jet_heads, jets))


def _person(limits: Sequence[Limit], several: bool, system: str) -> list[RenderableType]:
    """What whoever holds a tool in the hand must hold: as planned, at worst, and what a hand may."""
    told: list[RenderableType] = []
    for planned in limits:
        if planned.id != "recoil.hand" or planned.value is None:
            continue
        line = _("On the person: {force} as planned").format(force=force(planned.value, system))
        if several:
            line = _("On the person at {branch}: {force} as planned").format(
                branch=part_name(planned.about), force=force(planned.value, system)
            )
        worst = worst_push(limits, planned)
        if worst is not None:
            line += "; " + _("at most {force}: {when}").format(force=force(worst[0], system), when=worst[1])
        if planned.bound is not None:
            line += ". " + _("Held by hand like this: up to {force} ({source}).").format(
                force=force(planned.bound, system), source=standing_words(planned)
            )
        body = next((one for one in limits if one.id == "recoil.body" and one.about == planned.about), None)
        if body is not None and body.bound is not None:
            line += " " + _("By the lightest operator: up to {force} ({source}).").format(
                force=force(body.bound, system), source=standing_words(body)
            )
        told += [Text(""), Text(glued(line))]
    return told


def _states(task: TaskPlan, gauge: Gauge | None, system: str) -> RenderableType:
    """What each combination of triggers does, for whoever stands at another tool."""
    heads, *rows = state_rows(task, gauge, system)
    sides: tuple[JustifyMethod, ...] = ("left", "right", "right", "left")
    return section(_("When triggers are held and let go"), listing(list(zip(heads, sides, strict=True)), rows))


def state_rows(task: TaskPlan, gauge: Gauge | None, system: str = "si") -> list[list[str]]:
    """What each combination of triggers does: headings, then a row each. [-]

    Parameters
    ----------
    task : TaskPlan
        The task. [-]
    gauge : Gauge or None
        On the unit. [-]
    system : str
        "si" or "us". [-]

    Examples
    --------
    >>> from jetwright.plan.answer import ProvingPoint, Setting
    >>> setting = Setting(None, None, None, None, "closed", 0.0, 0.0)
    >>> state_rows(TaskPlan("Bund", "look", setting, ProvingPoint(2.0, 0.0, 1e7), (), (), None, None, (), ()), None)
    [['Held', 'Gauge', 'Over the bypass', 'Push on each tool held']]

    References
    ----------
    Our own layout.
    """
    states = list(task.states)
    if len(states) > MOST_STATES:
        states = [state for state in states if sum(state.held) in (0, len(state.held) - 1, len(state.held))]
    rows = [[_("Held"), _("Gauge"), _("Over the bypass"), _("Push on each tool held")]]
    for state in states:
        held = [str(number) for number, pressed in enumerate(state.held, 1) if pressed]
        pushes = [
            f"{number}: {figure(math.hypot(tool.along, tool.across), 'N', system)}"
            for number, (tool, pressed) in enumerate(zip(state.tools, state.held, strict=True), 1)
            if pressed
        ]
        spilt = "" if task.density is None else figure(state.bypass_flow / task.density, "L/min", system)
        rows.append([", ".join(held) or _("none"), _stands(state, gauge, system), spilt, ", ".join(pushes) or "–"])
    return rows


def _stands(state: TriggerState, gauge: Gauge | None, system: str) -> str:
    if state.pump_pressure is None:
        return _("nothing holds it")
    text = glued(gauge_figure(state.pump_pressure, gauge, system))
    if state.relief_flow > 0.0:
        return _("{gauge}, relief open").format(gauge=text)
    return _("{gauge}, unloader open").format(gauge=text) if state.unloaded else text


def _hose_run(task: TaskPlan, system: str) -> RenderableType:
    several = any(item.branch for item in task.hose_run)
    heads: list[tuple[str, JustifyMethod]] = [
        (_("From the pump outward"), "left"),
        (_("In"), "right"),
        (_("Out"), "right"),
        (_("Loss"), "right"),
        (_("Water"), "right"),
    ]
    rows: list[list[str]] = []
    for item in task.hose_run:
        name = f"{_branch(item)}  {item.item}" if several else item.item
        rows.append(
            [
                name,
                figure(item.inlet, "bar", system),
                figure(item.outlet, "bar", system),
                figure(item.inlet - item.outlet, "bar", system),
                figure(item.speed, "m/s", system),
            ]
        )
    loss = sum(item.inlet - item.outlet for item in task.hose_run)
    if len(rows) > 1 and not several:
        rows.append([_("in all"), "", "", figure(loss, "bar", system), ""])
    return section(_("Hose run"), listing(heads, rows))


def _branch(item: RunItem) -> str:
    return _("main") if item.branch == 0 else _("branch {n}").format(n=item.branch)


def _power(task: TaskPlan, job: Job, system: str) -> RenderableType:
    table = grid("left", "left")
    power, use, setting = task.power, task.use, task.setting
    if power is not None:
        parts = [
            _("{power} in the water").format(power=figure(power.hydraulic, "kW", system)),
            _("{power} at the pump shaft").format(power=figure(power.shaft, "kW", system)),
            _("{power} from the engine").format(power=figure(power.engine, "kW", system)),
        ]
        if power.engine_load is not None:
            load = _("{share} of what it gives").format(share=percent(power.engine_load))
            if setting.engine_speed is not None:
                load += " " + _("at {speed}").format(speed=figure(setting.engine_speed, "rpm"))
            parts.append(load)
        table.add_row(_("Power"), ", ".join(parts))
    if use is not None:
        parts = [_("water {flow}").format(flow=figure(use.water, "L/min", system))]
        if use.fuel is not None:
            parts.append(_("fuel {flow}").format(flow=figure(use.fuel, "L/h", system)))
        if use.def_fluid:
            parts.append(_("DEF {flow}").format(flow=figure(use.def_fluid, "L/h", system)))
        table.add_row(_("Use"), ", ".join(parts))
        lasts = None if task.water is None else task.water.lasts
        if lasts is None and task.water is not None and task.water.short > 0.0:
            gives = figure(use.water - task.water.short, "L/min", system)
            table.add_row("", _("more than the supply gives, {flow}").format(flow=gives))
        if task.water is not None and lasts is not None:
            table.add_row("", _minutes(lasts, task.water.short, system))
        if use.bypass_temperature is not None and setting.bypass_flow > 0.0:
            table.add_row(
                "",
                _("water comes back from the bypass at {t}").format(t=figure(use.bypass_temperature, "degC", system)),
            )
    if task.restraints is not None:
        needed = [
            ngettext("{n} whip check", "{n} whip checks", task.restraints.whip_checks).format(
                n=task.restraints.whip_checks
            ),
            ngettext("{n} hose shroud", "{n} hose shrouds", task.restraints.shrouds).format(n=task.restraints.shrouds),
        ]
        table.add_row(_("Restraints"), glued(", ".join(needed)))
    return section(_("Power and use"), table)


def _minutes(lasts: float, short: float, system: str) -> str:
    """Tank and supply together, in what a crew counts in."""
    return _("hydrant and tank last {time}: {flow} is short").format(
        time=figure(lasts, unit_for("time", lasts), system), flow=figure(short, "L/min", system)
    )


def _shared(plan: Plan) -> list[TakenAs]:
    """What every one of several tasks takes alike: said once, at the end."""
    if len(plan.tasks) < 2:
        return []
    return [taken for taken in plan.tasks[0].taken_as if all(taken in task.taken_as for task in plan.tasks[1:])]


def _taken(title: str, taken_as: Iterable[TakenAs], system: str) -> RenderableType:
    table = grid("left", "left", "left")
    for taken in taken_as:
        table.add_row(taken.key, *map(glued, taken_words(taken, system)))
    return section(title, table)


def foot(plan: Plan, system: str) -> RenderableType:
    """By which rules it was judged, and what no plan replaces. [-]

    Parameters
    ----------
    plan : Plan
        The answer. [-]
    system : str
        "si" or "us". [-]

    Examples
    --------
    >>> import datetime
    >>> from jetwright.limits.rules import RuleSet
    >>> plan = Plan("Bund", RuleSet("no", "1", "Norway", {}), (), datetime.date(2026, 3, 2))
    >>> page([foot(plan, "si")], 60, False).splitlines()[2]
    'Judged by no 1: Norway. Read at their source: 0 % of its'

    References
    ----------
    Our own layout.
    """
    told = [Text(glued(line)) for line in rules_words(plan.rules, system)]
    return Group(Text(""), rule(), *told, Text(""), Text(caution()))
