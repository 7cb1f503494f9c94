"""Draws as a table for a terminal or a printer: bands beside the plan's, then what decides and how to narrow it."""

import math
from collections.abc import Sequence

from rich.console import JustifyMethod, RenderableType
from rich.text import Text

from jetwright.plan.answer import Plan, TaskPlan, Tolerance
from jetwright.plan.draws import Draws, InputShare, Percentiles, apart
from jetwright.report.figures import number, printed
from jetwright.report.gauge import gauge_band, gauge_figure
from jetwright.report.plan_table import foot, head, task_head
from jetwright.report.terminal import GLUE, figure, glued, grid, listing, page, section
from jetwright.report.wording import _, ngettext
from jetwright.rig.description import Job

WIDE = 90
"""From this width on, what to measure stands in the table of the inputs; below it, under the table."""
LEAST_SHOWN = 0.01
"""An input that decides less than this share of every figure is named, without its shares; they are in the last row."""
SPEED_PLACE, PROVING_PLACE, TOOLS_PLACE = 1, 2, 3


def draws_table(
    plan: Plan,
    draws: Sequence[Draws | None],
    job: Job,
    system: str = "si",
    width: int = 100,
    colour: bool = False,
) -> str:
    """Draws as text. [-]

    Parameters
    ----------
    plan : Plan
        The plan that they were drawn around. [-]
    draws : Sequence
        One a task; None where its target is not to be had. [-]
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
    >>> from jetwright.rig.example import JOB
    >>> plan = Plan("Bund", RuleSet("no", "1", "Norway", {}), (), datetime.date(2026, 3, 2))
    >>> print(draws_table(plan, (), JOB).splitlines()[0])
    Bund

    References
    ----------
    Our own layout.
    """
    content: list[RenderableType] = [head(plan, job, system)]
    for place, (task, found) in enumerate(zip(plan.tasks, draws, strict=True), 1):
        content += task_head(place, task)
        if found is None or task.tolerance is None:
            content.append(Text(_("This target is not to be had at any speed: nothing was drawn.")))
        else:
            content += _task(task, found, task.tolerance, job, system, width)
    return page([*content, foot(plan, system)], width, colour)


def _task(task: TaskPlan, found: Draws, known: Tolerance, job: Job, system: str, width: int) -> list[RenderableType]:
    told: list[RenderableType] = []
    if task.verdict == "not_allowed":
        told.append(Text(_("Not allowed: these are the figures of what was asked for, and are not to be set.")))
    title = ngettext("Drawn {n} time", "Drawn {n} times", found.count).format(n=found.count)
    told.append(section(title, _bands(task, found, known, job, system, width), *_notes(task, found, known)))
    push = max(range(len(found.recoil)), key=lambda number: found.recoil[number].high)
    told.append(section(_("What decides, as a share of each figure's spread"), *_inputs(task, found, push, width)))
    return told


def _bands(task: TaskPlan, found: Draws, known: Tolerance, job: Job, system: str, width: int) -> RenderableType:
    gauge = job.unit.gauge
    rows: list[list[str]] = []

    def pressure(label: str, drawn: Percentiles, band: tuple[float, float]) -> None:
        shown = [gauge_band(*ends, gauge, system) for ends in ((drawn.low, drawn.high), band)]
        rows.append([label, glued(shown[0]), glued(gauge_figure(drawn.middle, gauge, system)), glued(shown[1])])

    def tool(label: str, drawn: Percentiles, most: float, unit: str) -> None:
        up_to = _("up to {most}").format(most=f"{number(most, unit, system, up=True)} {printed(unit, system)}")
        up_to = up_to.replace(" ", GLUE)
        rows.append([label, _between(drawn.low, drawn.high, unit, system), figure(drawn.middle, unit, system), up_to])

    pressure(_("Gauge at the target"), found.gauge, known.pump_pressure)
    turns = _panel(job)
    if turns is not None and known.pump_speed is not None:
        label, ratio = turns
        low, middle, high = (ratio * one for one in (found.speed.low, found.speed.middle, found.speed.high))
        band = _between(ratio * known.pump_speed[0], ratio * known.pump_speed[1], "rpm", system)
        rows.append([label, _between(low, high, "rpm", system), figure(middle, "rpm", system), band])
    pressure(_("Gauge at the proving point"), found.proving, task.proving_point.band or known.proving)
    several = len(task.tools) > 1
    for place, one in enumerate(task.tools):
        name = f"{one.branch} {one.tool}" if several else one.tool
        tool(_("{tool}: at the tip").format(tool=name), found.nozzle[place], known.nozzle[place], "bar")
        tool(_("{tool}: recoil").format(tool=name), found.recoil[place], known.recoil[place], "N")
    if width >= WIDE:
        heads = [_("P5 to P95"), _("middle"), _("the plan's band")]
        return listing([("", "left"), *((one, "right") for one in heads)], rows)
    table = grid("left", "left", whole=(1,))
    for label, ends, half, band in rows:
        table.add_row(label, _("{ends}, middle {middle}\nthe plan: {band}").format(ends=ends, middle=half, band=band))
    return table


def _between(low: float, high: float, unit: str, system: str) -> str:
    """Both ends rounded outward, as a gauge's are: a band never reads narrower than it is."""
    ends = (number(low, unit, system, up=False), number(high, unit, system, up=True))
    return _("{low} to {high} {unit}").format(low=ends[0], high=ends[1], unit=printed(unit, system)).replace(" ", GLUE)


def _panel(job: Job) -> tuple[str, float] | None:
    """Which speed the panel shows, and how often it turns for a turn of the pump."""
    unit = job.unit
    if not unit.shows or "pump speed" in unit.shows:
        return _("Pump speed"), 1.0
    return None if unit.drive.ratio is None else (_("Engine speed"), unit.drive.ratio)


def _notes(task: TaskPlan, found: Draws, known: Tolerance) -> list[RenderableType]:
    told = _("Of a hundred such rigs five stand below P5 and five above P95; tips with the gauge on its target.")
    notes: list[RenderableType] = [Text(""), Text(glued(told))]
    parted = [label for label, drawn, low, high in compared(found, known) if apart(drawn, low, high)]
    if parted:
        unknown = [one.tip for one in found.inputs if one.what == "inlet"]
        words = _("Off the plan's band by more than a tenth of it: {figures}.").format(figures="; ".join(parted))
        why = _("There the rig does not follow a straight line; take the wider of the two.")
        if unknown:
            why = _(
                "The plan takes the inlet of {tips} at its worse end, with the rest on top; the draws take any inlet "
                "from 0.60 to 0.97 as equally likely. The plan's band holds until somebody has looked."
            ).format(tips=", ".join(unknown))
        notes += [Text(glued(words)), Text(glued(why))]
    band = task.proving_point.band
    if band is not None and band[1] < known.proving[1]:
        notes.append(Text(_("The plan's band at the proving point ends at the target's gauge, whatever may be.")))
    return notes


def compared(found: Draws, known: Tolerance) -> list[tuple[str, Percentiles, float | None, float]]:
    """Every figure that both the draws and the plan give, with the ends of the plan's band. [Pa, rev/s, N]

    Parameters
    ----------
    found : Draws
        Of the draws. [-]
    known : Tolerance
        Of the plan. [-]

    Examples
    --------
    >>> one = Percentiles(1.0, 2.0, 3.0)
    >>> draws = Draws(1000, 1, one, one, one, (one,), (one,), (), ())
    >>> [row[0] for row in compared(draws, Tolerance((1.0, 3.0), None, (1.0, 3.0), (3.0,), (3.0,)))]
    ['gauge at the target', 'gauge at the proving point', 'at the tip', 'recoil']

    References
    ----------
    docs/tolerance.md.
    """
    rows: list[tuple[str, Percentiles, float | None, float]] = [
        (_("gauge at the target"), found.gauge, *known.pump_pressure)
    ]
    if known.pump_speed is not None:
        rows.append((_("speed"), found.speed, *known.pump_speed))
    rows.append((_("gauge at the proving point"), found.proving, *known.proving))
    several = len(found.nozzle) > 1
    for place in range(len(found.nozzle)):
        which = f" {place + 1}" if several else ""
        rows.append((_("at the tip") + which, found.nozzle[place], None, known.nozzle[place]))
        rows.append((_("recoil") + which, found.recoil[place], None, known.recoil[place]))
    return rows


def _inputs(task: TaskPlan, found: Draws, push: int, width: int) -> list[RenderableType]:
    if not found.inputs:
        return [Text(_("Nothing: no input is spread."))]
    places = (0, SPEED_PLACE, PROVING_PLACE, TOOLS_PLACE + len(found.nozzle) + push)
    recoil = _("Recoil") if len(task.tools) == 1 else _("Recoil {n}").format(n=task.tools[push].branch)
    heads: list[tuple[str, JustifyMethod]] = [
        ("", "left"),
        (_("Target"), "right"),
        (_("Speed"), "right"),
        (_("Proving"), "right"),
        (recoil, "right"),
    ]
    shown = [one for one in found.inputs if max(one.shares[place] for place in places) >= LEAST_SHOWN]
    small = [input_words(one) for one in found.inputs if one not in shown]
    columns = [[one.shares[place] for one in shown] for place in places]
    rest = [
        1.0 - sum(column) if any(one.shares[place] for one in found.inputs) else 0.0
        for place, column in zip(places, columns, strict=True)
    ]
    names = [input_words(one) for one in shown]
    if max(rest) >= LEAST_SHOWN:
        names.append(_("the rest together") if small else _("several together"))
        columns = [[*column, left] for column, left in zip(columns, rest, strict=True)]
    rows = [[name, *cells] for name, *cells in zip(names, *map(percents, columns), strict=True)]
    told: list[RenderableType] = []
    if width >= WIDE:
        heads.append((_("To narrow it"), "left"))
        rows = [[*row, measure_words(one)] for row, one in zip(rows, shown, strict=False)] + rows[len(shown) :]
        rows[len(shown) :] = [[*row, ""] for row in rows[len(shown) :]]
    else:
        told = [Text(""), *(Text(f"{input_words(one)}: {measure_words(one)}") for one in shown)]
    if small:
        told += [Text(""), Text(_("Less than 1 % of any: {inputs}.").format(inputs=", ".join(small)))]
    return [listing(heads, rows), *told]


def percents(shares: Sequence[float]) -> list[str]:
    """Shares of one whole in whole hundredths that add up to 100, rounded where that costs least. [%]

    What decides nothing at all stays at nothing.

    Parameters
    ----------
    shares : Sequence of float
        They add up to 1, or all are 0. [-]

    Examples
    --------
    >>> [text.replace(GLUE, " ") for text in percents([0.335, 0.335, 0.33])]
    ['34 %', '33 %', '33 %']

    References
    ----------
    Rounding by the largest remainder, common practice.
    """
    whole = [math.floor(100.0 * share) for share in shares]
    missing = 100 - sum(whole) if any(shares) else 0
    nearest = sorted(range(len(shares)), key=lambda place: whole[place] - 100.0 * shares[place])
    for place in nearest[:missing]:
        whole[place] += 1
    return [f"{one}{GLUE}%" for one in whole]


def input_words(one: InputShare) -> str:
    """What an input is called. [-]

    Parameters
    ----------
    one : InputShare
        The input. [-]

    Examples
    --------
    >>> input_words(InputShare("tip", "R10", False, ()))
    'tip R10'

    References
    ----------
    Our own words.
    """
    words = {
        "tip": _("tip {name}"),
        "inlet": _("inlet of {name}"),
        "hose_bore": _("bore of the hoses"),
        "roughness": _("roughness of the hoses"),
        "tails": _("tails of the hoses"),
        "pump_flow": _("flow of the pump"),
        "speed": _("speed on the panel"),
        "temperature": _("water temperature"),
        "gauge": _("the gauge"),
    }
    return words[one.what].format(name=one.tip)


def measure_words(one: InputShare) -> str:
    """What to measure to know an input better. [-]

    Parameters
    ----------
    one : InputShare
        The input. [-]

    Examples
    --------
    >>> measure_words(InputShare("pump_flow", "", False, ()))
    "flow meter at the inlet, or tank's fall"

    References
    ----------
    Common practice.
    """
    if one.measured:
        return _("measured already")
    words = {
        "tip": _("pin its bore; a flow meter at the inlet"),
        "inlet": _("look into the tip: sharp, rounded or a cone"),
        "hose_bore": _("read the hose tag; gauge the bore"),
        "roughness": _("read the hose's loss between two gauges"),
        "tails": _("measure bore and length of the tails"),
        "pump_flow": _("flow meter at the inlet, or tank's fall"),
        "speed": _("count the pump's turns"),
        "temperature": _("a thermometer in the supply"),
        "gauge": _("a gauge of a better class, newly tested"),
    }
    return words[one.what]
