"""A plan as a table for a terminal or a printer: what to set first, then what must be seen, then what it asks."""

import io
import re
from collections.abc import Iterable, Sequence

from rich.console import Console, Group, JustifyMethod, RenderableType
from rich.padding import Padding
from rich.rule import Rule
from rich.table import Table
from rich.text import Text

from jetwright.limits.limit import Limit, Verdict
from jetwright.plan.answer import Plan, RunItem, TakenAs, TaskPlan, ToolState
from jetwright.report import figures
from jetwright.report.figures import number, printed, unit_for
from jetwright.report.wording import (
    _,
    caution,
    cure_words,
    limit_name,
    margin_words,
    ngettext,
    not_yet_judged,
    source_words,
    taken_words,
    verdict_words,
)
from jetwright.rig.description import Job, Tool

SHAPE: dict[Verdict, str] = {"within": "■", "look": "▲", "not_allowed": "●", "not_judged": "□"}
"""A shape beside every verdict, after the logic of ISO 3864: disc, triangle, square."""

STYLE: dict[Verdict, str] = {"within": "green", "look": "yellow", "not_allowed": "bold red", "not_judged": ""}
MARK = 12
"""The bound's place on a limit's bar; what is left of it is room."""
BAR = 16
GLUE = "\ue000"
"""Stands for the space between a number and its unit until the lines are broken."""
KILOGRAM_FORCE = 9.80665
"""What one kilogram weighs: standard gravity, by definition. [N]"""


def plan_table(plan: Plan, job: Job, system: str = "si", width: int = 100, colour: bool = False) -> str:
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

    Examples
    --------
    >>> from jetwright.rig.description import Bypass, Drive, Pump, Supply, Unit
    >>> unit = Unit("Wren", Drive("hydrostatic"), Pump(8.0, 1e8), Bypass("hand-set", "tank"))
    >>> job = Job("Bund", Supply(3e5, 0.002, 290.0), unit, ())
    >>> print(plan_table(Plan("Bund", "eu-generic", "0.1", ()), job).splitlines()[0])
    Bund

    References
    ----------
    Our own layout.
    """
    out = io.StringIO()
    console = Console(
        file=out,
        width=width,
        force_terminal=colour,
        color_system="standard" if colour else None,
        no_color=not colour,
        highlight=False,
        markup=False,
        emoji=False,
        legacy_windows=False,
        _environ={},
    )
    console.print(_head(plan, job, system))
    if len(plan.tasks) > 1:
        console.print(_glance(plan, job, system))
    shared = _shared(plan)
    for place, task in enumerate(plan.tasks, 1):
        console.print(_task(place, task, job, system, shared))
    if shared:
        console.print(Text(""), _rule(), _taken(_("Taken for every task, because nobody measured it"), shared, system))
    console.print(_foot())
    return "\n".join(line.rstrip() for line in out.getvalue().replace(GLUE, " ").splitlines()) + "\n"


def _figure(value: float, unit: str, system: str = "si") -> str:
    """Number and unit that stay on one line."""
    return figures.figure(value, unit, system).replace(" ", GLUE)


def _glued(words: str) -> str:
    """Words in which no number is parted from what follows it."""
    return re.sub(r"(?<=\d) ", GLUE, words)


def _percent(share: float) -> str:
    return figures.percent(share).replace(" ", GLUE)


def _head(plan: Plan, job: Job, system: str) -> RenderableType:
    line = " · ".join(
        [
            job.unit.name,
            _("water {temperature}, {pressure} supply").format(
                temperature=_figure(job.supply.temperature, "degC", system),
                pressure=_figure(job.supply.pressure, "bar", system),
            ),
            _("rules {name} {version}").format(name=plan.rule_set, version=plan.rule_set_version),
        ]
    )
    return Group(Text(plan.title, style="bold"), Text(line))


def _rule() -> RenderableType:
    return Rule(style="", characters="─")


def _grid(*sides: JustifyMethod, whole: Sequence[int] = ()) -> Table:
    """Columns without heads; those counted in `whole` are never broken."""
    table = Table(box=None, show_header=False, padding=(0, 2, 0, 0), pad_edge=False)
    for place, side in enumerate(sides):
        table.add_column(justify=side, overflow="fold", no_wrap=place in whole)
    return table


def _listing(heads: Sequence[tuple[str, JustifyMethod]], rows: Iterable[Sequence[str | Text]]) -> Table:
    table = Table(box=None, padding=(0, 2, 0, 0), pad_edge=False, header_style="")
    for text, side in heads:
        table.add_column(text, justify=side, overflow="fold")
    for row in rows:
        table.add_row(*row)
    return table


def _section(title: str, *content: RenderableType) -> RenderableType:
    return Group(Text(""), Text(title, style="bold"), *(Padding(c, (0, 0, 0, 2)) for c in content))


def _verdict(verdict: Verdict) -> Text:
    return Text(f"{SHAPE[verdict]} {verdict_words(verdict)}", style=STYLE[verdict])


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
                _verdict(task.verdict),
                _or_none(setting.pump_speed, "rpm", system),
                _bypass_word(setting.bypass),
                _or_none(setting.pump_pressure, "bar", system),
            ]
        )
    return Group(Text(""), _listing(heads, rows))


def _or_none(value: float | None, unit: str, system: str) -> str:
    return _("not to be had") if value is None else _figure(value, unit, system)


def _bypass_word(word: str) -> str:
    return {
        "closed": _("closed"),
        "part open": _("part open"),
        "open": _("fully open"),
        "regulating": _("regulating"),
    }.get(word, word)


def _task(place: int, task: TaskPlan, job: Job, system: str, shared: Sequence[TakenAs]) -> RenderableType:
    head = Table.grid(expand=True)
    head.add_column(overflow="fold")
    head.add_column(justify="right", no_wrap=True)
    head.add_row(Text(f"{place}  {task.name}", style="bold"), _verdict(task.verdict))
    judged = sum(limit.verdict != "not_judged" for limit in task.limits)
    parts: list[RenderableType] = [
        Text(""),
        _rule(),
        head,
        Text(
            ngettext(
                "{n} limit judged; the rest must be checked by hand, see the end",
                "{n} limits judged; the rest must be checked by hand, see the end",
                judged,
            ).format(n=judged),
            justify="right",
        ),
        _settings(task, job, system),
    ]
    if task.reach is not None:
        parts.append(_reach(task, job, system))
    if task.verdict != "not_allowed":
        parts.append(_proof(task, job, system))
    parts.append(_limits(task.limits, system))
    parts.append(_tools(task, job, system))
    if task.hose_run:
        parts.append(_hose_run(task, system))
    parts.append(_power(task, job, system))
    own = [taken for taken in task.taken_as if taken not in shared]
    if own:
        parts.append(_taken(_("Taken, because nobody measured it"), own, system))
    return Group(*parts)


def _settings(task: TaskPlan, job: Job, system: str) -> RenderableType:
    setting, unit = task.setting, job.unit
    asked = task.verdict == "not_allowed"
    grid = _grid("left", "right", "left", "left", whole=(0, 1, 2))
    direct = unit.drive.kind == "direct"

    def row(label: str, value: str, unit_text: str, note: str) -> None:
        grid.add_row(label, Text(value, style="bold"), Text(unit_text, style="bold"), note)

    if setting.pump_speed is not None and ("pump speed" in unit.shows or not unit.shows):
        note = "" if asked else _("about; the gauge decides")
        if not unit.shows and not asked:
            note = _("about; the panel shows no speed: raise it by the gauge")
        if asked and unit.pump.top_speed < setting.pump_speed:
            note = _("asked for; top speed is {speed}").format(speed=_figure(unit.pump.top_speed, "rpm"))
        row(_("Pump speed"), number(setting.pump_speed, "rpm"), "rpm", note)
    if setting.engine_speed is not None and ("engine speed" in unit.shows or (direct and not unit.shows)):
        note = _("nobody sets it: the lowest that carries the load and reaches the pump speed")
        if direct:
            note = "" if asked else _("about; the gauge decides")
        row(_("Engine speed"), number(setting.engine_speed, "rpm"), "rpm", note)
    if setting.pump_speed is None:
        row(_("Pump speed"), "–", "", _("this target is not to be had at any speed"))
    grid.add_row(
        _("Bypass"),
        Text(_bypass_word(setting.bypass), style="bold"),
        "",
        "" if asked else _bypass_note(task, job, system),
    )
    if setting.pump_pressure is not None:
        tips = [tool.nozzle for tool in task.tools]
        note = _("on the pump's gauge") if asked else _("the target, on the pump's gauge")
        if tips:
            shown = _(" and ").join(dict.fromkeys(_figure(p, "bar", system) for p in tips))
            note += "; " + _("{pressure} at the tip").format(pressure=shown)
        row(_("Gauge"), number(setting.pump_pressure, "bar", system), printed("bar", system), note)
    return _section(_("Asked for, and not to be set") if asked else _("Set"), grid)


def _bypass_note(task: TaskPlan, job: Job, system: str) -> str:
    setting, bypass = task.setting, job.unit.bypass
    area = _figure(setting.bypass_area, "mm2", system)
    if setting.bypass == "part open":
        note = _("at start speed close it slowly until the gauge shows the target; about {area} open").format(area=area)
        if setting.bypass_open_share is not None:
            note += _(", {share} of fully open").format(share=_percent(setting.bypass_open_share))
        if setting.pump_flow:
            share = _percent(setting.bypass_flow / setting.pump_flow)
            flow = _figure(setting.bypass_flow, "L/min", system)
            note += "; " + _("it spills {flow}, {share} of the pump's flow").format(flow=flow, share=share)
        return note
    if setting.bypass == "open":
        return _("leave it fully open; the gauge must show the target")
    if setting.bypass == "regulating":
        note = _("trigger held, set the valve until the gauge shows the target")
        if setting.opening_pressure is not None:
            note += "; " + _("it then opens at about {pressure}").format(
                pressure=_figure(setting.opening_pressure, "bar", system)
            )
        if setting.pump_flow:
            note += "; " + _("spills {flow}, {share}").format(
                flow=_figure(setting.bypass_flow, "L/min", system),
                share=_percent(setting.bypass_flow / setting.pump_flow),
            )
        return note
    if bypass.kind == "unloader":
        return _("the unloader stays shut while the trigger is held")
    if bypass.kind == "regulating":
        return _("the valve stays shut; nothing spills")
    proving = task.proving_point
    if setting.pump_speed is not None and setting.pump_speed > proving.pump_speed * 1.001:
        return _("shut it at start speed, {speed}; leave it shut, then raise the speed").format(
            speed=_speeds(proving.pump_speed, job)
        )
    return _("shut it at start speed and leave it shut")


def _speeds(pump_speed: float, job: Job) -> str:
    """A speed in what the panel shows."""
    unit = job.unit
    engine_only = "engine speed" in unit.shows and "pump speed" not in unit.shows
    if engine_only and unit.drive.kind == "direct" and unit.drive.ratio:
        return _("engine {speed}").format(speed=_figure(pump_speed * unit.drive.ratio, "rpm"))
    return _figure(pump_speed, "rpm")


def _reach(task: TaskPlan, job: Job, system: str) -> RenderableType:
    reach = task.reach
    assert reach is not None
    opened = any(limit.id == "bypass.range" and limit.verdict == "not_allowed" for limit in task.limits)
    top = job.unit.pump.top_speed
    if opened:
        how = _("bypass fully open at start speed, {speed}")
    elif reach.pump_speed < top * (1.0 - 1e-6):
        how = _("bypass shut at {speed}, the fastest the engine turns the pump")
    else:
        how = _("bypass shut at top speed, {speed}")
    line = _("{nozzle} at the tip, gauge {gauge}, {flow} through the jets: {how}").format(
        nozzle=_figure(reach.nozzle, "bar", system),
        gauge=_figure(reach.pump_pressure, "bar", system),
        flow=_figure(reach.flow, "L/min", system),
        how=how.format(speed=_speeds(reach.pump_speed, job)),
    )
    return _section(_("The nearest this unit comes"), Text(line))


def _proof(task: TaskPlan, job: Job, system: str) -> RenderableType:
    point = task.proving_point
    bypass = _("bypass shut")
    if job.unit.bypass.kind == "regulating":
        bypass = _("valve screwed shut") if point.bypass_area == 0.0 else _("valve part open")
    elif job.unit.bypass.kind == "unloader":
        bypass = _("unloader shut")
    elif point.bypass_area > 0.0:
        bypass = _("bypass {area} open").format(area=_figure(point.bypass_area, "mm2", system))
        full = job.unit.bypass.full_open_area
        if full:
            bypass += _(", {share} of fully open").format(share=_percent(point.bypass_area / full))
    grid = _grid("left", "right", "left", "left", whole=(0, 1, 2))
    grid.add_row(
        _("Gauge"),
        Text(number(point.gauge, "bar", system), style="bold"),
        Text(printed("bar", system), style="bold"),
        _("at {speed}, {bypass}, trigger held").format(speed=_speeds(point.pump_speed, job), bypass=bypass),
    )
    why = _(
        "Above it: plugged or smaller tip. Below it: worn or wrong tip, leak, weak pump. "
        "Nobody goes on until it is explained."
    )
    return _section(_("Proving point, before the pressure is raised"), grid, Text(why))


def _limits(limits: Sequence[Limit], system: str) -> RenderableType:
    table = _grid("left", "left", "right", "left", "left", "left", whole=(0, 2, 3))
    cures: list[str] = []
    for limit in limits:
        unit = unit_for(limit.quantity, limit.bound or 0.0)
        table.add_row(
            Text(SHAPE[limit.verdict], style=STYLE[limit.verdict]),
            limit_name(limit.id, limit.quantity),
            _of(limit, unit, system),
            Text(_bar(limit), style=STYLE[limit.verdict]),
            margin_words(limit),
            _source(limit),
        )
        cures += [cure_words(cure, system) for cure in limit.cures]
    content: list[RenderableType] = [table]
    if cures:
        content += [Text(""), Text(_("What would cure it, each solved again:"), style="bold")]
        content += [Text("→ " + _glued(words)) for words in dict.fromkeys(cures)]
    return _section(_("Limits"), *content)


def _source(limit: Limit) -> str:
    if limit.verdict == "not_judged":
        return ""
    return source_words(limit.source) + ("" if limit.verified else _(", unread"))


def _of(limit: Limit, unit: str, system: str) -> str:
    if limit.value is None:
        return "" if limit.bound is None else _("– of {bound}").format(bound=_plainly(limit.bound, unit, system))
    if limit.bound is None:
        return _plainly(limit.value, unit, system)
    if not unit:
        return _("{value}, at most {bound}").format(value=_percent(limit.value), bound=_percent(limit.bound))
    if limit.id == "bypass.range" and limit.quantity == "speed":
        return _("{value}, at least {bound}").format(
            value=number(limit.value, unit, system), bound=_figure(limit.bound, unit, system)
        )
    return _("{value} of {bound}").format(
        value=number(limit.value, unit, system), bound=_figure(limit.bound, unit, system)
    )


def _plainly(value: float, unit: str, system: str) -> str:
    return _figure(value, unit, system) if unit else _percent(value)


def _bar(limit: Limit) -> str:
    """Value against a bound at a fixed mark; an overrun runs past it."""
    if limit.value is None or not limit.bound:
        return ""
    filled = min(BAR, max(0, round(MARK * limit.value / limit.bound)))
    if limit.value > limit.bound:
        filled = max(filled, MARK + 1)
    cells = ["█" if place < filled else "░" for place in range(BAR)]
    cells.insert(MARK, "│")
    return "".join(cells)


def _holder(tool: Tool | None) -> str:
    if tool is None:
        return ""
    held = tool.held_by or ("hand" if tool.kind == "hand lance" else "machine")
    words = {
        "hand": _("hand"),
        "carrier": _("carrier"),
        "machine": _("machine"),
        "hose": _("its hose"),
    }
    return words.get(held, held)


def _push(tool: ToolState, system: str) -> str:
    if round(tool.recoil, 3) == 0.0:
        return "0 " + printed("N", system)
    words = _("back {force}") if tool.recoil > 0.0 else _("forward {force}")
    return words.format(force=_force(abs(tool.recoil), system))


def _force(newton: float, system: str) -> str:
    text = _figure(newton, "N", system)
    if system == "si":
        text += f"{GLUE}({_figure(newton / KILOGRAM_FORCE, 'kg')})"
    return text


def _tools(task: TaskPlan, job: Job, system: str) -> RenderableType:
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
                _figure(tool.inlet, "bar", system),
                _figure(tool.nozzle, "bar", system),
                _figure(tool.flow, "L/min", system),
                _push(tool, system),
                _figure(tool.recoil_side, "N", system) if round(tool.recoil_side, 3) else "0 " + printed("N", system),
                _figure(tool.jet_power, "kW", system),
                _holder(job.tools.get(tool.tool)),
            ]
        )
        for jet in tool.jets:
            bore = _("rated") if jet.bore is None else _figure(jet.bore, "mm", system)
            jets.append(
                [
                    name,
                    f"{jet.count} × {jet.tip}",
                    bore,
                    _("{flow} each").format(flow=_figure(jet.flow, "L/min", system)),
                    _figure(jet.speed, "m/s", system),
                ]
            )
        if tool.leak > 0.0:
            jets.append([name, _("leak"), "", _figure(tool.leak, "L/min", system), ""])
    jet_heads: list[tuple[str, JustifyMethod]] = [
        (_("Jets of"), "left"),
        (_("Tips"), "left"),
        (_("Bore"), "right"),
        (_("Flow"), "right"),
        (_("Speed"), "right"),
    ]
    title = _("Tools") if task.setting.pump_speed is not None else _("Tools, at the most this unit gives")
    return _section(title, _listing(heads, rows), Text(""), _listing(jet_heads, jets))


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
                _figure(item.inlet, "bar", system),
                _figure(item.outlet, "bar", system),
                _figure(item.inlet - item.outlet, "bar", system),
                _figure(item.speed, "m/s", system),
            ]
        )
    loss = sum(item.inlet - item.outlet for item in task.hose_run)
    if len(rows) > 1 and not several:
        rows.append([_("in all"), "", "", _figure(loss, "bar", system), ""])
    return _section(_("Hose run"), _listing(heads, rows))


def _branch(item: RunItem) -> str:
    return _("main") if item.branch == 0 else _("branch {n}").format(n=item.branch)


def _power(task: TaskPlan, job: Job, system: str) -> RenderableType:
    grid = _grid("left", "left")
    power, use, setting = task.power, task.use, task.setting
    if power is not None:
        parts = [
            _("{power} in the water").format(power=_figure(power.hydraulic, "kW", system)),
            _("{power} at the pump shaft").format(power=_figure(power.shaft, "kW", system)),
            _("{power} from the engine").format(power=_figure(power.engine, "kW", system)),
        ]
        if power.engine_load is not None:
            load = _("{share} of what it gives").format(share=_percent(power.engine_load))
            if setting.engine_speed is not None:
                load += " " + _("at {speed}").format(speed=_figure(setting.engine_speed, "rpm"))
            parts.append(load)
        grid.add_row(_("Power"), ", ".join(parts))
    if use is not None:
        parts = [_("water {flow}").format(flow=_figure(use.water, "L/min", system))]
        if use.fuel is not None:
            parts.append(_("fuel {flow}").format(flow=_figure(use.fuel, "L/h", system)))
        if use.def_fluid:
            parts.append(_("DEF {flow}").format(flow=_figure(use.def_fluid, "L/h", system)))
        grid.add_row(_("Use"), ", ".join(parts))
        if use.water > job.supply.flow * 1.0001:
            grid.add_row(
                "",
                _("more than the supply gives, {flow}: the tank runs down").format(
                    flow=_figure(job.supply.flow, "L/min", system)
                ),
            )
        if use.bypass_temperature is not None and setting.bypass_flow > 0.0:
            grid.add_row(
                "",
                _("water comes back from the bypass at {t}").format(t=_figure(use.bypass_temperature, "degC", system)),
            )
    return _section(_("Power and use"), grid)


def _shared(plan: Plan) -> list[TakenAs]:
    """What every one of several tasks takes alike: said once, at the end."""
    if len(plan.tasks) < 2:
        return []
    return [taken for taken in plan.tasks[0].taken_as if all(taken in task.taken_as for task in plan.tasks[1:])]


def _taken(title: str, taken_as: Iterable[TakenAs], system: str) -> RenderableType:
    grid = _grid("left", "left", "left")
    for taken in taken_as:
        grid.add_row(taken.key, *map(_glued, taken_words(taken, system)))
    return _section(title, grid)


def _foot() -> RenderableType:
    return Group(Text(""), _rule(), Text(not_yet_judged(), style="bold"), Text(""), Text(caution()))
